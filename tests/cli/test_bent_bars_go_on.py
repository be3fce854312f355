"""What was read at the bender goes on: into the shop's log, the calibration that learns, and the bar as bent."""

import csv

import numpy as np
import pytest

HOOP = (
    "forward,left,up\n-900,610,0\n-900,640,620\n-900,505,1085\n-900,-505,1085\n-900,-640,620\n-900,-610,0\n"
)
SAMPLES = """\
od_mm = 45.0
wall_mm = 2.5
die = "45"
batch = "B7"
[[angle]]
command_deg = 20.0
released_deg = 18.6
[[angle]]
command_deg = 90.0
released_deg = 86.5
[[leg]]
cut_mm = 900.0
mark_mm = 300.0
leg_a_mm = 471.5
leg_b_mm = 536.5
[[u]]
outside_mm = 320.0
"""
ROOM = 'axis_height_mm = 900\nclamp_mm = 120\nswings = "clockwise"\nceiling_mm = 2400\n'
READ = (18.9, 74.0, 73.7, 19.0)


@pytest.fixture
def shop(monkeypatch, tmp_path, hoopwright):
    monkeypatch.setenv("HOOPWRIGHT_SHOP", str(tmp_path / "shop.sqlite"))
    (tmp_path / "room.toml").write_text(ROOM)
    hoopwright.keys(
        "bender", "add", "Red", "--swings", "clockwise", "--clamp", "60", "--stand", tmp_path / "room.toml"
    )
    hoopwright.keys("die", "add", "45", "--od", "45", "--clr", "137.5", "--reach", "180", "--bender", "Red")
    hoopwright.keys("batch", "add", "B7", "--tube", "45 x 2.5", "--heat", "4711")
    (tmp_path / "samples.toml").write_text(SAMPLES)
    hoopwright.keys("calibrate", tmp_path / "samples.toml", "--keep")
    return hoopwright


@pytest.fixture
def car(shop, project, tmp_path):
    (tmp_path / "hoop.csv").write_text(HOOP)
    shop.keys("bar", "add", project, "MH", "--role", "main hoop", "--nodes", tmp_path / "hoop.csv")
    shop.keys("sheets", project, "--order", "A to B")
    return project


def bend_all(hoopwright, car):
    for read in READ:
        made = hoopwright.keys("bend", car, "MH", "--reading", read)
    assert made["phase"] == "done"
    return made


def test_a_bent_bar_is_in_the_log_once(shop, car):
    bend_all(shop, car)
    bends = shop.keys("log", "show", "--bar", "MH")["bends"]
    assert [bend["released_deg"] for bend in bends] == list(READ)
    assert [bend["bend_number"] for bend in bends] == [1, 2, 3, 4]
    assert {(bend["die"], bend["batch"], bend["bender"]) for bend in bends} == {("45", "B7", "Red")}
    again = shop.keys("log", "bar", car, "MH")
    assert (again["added"], again["known"], again["corrected"]) == (0, 4, 0)


def test_a_reading_put_right_takes_the_place_of_the_first(shop, car):
    bend_all(shop, car)
    state = shop.keys("bend", car, "MH", "--state")
    last = state["log"][-1]["key"].rpartition("-")[2]
    shop.keys("bend", car, "MH", "--reading", "19.1", "--correct", last, "--reason", "misread")
    bends = shop.keys("log", "show", "--bar", "MH")["bends"]
    assert sorted(bend["released_deg"] for bend in bends) == sorted((*READ[:3], 19.1))
    every = shop.keys("log", "show", "--bar", "MH", "--every")["bends"]
    assert len(every) == 5
    assert shop.keys("log", "bar", car, "MH")["known"] == 4


def test_a_shop_without_the_batch_is_told_and_the_bar_is_done(shop, project, tmp_path):
    (tmp_path / "hoop.csv").write_text(HOOP)
    (tmp_path / "own.toml").write_text(SAMPLES.replace("B7", "unknown batch"))
    shop.keys("bar", "add", project, "MH", "--role", "main hoop", "--nodes", tmp_path / "hoop.csv")
    shop.keys("calibrate", tmp_path / "own.toml", "--project", project)
    shop.keys("sheets", project, "--order", "A to B")
    made = bend_all(shop, project)
    (told,) = (one for one in made["findings"] if one["code"] == "BEND-016")
    assert "unknown batch" in told["sentence"]
    assert shop.keys("log", "bar", project, "MH", "--batch", "B7")["added"] == 4


def test_nothing_is_logged_of_a_bar_that_is_not_begun(shop, car):
    assert shop.stops("log", "bar", car, "MH") == ["BEND-015"]


def test_the_log_of_the_shop_teaches_as_a_file_of_it_does(shop, car, tmp_path):
    bend_all(shop, car)
    bends = shop.keys("log", "show")["bends"]
    with (tmp_path / "bends.csv").open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(
            file, ["key", "time", "batch", "command_deg", "released_deg"], extrasaction="ignore"
        )
        writer.writeheader()
        writer.writerows(bends)
    ask = ("command", "72.5", "--calibration", tmp_path / "samples.toml", "--batch", "B7", "--log")
    by_shop, by_file = shop.keys(*ask, "shop"), shop.keys(*ask, tmp_path / "bends.csv")
    assert by_shop["command_deg"] == pytest.approx(by_file["command_deg"], abs=1e-9)
    learnt = shop.keys("calibrate", tmp_path / "samples.toml", "--log", "shop", "--batch", "B7")["learnt"]
    assert learnt["bend_count"] == 4


def test_the_bar_as_bent_is_what_the_session_said(shop, car):
    said = bend_all(shop, car)
    bent = shop.keys("asbent", car, "MH", "--bent", "--keep")
    assert bent["as_bent"]["angles_deg"] == pytest.approx(READ, abs=1e-6)
    assert np.asarray(bent["nodes_mm"]) == pytest.approx(np.asarray(said["as_bent"]["nodes_mm"]), abs=1e-6)


def test_a_bar_half_bent_is_no_bar_as_bent(shop, car):
    shop.keys("bend", car, "MH", "--reading", READ[0])
    assert shop.stops("asbent", car, "MH", "--bent") == ["ASBENT-046"]


def test_the_room_of_the_shop_is_that_of_its_file(shop, car, tmp_path):
    by_shop = shop.keys("order", car, "MH", "--room", "shop")
    by_file = shop.keys("order", car, "MH", "--room", tmp_path / "room.toml")
    assert by_shop["chosen"] == by_file["chosen"]
    assert shop.stops("order", car, "MH", "--room", "shop:Blue") == ["ROOM-015"]


def test_what_was_learnt_is_a_sample_file_that_a_project_takes(shop, car, tmp_path):
    bend_all(shop, car)
    learnt = tmp_path / "learnt.toml"
    ask = ("calibrate", tmp_path / "samples.toml", "--log", "shop", "--batch", "B7")
    report = shop.keys(*ask, "--write", learnt)
    kept = shop.keys("calibrate", learnt, "--project", car)
    assert kept["clr_mm"] == pytest.approx(137.5, abs=0.1)
    for name in ("constant_deg", "per_command_deg"):
        assert kept["springback"][name] == pytest.approx(report["springback"][name], abs=1e-6)
    sheet = shop.keys("sheets", car, "--order", "A to B")["sheets"][0]
    by_log = shop.keys(
        "command", "45", "--calibration", tmp_path / "samples.toml", "--batch", "B7", "--log", "shop"
    )
    line = kept["springback"]
    assert (45.0 + line["constant_deg"]) / (1.0 - line["per_command_deg"]) == pytest.approx(
        by_log["command_deg"], abs=0.1
    )
    assert sheet["revision"] == 2
    assert shop.stops(*ask, "--write", learnt) == ["SHOP-031"]
