"""Inspection holes are looked for and measured by hand; a bar at which nobody looked has neither one nor none."""

import pytest

BOOK = """\
[book]
id = "holes"
body = "Hill Club"
edition = "2026"
unit = "mm"
provenance = "read"

[[rule]]
id = "each"
kind = "inspection hole"
applies = "main hoop"
per = "bar"
least = 1
diameter_least = 4.5
to_weld_least = 75

[[rule]]
id = "any"
kind = "inspection hole"
least = 1
"""


@pytest.fixture
def car(hoopwright, hoop_held_to, tmp_path):
    """Two bars: the second, a backstay, on the nodes of the hoop."""
    project = hoop_held_to(BOOK)
    nodes = tmp_path / "hoop.csv"
    hoopwright.keys("bar", "add", project, "M2", "--role", "backstay", "--nodes", nodes)
    return project


def ends(hoopwright, car):
    rows = hoopwright.keys("rules", "check", car)["rows"]
    return {(row["rule_id"], row["about"], row["part"]): (row["verdict"], row["todo"]) for row in rows}


def test_nobody_looked(hoopwright, car):
    told = ends(hoopwright, car)
    assert {end for end, _ in told.values()} == {"not checked"}
    assert all(
        "hoopwright measured PROJECT BAR --value 'inspection hole=...'" in todo for _, todo in told.values()
    )


def test_a_hole_is_measured_and_its_bar_alone(hoopwright, car):
    hoopwright.keys("measured", car, "MH", "--value", "inspection hole=4.8")
    told = ends(hoopwright, car)
    assert told["each", "MH", "number"][0] == "pass"
    assert told["each", "MH", "diameter"][0] == "pass"
    assert told["each", "MH", "distance to weld"] == (
        "not checked",
        "give the distance to weld of its hole: hoopwright measured PROJECT MH --value 'hole to weld=...'",
    )
    assert told["any", "", "number"][0] == "pass"
    hoopwright.keys("measured", car, "MH", "--value", "hole to weld=40", "--value", "inspection hole=4")
    told = ends(hoopwright, car)
    assert told["each", "MH", "diameter"][0] == "fail"
    assert told["each", "MH", "distance to weld"][0] == "fail"


def test_a_bar_without_one_fails_and_one_that_nobody_looked_at_does_not(hoopwright, car):
    hoopwright.keys("measured", car, "MH", "--value", "inspection hole=0")
    told = ends(hoopwright, car)
    assert told["each", "MH", "number"][0] == "fail"
    # the other bar may have it
    assert told["any", "", "number"][0] == "not checked"
    assert "measured PROJECT M2" in told["any", "", "number"][1]
    hoopwright.keys("measured", car, "M2", "--value", "inspection hole=0")
    assert ends(hoopwright, car)["any", "", "number"][0] == "fail"
    assert not any(part == "diameter" for _, _, part in ends(hoopwright, car))
