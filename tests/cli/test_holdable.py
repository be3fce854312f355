"""`hoopwright holdable` on a small body of known section."""

import pytest

from hoopwright.fitting.holdable import TARGETS_MM


@pytest.fixture(scope="module")
def scanned(hoopwright, inch_scan, tmp_path_factory):
    folder = tmp_path_factory.mktemp("held") / "car"
    hoopwright.keys("new", folder)
    hoopwright.keys("scan", folder, inch_scan, "--unit", "in", "--as-given")
    nodes = folder.parent / "hoop.csv"
    nodes.write_text(
        "forward,left,up\n-900,610,0\n-900,640,620\n-900,505,1085\n-900,-505,1085\n-900,-640,620\n-900,-610,0\n"
    )
    hoopwright.keys(
        "bar", "add", folder, "MH", "--role", "main hoop", "--nodes", nodes, "--tube", "45 x 2.5",
        "--die", "45", "--clr", "137.5",
    )  # fmt: skip
    return folder


def test_share_and_the_gap_that_95_hold(hoopwright, scanned):
    before = (scanned / "cage.json").read_bytes()
    keys = hoopwright.keys("holdable", scanned, "MH", "--trials", "100", "--seed", "7")
    assert keys["scatter"] == {"angle_sd_deg": 0.25, "rotation_sd_deg": 0.5, "length_sd_mm": 1.0}
    assert (keys["trials"], keys["seed"]) == (100, 7)
    assert [row["target_mm"] for row in keys["at_targets"]] == list(TARGETS_MM)
    holds = keys["holds_95"]
    assert 0.0 < holds["low_mm"] < holds["target_mm"] < holds["high_mm"] < 16.0
    assert keys["off_drawn_95_mm"] == pytest.approx(8.5, abs=2.0)
    assert keys == hoopwright.keys("holdable", scanned, "MH", "--trials", "100", "--seed", "7")
    assert (scanned / "cage.json").read_bytes() == before


def test_says_it_as_a_person_does(hoopwright, scanned):
    ran = hoopwright.run("holdable", scanned, "MH", "--trials", "40", "--length-sd", "1/16 in")
    assert ran.status == 0
    assert "1.5875 mm a straight (seed 1)" in ran.out
    assert "95 of 100 clear when drawn at" in ran.out


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("MH", "--angle-sd", "-0.1"), "FIT-020"),
        (("MH", "--rotation-sd", "400"), "FIT-020"),
        (("MH", "--length-sd", "5 m"), "FIT-020"),
        (("MH", "--angle-sd", "nan"), "UNIT-002"),
        (("MH", "--trials", "0"), "FIT-021"),
        (("MH", "--seed", "-3"), "FIT-021"),
        (("XX",), "CAGE-001"),
    ],
)
def test_bad_input(hoopwright, scanned, words, code):
    assert hoopwright.stops("holdable", scanned, *words) == [code]


def test_without_a_scan(hoopwright, project, tmp_path):
    nodes = tmp_path / "bar.csv"
    nodes.write_text("forward,left,up\n-900,610,0\n-900,640,620\n")
    hoopwright.keys("bar", "add", project, "S", "--role", "roof bar", "--nodes", nodes, "--tube", "45 x 2.5",
                    "--die", "45", "--clr", "137.5")  # fmt: skip
    assert hoopwright.stops("holdable", project, "S") == ["SCAN-014"]
