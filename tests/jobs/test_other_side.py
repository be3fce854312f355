"""A mirrored bar against its own side, as typed: reports change nothing, choices are one step each."""

import json
import shutil

import pytest

LEG = "forward,left,up\n-900,649.5,60\n-900,649.5,616\n-900,560,949.5\n"


@pytest.fixture(scope="module")
def narrow_car(hoopwright, bodies, tmp_path_factory):
    """A leg on each side, 8 mm off the left wall, in a body whose right side is 5 mm nearer."""
    import numpy as np

    folder = tmp_path_factory.mktemp("narrow")
    corners = bodies.section_soup(right_in_mm=5.0)
    facets = np.zeros(len(corners), dtype=[("normal", "<f4", 3), ("corners", "<f4", 9), ("tag", "<u2")])
    facets["corners"] = corners.reshape(-1, 9)
    (folder / "shell.stl").write_bytes(
        b"shell".ljust(80) + np.uint32(len(facets)).tobytes() + facets.tobytes()
    )
    (folder / "leg.csv").write_text(LEG, encoding="utf-8")
    car = folder / "car"
    hoopwright.keys("new", car, "--gap", "8")
    hoopwright.keys("scan", car, folder / "shell.stl", "--unit", "mm", "--as-given")
    hoopwright.keys(
        *("bar", "add", car, "SB-L", "--role", "side bar", "--nodes", folder / "leg.csv"),
        *("--end-a", "shell", "--end-b", "shell", "--landing-a", "60", "--landing-b", "60"),
    )
    hoopwright.keys("bar", "mirror", car, "SB-L", "SB-R")
    return car


@pytest.fixture
def car(narrow_car, tmp_path):
    return shutil.copytree(narrow_car, tmp_path / "car")


def members_of(car):
    return {one["member_id"]: one for one in json.loads((car / "cage.json").read_text())["members"]}


@pytest.mark.parametrize("bar", ["SB-L", "SB-R"])
def test_a_report_tells_all_three_and_changes_nothing(hoopwright, car, state, bar):
    before = state(car)
    told = hoopwright.keys("bar", "other-side", car, bar)
    assert state(car) == before
    assert (told["bar_id"], told["other_id"], told["taken"]) == ("SB-L", "SB-R", None)
    assert told["smallest_gap_mm"] == pytest.approx(8.0, abs=0.1)
    assert told["other_smallest_gap_mm"] == pytest.approx(3.0, abs=0.1)
    assert [offer["choice"] for offer in told["offers"]] == ["shift", "refit", "keep"]
    assert all(offer["holds"] for offer in told["offers"])
    assert {finding["code"] for finding in told["findings"]} == {"FIT-043"}
    said = hoopwright.run("bar", "other-side", car, bar)
    assert "5.0 mm closer" in said.out


@pytest.mark.parametrize("choice", ["shift", "refit", "keep"])
def test_a_choice_is_one_step_that_undo_takes_back(hoopwright, car, choice):
    before = members_of(car)
    told = hoopwright.keys("bar", "other-side", car, "SB-R", f"--{choice}")
    assert told["taken"] == choice
    after = members_of(car)
    is_mirror = choice == "keep"
    assert (after["SB-R"]["mirror_of"] == "SB-L") is is_mirror
    assert (after["SB-L"] == before["SB-L"]) is not is_mirror
    [offer] = told["offers"]
    assert offer["other_smallest_gap_mm"] > 7.9
    # what stands is what was told
    again = hoopwright.keys("check", car, "--bar", "SB-L", "--bar", "SB-R")
    for name, key in (("SB-L", "smallest_gap_mm"), ("SB-R", "other_smallest_gap_mm")):
        assert again["gaps"][name]["smallest_gap_mm"] == pytest.approx(offer[key], abs=1e-6)
    hoopwright.keys("undo", car)
    assert members_of(car) == before


def test_what_cannot_be_asked(hoopwright, car, state):
    before = state(car)
    assert hoopwright.stops("bar", "other-side", car, "XX") == ["CAGE-001"]
    assert hoopwright.run("bar", "other-side", car, "SB-R", "--shift", "--keep").status == 2
    assert state(car) == before
    hoopwright.keys("bar", "free", car, "SB-R")
    assert hoopwright.stops("bar", "other-side", car, "SB-R", "--shift") == ["FIT-040"]


def test_without_a_scan_it_stops(hoopwright, tmp_path):
    car = tmp_path / "car"
    (tmp_path / "leg.csv").write_text(LEG, encoding="utf-8")
    hoopwright.keys("new", car)
    hoopwright.keys("bar", "add", car, "SB-L", "--role", "side bar", "--nodes", tmp_path / "leg.csv")
    hoopwright.keys("bar", "mirror", car, "SB-L", "SB-R")
    assert hoopwright.stops("bar", "other-side", car, "SB-R") == ["SCAN-014"]


def test_a_mirror_that_lands_on_the_freed_bar_is_freed_and_goes_along(hoopwright, car, tmp_path):
    (tmp_path / "cross.csv").write_text("forward,left,up\n-900,649.5,300\n-400,600,300\n", encoding="utf-8")
    hoopwright.keys(
        *("bar", "add", car, "DB-L", "--role", "door bar", "--nodes", tmp_path / "cross.csv"),
        *("--end-a", "SB-L", "--end-b", "free"),
    )
    hoopwright.keys("bar", "mirror", car, "DB-L", "DB-R")
    told = hoopwright.keys("bar", "other-side", car, "SB-R", "--shift")
    assert {finding["code"] for finding in told["findings"]} == {"CAGE-024", "CAGE-020"}
    members = members_of(car)
    assert members["DB-R"]["mirror_of"] is None
    assert members["DB-R"]["end_a"]["on"] == "SB-R"
    # the shift is 5 mm outward, and the end with it; the far end stays
    assert members["DB-R"]["nodes_mm"][0] == pytest.approx([-900.0, -644.5, 300.0], abs=0.5)
    assert members["DB-R"]["nodes_mm"][1] == pytest.approx([-400.0, -600.0, 300.0])
    assert members["DB-L"]["nodes_mm"][0] == pytest.approx([-900.0, 649.5, 300.0])


def test_a_fit_tells_the_gap_of_the_mirror_and_the_three_choices(hoopwright, car):
    told = hoopwright.keys("fit", car, "SB-L", "--most", "1")
    assert told["twin"]["twin_id"] == "SB-R"
    assert told["twin"]["gap_mm"] < 8.0
    assert told["twin"]["closer_mm"] == pytest.approx(5.0, abs=0.3)
    [short] = [finding for finding in told["findings"] if finding["code"] == "FIT-045"]
    assert all(word in short["todo"] for word in ("--shift", "--refit", "--keep"))
    assert short["measured"] == pytest.approx(told["twin"]["gap_mm"])
    assert "SB-R on the other side: least gap" in hoopwright.run("fit", car, "SB-L", "--most", "1").out
