"""A bar that is none of the known kinds: a member without demands of its own, told, and never a pass in silence."""

import pytest

BOOK = """\
[book]
id = "my-club"
body = "My club"
edition = "2026"
unit = "mm"
provenance = "read"
[[rule]]
id = "hoop-tube"
kind = "tube size"
applies = "main hoop"
sizes = "45 x 2.5"
[[rule]]
id = "rest-tube"
kind = "tube size"
but = "main hoop"
sizes = "38 x 2.5"
[[rule]]
id = "radius"
kind = "bend radius"
least_times_od = 3
[[rule]]
id = "diagonal"
kind = "members"
applies = "hoop diagonal"
least = 1
"""
NODES = "forward,left,up\n-900,600,100\n-900,0,600\n-900,-600,700\n"


@pytest.fixture
def held(hoopwright, tmp_path):
    car, nodes = tmp_path / "car", tmp_path / "nodes.csv"
    nodes.write_text(NODES, encoding="utf-8")
    hoopwright.keys("new", car)
    (car / "books").mkdir()
    (car / "books" / "my-club.toml").write_text(BOOK, encoding="utf-8")

    def held(role):
        words = ("--nodes", nodes, "--tube", "30 x 2", "--clr", "100")
        hoopwright.keys("bar", "add", car, "X1", "--role", role, *words)
        hoopwright.keys("rules", "pin", car, "my-club")
        return hoopwright.keys("rules", "check", car)

    return held


def test_it_is_held_to_what_is_for_every_bar_and_told_as_such(held):
    said = held("other bar")
    rows = {(row["rule_id"], row["about"]): row["verdict"] for row in said["rows"]}
    assert rows == {
        ("hoop-tube", ""): "not applicable",
        ("rest-tube", "X1"): "fail",
        ("radius", "X1"): "pass",
        ("diagonal", "hoop diagonal"): "fail",
    }
    (told,) = [one for one in said["findings"] if one["code"] == "RULE-010"]
    assert told["objects"] == ["X1"]
    assert "'other bar'" in told["sentence"]


def test_a_bar_of_a_known_kind_is_not_told_so(held):
    assert "RULE-010" not in {one["code"] for one in held("hoop diagonal")["findings"]}
