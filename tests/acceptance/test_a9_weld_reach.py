"""Weld reach of a hoop under a flat roof: the drop, the pedestals, the move, and what it does to the legs."""

import shutil

import pytest

OVER_ROOF = {"left": (-490, 490), "up": (1117, 1119)}
UPPER = {"left": (560, 681), "up": (620, 1075)}
LOWER = {"left": (679, 681), "up": (0, 619)}
TAPE = (
    "width at the hoop: 1360: -900,680,300: -900,-680,300",
    "roof over the floor line: 1118: -900,0,1118: =-900,0,0",
    "length at the sill: 1800: 0,680,300: -1800,680,300",
)


@pytest.fixture(scope="module")
def car(hoopwright, files, tmp_path_factory):
    project = tmp_path_factory.mktemp("a9") / "car"
    hoopwright.keys("new", project)
    tape = [word for one in TAPE for word in ("--tape", one)]
    hoopwright.keys("scan", project, files / "shell_mm.stl", "--unit", "mm", "--as-given", *tape)
    hoopwright.keys("bar", "add", project, "MH", "--role", "main hoop", "--nodes", files / "hoop.csv")
    hoopwright.keys("calibrate", files / "cal-1.toml", "--project", project)
    return project


@pytest.fixture(scope="module")
def told(hoopwright, car):
    return hoopwright.keys("reach", car, "--needs", "60")


def gap(places, where):
    return min(
        place["gap_mm"]
        for place in places
        if where["left"][0] <= place["metal_mm"][1] <= where["left"][1]
        and where["up"][0] <= place["metal_mm"][2] <= where["up"][1]
    )


def test_the_drop_and_the_pedestals(told):
    (top,) = (room for room in told["rooms_over"] if room["about"] == "top of MH")
    assert top["gap_mm"] == pytest.approx(10.5, abs=0.3)
    assert told["needed_drop_mm"] == pytest.approx(49.5, abs=0.3)
    assert told["pedestal_mm"] == 50.0
    assert told["low"]["drop_mm"] == 50.0


def test_the_move_is_checked_and_its_gaps_told(told):
    low = told["low"]
    assert low["move_touches"] is False
    assert low["contact"] is None
    # nothing comes nearer on the way than at its start, under the roof
    assert low["nearest"]["gap_mm"] == pytest.approx(10.5, abs=0.3)
    places = low["gaps"]["MH"]
    assert gap(places, OVER_ROOF) == pytest.approx(60.5, abs=0.3)
    for side in (1.0, -1.0):
        upper, lower = (
            {"left": tuple(sorted(side * x for x in where["left"])), "up": where["up"]}
            for where in (UPPER, LOWER)
        )
        assert gap(places, upper) == pytest.approx(29.9, abs=0.3)
        assert gap(places, lower) == pytest.approx(18.4, abs=0.3)


def test_the_legs_change(told):
    (bar,) = told["changed"]
    assert bar["straights_mm"][0] == pytest.approx(547.7, abs=0.3)
    assert bar["straights_mm"][-1] == pytest.approx(547.7, abs=0.3)
    assert bar["straights_mm"][1:4] == pytest.approx([358.0, 803.5, 358.0], abs=0.3)
    assert bar["blank_mm"] == pytest.approx(3111.9, abs=0.3)
    feet = sorted(leg["new_foot_mm"][1] for leg in told["low"]["legs"])
    assert feet == pytest.approx([-612.4, 612.4], abs=0.3)
    assert [leg["new_foot_mm"][2] for leg in told["low"]["legs"]] == pytest.approx([50.0, 50.0])
    # in place of pedestals the feet go through the floor as they are
    assert [hole["deep_mm"] for hole in told["holes_instead"]] == [50.0, 50.0]


def test_the_plan_says_what_is_welded_low_and_what_after_lifting(hoopwright, files, car, tmp_path_factory):
    """With bars on the hoop's top and at its foot, the tops are welded low and the rest after lifting."""
    project = tmp_path_factory.mktemp("a9-more") / "car"
    hoopwright.keys("new", project)
    hoopwright.keys("scan", project, files / "shell_mm.stl", "--unit", "mm", "--as-given")
    hoopwright.keys("bar", "add", project, "MH", "--role", "main hoop", "--nodes", files / "hoop.csv")
    for name, role, nodes in (
        ("RB", "roof bar", "-900,200,1085\n-300,200,1085\n"),
        ("HB", "harness bar", "-900,-634,700\n-900,634,700\n"),
    ):
        (project.parent / f"{name}.csv").write_text(f"forward,left,up\n{nodes}", encoding="utf-8")
        ends = ("--end-a", "MH", "--end-b", "MH" if name == "HB" else "free")
        hoopwright.keys(
            "bar", "add", project, name, "--role", role, "--nodes", project.parent / f"{name}.csv",
            "--tube", "38 x 2.5", *ends,
        )  # fmt: skip
    plan = hoopwright.keys("reach", project, "--needs", "60", "--torch", "nozzle length 45")
    assert plan["welded_low"] == ["MH/RB-A"]
    (low,) = (step for step in plan["plan"] if "MH/RB-A" in step["joints"])
    assert "There weld all round MH/RB-A." in low["what"]
    assert low["left_deg"] == [0.0]
    assert {"MH/HB-A", "MH/HB-B", "foot MH-A", "foot MH-B"} <= set(plan["welded_in_place"])
    (roof,) = (joint for joint in plan["joints"] if joint["name"] == "MH/RB-A")
    assert not roof["in_place"]["all_round"]
    assert roof["low"]["all_round"]
    assert roof["in_place"]["in_the_way"][0]["name"].startswith("roof")


def test_pedestals_are_taken_as_one_edit(hoopwright, car):
    made = hoopwright.keys("reach", car, "--needs", "60", "--take")
    assert made["taken"] == ["MH A", "MH B"]
    # this shell has no floor: the pedestals are put, and it is told that nothing lies under them
    told = {
        one["sentence"].split(" within")[0]: one for one in made["findings"] if one["code"] == "REACH-016"
    }
    assert set(told) == {f"No scanned metal lies under foot {end} of MH" for end in "AB"}
    for one in told.values():
        assert one["severity"] == "warning"
        # the walls at 680 beside feet at 612.4, against trim 30, half a tube and the box
        assert one["measured"] == pytest.approx(67.6, abs=0.3)
        assert one["limit"] == pytest.approx(30.0 + 22.5 + 50.0)
    rows = hoopwright.keys("check", car, "--bar", "MH")["checks"]
    feet = [row for row in rows if row["check"].endswith("reaches metal")]
    assert [(row["verdict"], row["measured"]) for row in feet] == [("fail", None), ("fail", None)]
    assert feet[0]["where"] == "none below its box of 50 mm; nearest 67.6 mm beside it"
    (sheet,) = hoopwright.keys("sheets", car)["sheets"]
    assert sheet["straights_mm"] == pytest.approx([547.7, 358.0, 803.5, 358.0, 547.7], abs=0.3)
    assert sheet["blank_mm"] == pytest.approx(3111.9, abs=0.3)
    # asked again, the boxes are there and nothing more is cut
    again = hoopwright.keys("reach", car, "--needs", "60")
    assert again["needed_drop_mm"] == pytest.approx(49.5, abs=0.3)
    assert [leg["up_mm"] for leg in again["low"]["legs"]] == [0.0, 0.0]
    assert again["changed"][0]["blank_mm"] == pytest.approx(3111.9, abs=0.3)
    assert hoopwright.stops("reach", car, "--needs", "60", "--take") == ["REACH-012"]
    hoopwright.keys("undo", car)
    (sheet,) = hoopwright.keys("sheets", car)["sheets"]
    assert sheet["blank_mm"] == pytest.approx(3212.0, abs=0.3)


def test_a_bar_that_is_bent_already_is_not_drawn_shorter(hoopwright, car, tmp_path):
    """A bar as bent lies with its ends where the drawn ones are: cut on paper, it would rise through the roof."""
    bent = shutil.copytree(car, tmp_path / "car")
    tape = ("--tape", "feet 1252", "--tape", "knees 1317.4")
    hoopwright.keys("asbent", bent, "MH", *tape, "--keep")
    before = (bent / "cage.json").read_bytes()
    assert hoopwright.stops("reach", bent, "--needs", "60", "--take") == ["REACH-013", "REACH-013"]
    assert (bent / "cage.json").read_bytes() == before
