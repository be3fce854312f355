"""`hoopwright fit` as typed: A4's proposal, a new bar, and what stops it."""

import json

import numpy as np
import pytest

NODES = """\
forward,left,up
-900,610,0
-900,640,620
-900,505,1085
-900,-505,1085
-900,-640,620
-900,-610,0
"""


@pytest.fixture
def car(hoopwright, inch_scan, tmp_path):
    folder = tmp_path / "car"
    hoopwright.keys("new", folder)
    hoopwright.keys("scan", folder, inch_scan, "--unit", "in", "--as-given")
    nodes = tmp_path / "nodes.csv"
    nodes.write_text(NODES, encoding="utf-8")
    hoopwright.keys(
        *("bar", "add", folder, "MH", "--role", "main hoop", "--nodes", nodes),
        *("--end-a", "shell", "--end-b", "shell"),
    )
    return folder


def test_the_hoop_is_proposed_at_the_gap_asked_and_taken(hoopwright, car):
    before = (car / "cage.json").read_bytes()
    table = hoopwright.keys("fit", car, "MH", "--gap", "8", "--slide-a", "60", "--most", "4")
    assert (car / "cage.json").read_bytes() == before
    assert [offer["bends"] for offer in table["offers"]] == [0, 2, 4]
    taken = hoopwright.keys("fit", car, "MH", "--gap", "8", "--slide-a", "60", "--bends", "4")
    assert taken["taken_bends"] == 4
    nodes = json.loads((car / "cage.json").read_text())["members"][0]["nodes_mm"]
    # the section's walls and roof, 8 mm and half a tube further in: closed form
    assert nodes[0] == pytest.approx([-900.0, 649.5, 0.0], abs=0.3)
    assert nodes[1] == pytest.approx([-900.0, 649.5, 616.0], abs=0.5)
    assert nodes[2] == pytest.approx([-900.0, 522.9, 1087.5], abs=0.5)
    hoopwright.run("undo", car)
    assert json.loads((car / "cage.json").read_text())["members"][0]["nodes_mm"][0][1] == 610.0
    # where the arc of the shoulder is as far from the wall's line as from the chamfer's: walked along the arc
    corners = [one["gap_mm"] for one in table["offers"][2]["reasons"]]
    assert corners == pytest.approx([widest_at_the_shoulder()] * 2, abs=0.1)
    assert table["offers"][2]["largest_gap_mm"] == pytest.approx(max(corners), abs=0.05)


def widest_at_the_shoulder():
    knee, shoulder = np.array([[649.5, 616.0], [522.94, 1087.5]])
    up, across = (shoulder - knee) / np.linalg.norm(shoulder - knee), np.array([-1.0, 0.0])
    half_turn = np.arccos(up @ across) / 2.0
    middle = (across - up) / np.linalg.norm(across - up)
    centre = shoulder + middle * 137.5 / np.cos(half_turn)
    angles = np.linspace(-half_turn, half_turn, 20001)[:, None]
    side = np.array([middle[1], -middle[0]])
    arc = centre - 137.5 * (np.cos(angles) * middle + np.sin(angles) * side)
    lines = (
        ((680.0, 620.0), (556.0, 1082.0)),
        ((556.0, 1082.0), (500.0, 1118.0)),
        ((500.0, 1118.0), (-500.0, 1118.0)),
    )
    gaps = []
    for start, end in np.array(lines):
        along = np.clip((arc - start) @ (end - start) / ((end - start) @ (end - start)), 0.0, 1.0)[:, None]
        gaps.append(np.linalg.norm(arc - start - along * (end - start), axis=1))
    return float(np.min(gaps, axis=0).max()) - 22.5


def test_a_new_bar_lands_on_the_hoop_and_is_improved_again(hoopwright, car):
    made = hoopwright.keys(
        *("fit", car, "SB-L", "--role", "side bar", "--from", "-150,630,60", "--to", "-900,480,1085"),
        *(
            "--end-a",
            "shell",
            "--end-b",
            "MH",
            "--slide-b",
            "80",
            "--gap",
            "6",
            "--most",
            "2",
            "--bends",
            "2",
        ),
    )
    offer = made["offers"][-1]
    assert offer["holds"]
    assert offer["smallest_gap_mm"] >= 5.94
    assert offer["nodes_mm"][-1][0] == pytest.approx(-900.0, abs=1e-6)
    again = hoopwright.keys("fit", car, "SB-L", "--gap", "6", "--again")
    assert again["taken_bends"] == 2
    assert again["offers"][0]["mean_gap_mm"] <= offer["mean_gap_mm"] + 0.5


def test_a_person_reads_the_table_and_what_to_type_next(hoopwright, car):
    ran = hoopwright.run("fit", car, "MH", "--gap", "8", "--slide-a", "60", "--most", "2")
    assert ran.status == 0
    assert "mean gap" in ran.out
    assert "--bends N" in ran.out


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("MH", "--gap", "2 m"), "FIT-038"),
        (("MH", "--gap", "nonsense"), "UNIT-001"),
        (("XX",), "FIT-036"),
        (("XX", "--role", "door bar", "--from", "0,0,0", "--to", "0,0,0"), "FIT-030"),
        (("MH", "--bends", "3"), "FIT-037"),
        (
            ("XX", "--role", "roof bar", "--from", "-100,0,500", "--to", "-900,0,0", "--end-b", "MH"),
            "FIT-033",
        ),
    ],
)
def test_what_stops_a_fit_changes_nothing(hoopwright, car, words, code):
    before = (car / "cage.json").read_bytes()
    assert hoopwright.stops("fit", car, *words) == [code]
    assert (car / "cage.json").read_bytes() == before


def test_a_mirror_has_nothing_to_fit(hoopwright, car):
    hoopwright.keys("bar", "mirror", car, "MH", "MH-R")
    assert hoopwright.stops("fit", car, "MH-R") == ["FIT-035"]
