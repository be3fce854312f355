"""The driver under the bars: the helmet under a straight edge, and shoulder belts under three rules."""

import math

import pytest

HOOP = "forward,left,up\n-1560,505,600\n-1560,505,1150\n-1560,-505,1150\n-1560,-505,600\n"
SCREEN = "forward,left,up\n-880,525,1125\n-880,-525,1125\n"
HELMET = ("--helmet", "-1330,0,1010", "--helmet-radius", "140")
BOOK = """\
[book]
id = "{name}"
body = "Hill Club"
edition = "2026"
unit = "mm"
provenance = "read"
[[rule]]
id = "helmet"
kind = "helmet"
least = 50
[[rule]]
id = "belts"
kind = "belts"
below_most = 20
{above}
"""


@pytest.fixture(scope="module")
def books(tmp_path_factory):
    """One rule that lets the belt rise by 10 degrees, and one that never lets it."""
    folder = tmp_path_factory.mktemp("books")
    for name, above in (("up-to-10", "above_most = 10"), ("never-above", "")):
        (folder / f"{name}.toml").write_text(BOOK.format(name=name, above=above), encoding="utf-8")
    return folder


@pytest.fixture
def car(hoopwright, tmp_path):
    project = tmp_path / "car"
    hoopwright.keys("new", project)
    for name, role, nodes in (("MH", "main hoop", HOOP), ("SC", "screen bar", SCREEN)):
        file = tmp_path / f"{name}.csv"
        file.write_text(nodes, encoding="utf-8")
        hoopwright.keys("bar", "add", project, name, "--role", role, "--nodes", file)
    return project


def rows(hoopwright, car, book):
    keys = hoopwright.keys("rules", "check", car, "--book", book)
    return {row["rule_id"]: row for row in keys["rows"]}, keys["findings"]


def test_the_helmet_stands_too_near_and_it_says_how_much_lower_the_seat_goes(hoopwright, car, books):
    hoopwright.keys("driver", "set", car, "anna", *HELMET)
    found, findings = rows(hoopwright, car, books / "up-to-10.toml")
    assert found["helmet"]["verdict"] == "fail"
    assert found["helmet"]["measured"] == pytest.approx(13.9, abs=0.05)
    assert found["helmet"]["limit"] == 50.0
    (told,) = (one for one in findings if one["code"] == "HELD-020")
    assert "13.9 mm" in told["sentence"]
    assert "Lower the seat by 36 mm or raise the bars" in told["todo"]
    # the driver's own command says the same
    driver = hoopwright.keys("driver", "check", car, "--helmet-room", "50")["checks"]
    (line,) = (row for row in driver if row["check"].startswith("helmet under"))
    assert (line["verdict"], line["measured"]) == ("fail", pytest.approx(13.9, abs=0.05))


@pytest.mark.parametrize(
    ("back_mm", "down_mm", "ends"),
    [
        (300.0, 60.0, {"up-to-10": "pass", "never-above": "pass"}),
        (180.0, 80.0, {"up-to-10": "fail", "never-above": "fail"}),
        (250.0, -20.0, {"up-to-10": "pass", "never-above": "fail"}),
    ],
)
def test_belts(hoopwright, car, books, back_mm, down_mm, ends):
    guide = f"{-1300.0 - back_mm},150,{900.0 - down_mm}"
    hoopwright.keys("driver", "set", car, "anna", "--shoulder", "-1300,150,900", "--guide", guide)
    for name, verdict in ends.items():
        found, _ = rows(hoopwright, car, books / f"{name}.toml")
        assert found["belts"]["verdict"] == verdict
        assert abs(found["belts"]["measured"]) == pytest.approx(
            math.degrees(math.atan2(abs(down_mm), back_mm)), abs=0.05
        )


def test_the_angles_are_those_of_the_scenario():
    angles = [math.degrees(math.atan2(down, back)) for back, down in ((300, 60), (180, 80), (250, 20))]
    assert angles == pytest.approx([11.3, 24.0, 4.6], abs=0.05)


def test_without_driver_data_nothing_of_it_is_checked(hoopwright, car, books):
    found, findings = rows(hoopwright, car, books / "never-above.toml")
    assert {row["verdict"] for row in found.values()} == {"not checked"}
    assert [one["code"] for one in findings] == ["HELD-021"]
    hoopwright.keys("driver", "set", car, "anna")  # a driver of whom nothing was measured
    found, _ = rows(hoopwright, car, books / "never-above.toml")
    assert {row["verdict"] for row in found.values()} == {"not checked"}
    checks = hoopwright.keys("driver", "check", car)["checks"]
    assert {row["verdict"] for row in checks if "helmet" in row["check"] or "belt" in row["check"]} == {
        "not checked"
    }
