"""Bend, measure, rescue: the hoop in its shell, bent with one bend under and one over."""

import shutil

import numpy as np
import pytest

TAPE = (
    "inside width: 1360: -900,680,620: -900,-680,620",
    "roof underside: 1118: =-900,0,0: -900,0,1118",
    "length: 1800: 0,680,300: -1800,680,300",
)
OUTLINE = np.array(
    [(680, 0), (680, 620), (556, 1082), (500, 1118), (-500, 1118), (-556, 1082), (-680, 620), (-680, 0)]
)


@pytest.fixture(scope="module")
def issued(hoopwright, files, tmp_path_factory):
    project = tmp_path_factory.mktemp("a7") / "car"
    hoopwright.keys("new", project, "--gap", "8")
    tape = [word for one in TAPE for word in ("--tape", one)]
    hoopwright.keys("scan", project, files / "shell_mm.stl", "--unit", "mm", "--as-given", *tape)
    hoop = ("MH", "--role", "main hoop", "--nodes", files / "hoop.csv", "--trim-a", "30", "--trim-b", "30")
    hoopwright.keys("bar", "add", project, *hoop)
    hoopwright.keys("calibrate", files / "cal-1.toml", "--project", project)
    hoopwright.keys("sheets", project, "--order", "A to B", "--swings", "clockwise")
    return project


@pytest.fixture
def car(issued, tmp_path):
    return shutil.copytree(issued, tmp_path / "car")


def gap_of(place_mm):
    """From a 45 mm tube's skin to the section's own lines."""
    point = np.array(place_mm)[1:]
    starts, along = OUTLINE[:-1].astype(float), np.diff(OUTLINE, axis=0)
    share = np.clip(np.sum((point - starts) * along, axis=1) / np.sum(along**2, axis=1), 0.0, 1.0)
    return np.linalg.norm(point - starts - share[:, None] * along, axis=1).min() - 22.5


def bent_up_to_the_question(hoopwright, car):
    hoopwright.keys("bend", car, "MH", "--reading", "18.4")
    hoopwright.keys("bend", car, "MH", "--reading", "18.96")
    return hoopwright.keys("bend", car, "MH", "--reading", "74.6")


def test_first_it_asks_for_the_mark_and_the_command(hoopwright, car):
    keys = hoopwright.keys("bend", car, "MH")
    assert (keys["phase"], keys["step"], keys["steps"]) == ("bend", 1, 4)
    assert keys["ask"]["mark_mm"] == pytest.approx(616.3, abs=0.3)
    assert keys["ask"]["target_deg"] == pytest.approx(18.96, abs=0.05)
    assert keys["ask"]["command_deg"] == pytest.approx((18.96 + 0.777) / (1 - 0.0301), abs=0.05)
    assert not list((car / "bending").glob("*.jsonl"))  # looking writes nothing


def test_a_bend_under_is_added_to(hoopwright, car):
    ran = hoopwright.run("bend", car, "MH", "--reading", "18.4")
    assert "add 0.6°" in ran.out
    keys = hoopwright.keys("bend", car, "MH")
    assert (keys["phase"], keys["step"]) == ("add", 1)
    assert keys["ask"]["add_deg"] == pytest.approx(0.6, abs=0.05)
    keys = hoopwright.keys("bend", car, "MH", "--reading", "18.96")
    assert (keys["phase"], keys["step"]) == ("bend", 2)


def test_a_bend_over_solves_the_rest_again_and_asks(hoopwright, car):
    keys = bent_up_to_the_question(hoopwright, car)
    assert (keys["phase"], keys["ask"]) == ("decide", None)
    rescue = keys["rescue"]
    assert rescue["open_bends"] == [3, 4]
    least = rescue["solved"]["least"]
    assert least["gap_mm"] == pytest.approx(gap_of(least["place_mm"]), abs=0.3)
    assert rescue["drawn_least"]["gap_mm"] == pytest.approx(10.5, abs=0.3)
    assert 7.9 < least["gap_mm"] < 10.5
    assert max(rescue["solved"]["miss_a_mm"], rescue["solved"]["miss_b_mm"]) < 0.5
    assert max(rescue["carried_on"]["miss_a_mm"], rescue["carried_on"]["miss_b_mm"]) > 5.0
    assert rescue["within_limits"]
    words = hoopwright.run("bend", car, "MH").out
    assert "worst gap" in words
    assert "go on" in words
    assert "scrap" in words
    assert hoopwright.stops("bend", car, "MH", "--reading", "73") == ["BEND-004"]


def test_the_rest_is_bent_as_solved_and_the_bar_listed_as_bent(hoopwright, car):
    solved = bent_up_to_the_question(hoopwright, car)["rescue"]["solved"]
    keys = hoopwright.keys("bend", car, "MH", "--decide", "go on")
    assert keys["ask"]["target_deg"] == pytest.approx(solved["settings"]["angles_deg"][2])
    assert keys["ask"]["mark_mm"] == pytest.approx(solved["settings"]["marks_mm"][2])
    assert "mark it anew, +" in hoopwright.run("bend", car, "MH").out
    for step in (3, 4):
        assert keys["step"] == step
        keys = hoopwright.keys("bend", car, "MH", "--reading", f"{keys['ask']['target_deg']:.2f}")
    assert keys["phase"] == "done"
    assert np.abs(np.array(keys["as_bent"]["nodes_mm"]) - np.array(solved["nodes_mm"])).max() < 0.5
    assert [row["released_deg"] for row in keys["log"]][:3] == [18.4, 18.96, 74.6]
    assert len({row["key"] for row in keys["log"]}) == len(keys["log"]) == 5
    assert [row["finished"] for row in keys["log"]] == [False, True, True, True, True]
    assert keys["log"][1]["command_deg"] == pytest.approx(20.93, abs=0.02)


def test_power_lost_at_bend_3_goes_on_at_bend_3(hoopwright, car):
    bent_up_to_the_question(hoopwright, car)
    before = hoopwright.keys("bend", car, "MH", "--decide", "go on")
    file = car / before["file"]
    with file.open("ab") as journal:
        journal.write(b'{"record": {"step": 3, "relea')
    keys = hoopwright.keys("bend", car, "MH")
    assert [finding["code"] for finding in keys["findings"]] == ["STORE-008"]
    assert (keys["step"], keys["ask"]) == (3, before["ask"])
    keys = hoopwright.keys("bend", car, "MH", "--reading", f"{keys['ask']['target_deg']:.2f}")
    assert keys["step"] == 4
    assert hoopwright.keys("bend", car, "MH")["findings"] == []


def test_scrap(hoopwright, car):
    bent_up_to_the_question(hoopwright, car)
    assert hoopwright.keys("bend", car, "MH", "--decide", "scrap")["phase"] == "scrapped"
    assert hoopwright.stops("bend", car, "MH", "--reading", "73") == ["BEND-004"]
    keys = hoopwright.keys("bend", car, "MH", "--again")
    assert (keys["stick"], keys["step"], keys["phase"]) == (2, 1, "bend")
