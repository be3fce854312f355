"""Feet of a cage whose ends nobody said: they are measured by hand, and what is asked says how."""

import pytest

BOOK = """\
[book]
id = "feet"
body = "Hill Club"
edition = "2026"
unit = "mm"
provenance = "read"

[[rule]]
id = "plate"
kind = "plate"
applies = "main hoop"
thickness_least = 3

[[rule]]
id = "held"
kind = "bolts"
applies = "main hoop"
least = 3

[[rule]]
id = "feet"
kind = "attachments"
least = 2

[[rule]]
id = "gap"
kind = "distance"
of = "pillar gap"
most = 200
"""
BAR = "forward,left,up\n-900,600,500\n-900,-600,500\n"


@pytest.fixture
def car(hoopwright, hoop_held_to, tmp_path):
    project = hoop_held_to(BOOK)
    nodes = tmp_path / "bar.csv"
    nodes.write_text(BAR, encoding="utf-8")
    hoopwright.keys(
        *("bar", "add", project, "HB", "--nodes", nodes, "--role", "harness bar"),
        *("--end-a", "MH", "--end-b", "MH"),
    )
    return project


def ends(hoopwright, car):
    return {(row["rule_id"], row["about"]): row for row in hoopwright.keys("rules", "check", car)["rows"]}


def test_free_ends_are_measured_as_feet(hoopwright, car):
    told = ends(hoopwright, car)
    assert (
        "hoopwright measured PROJECT 'MH foot A' --value 'plate thickness=...'" in told["plate", ""]["todo"]
    )
    assert told["feet", ""]["verdict"] == "not checked"
    hoopwright.keys("measured", car, "MH foot A", "--value", "plate thickness=3.2")
    hoopwright.keys("measured", car, "mh foot b", "--value", "plate thickness=2.5", "--value", "bolts=4")
    told = ends(hoopwright, car)
    assert (told["plate", "MH foot A"]["verdict"], told["plate", "MH foot B"]["verdict"]) == ("pass", "fail")
    assert told["held", "MH foot B"]["verdict"] == "pass"
    assert "--value 'bolts=...'" in told["held", "MH foot A"]["todo"]
    assert (told["feet", ""]["verdict"], told["feet", ""]["measured"]) == ("pass", 2.0)


def test_what_was_measured_by_hand_is_told_as_that(hoopwright, car):
    plate = ("--value", "plate length=120", "--value", "plate width=100", "--value", "plate thickness=3.2")
    hoopwright.keys("measured", car, "MH foot A", *plate, "--value", "bolts=3")
    book = car / "books" / "feet.toml"
    book.write_text(
        BOOK.replace("thickness_least = 3", 'thickness_least = 3\narea_least = "60 cm2"'), encoding="utf-8"
    )
    keys = hoopwright.keys("rules", "check", car, "--book", book)
    how = {(row["rule_id"], row["part"]): row["how"] for row in keys["rows"] if row["about"] == "MH foot A"}
    assert how == {
        ("plate", "area"): "120 mm x 100 mm, measured by hand",
        ("plate", "thickness"): "measured by hand",
        ("held", "number"): "measured by hand",
    }


def test_a_foot_that_was_measured_and_one_that_may_be_are_not_too_few(hoopwright, car):
    hoopwright.keys("measured", car, "MH foot A", "--value", "plate thickness=3.2")
    row = ends(hoopwright, car)["feet", ""]
    assert row["verdict"] == "not checked"
    assert "MH foot B" in row["todo"]


def test_what_was_measured_and_taken_back_is_no_foot(hoopwright, car):
    hoopwright.keys("measured", car, "MH foot A", "--value", "plate thickness=3.2")
    hoopwright.keys("measured", car, "MH foot A", "--take-back", "plate thickness")
    assert set(ends(hoopwright, car)) == {("plate", ""), ("held", ""), ("feet", ""), ("gap", "")}


def test_an_end_on_a_bar_is_no_foot_and_the_refusal_says_what_to_do(hoopwright, car):
    (found,) = hoopwright.run("measured", car, "HB foot A", "--value", "bolts=3", "--json").keys["findings"]
    assert found["code"] == "HELD-004"
    assert found["sentence"] == "There is no foot at end A of HB to measure: it ends on MH."
    (found,) = hoopwright.run("measured", car, "seat", "--value", "pillar gap=1", "--json").keys["findings"]
    assert "MH foot A" in found["todo"]
    assert "hoopwright rules answer PROJECT RULE pass 'what was measured or seen'" in found["todo"]


def test_what_only_a_person_measures_says_with_what_command(hoopwright, car):
    row = ends(hoopwright, car)["gap", ""]
    assert (
        row["todo"]
        == "measure it by hand: hoopwright measured PROJECT cage --value 'pillar gap=...' (or L, R)"
    )
    findings = hoopwright.keys("rules", "check", car)["findings"]
    (left,) = (one for one in findings if one["code"] == "HELD-021")
    assert "hoopwright rules answer PROJECT RULE" in left["todo"]
