"""Orders of a project's bars, and sheets that are issued in the order that goes through the room."""

import io

import numpy as np
import pytest
from PIL import Image

ROOM = 'axis_height_mm = 900\nclamp_mm = 100\nswings = "{swings}"\nceiling_mm = 2400\n{more}'
# A long leg at end A and a short one at end B, bent in two planes: by hand, end A leading hangs it down
NODES = "forward,left,up\n0,0,0\n1300,0,0\n1300,700,0\n1300,1200,{up}\n"


@pytest.fixture
def room(tmp_path):
    def write(swings="clockwise", more="", **changes):
        file = tmp_path / "room.toml"
        text = ROOM.format(swings=swings, more=more)
        for key, value in changes.items():
            text = "\n".join(
                f"{key} = {value}" if line.startswith(key) else line for line in text.split("\n")
            )
        file.write_text(text, encoding="utf-8")
        return file

    return write


@pytest.fixture
def car(hoopwright, empty, files, tmp_path):
    """A project with a bar whose long leg goes down when end A leads."""
    nodes = tmp_path / "nodes.csv"
    nodes.write_text(NODES.format(up=500), encoding="utf-8")
    hoopwright.keys("bar", "add", empty, "X", "--role", "door bar", "--nodes", nodes)
    hoopwright.keys("calibrate", files / "samples.toml", "--project", empty)
    return empty


def ends_of(order):
    return [(step["bend"], step["fed_from"]) for step in order["steps"]]


def test_the_order_of_a_projects_bar(hoopwright, car, room):
    keys = hoopwright.keys("order", car, "X", "--room", room())
    by_name = {order["name"]: order for order in keys["orders"]}
    assert not by_name["A to B"]["works"]
    assert by_name["B to A"]["works"]
    assert ends_of(keys["chosen"]) == [(2, "B"), (1, "B")]


def test_the_sweep_goes_to_the_angle_under_load(hoopwright, car, room):
    keys = hoopwright.keys("order", car, "X", "--room", room())
    issued = hoopwright.keys("sheets", car)["sheets"][0]
    command = {step["bend"]: step["command_deg"] for step in issued["steps"]}
    for order in keys["orders"]:
        for step in order["steps"]:
            assert step["swing_deg"] == pytest.approx(command[step["bend"]])


def test_sheets_take_the_order_that_goes(hoopwright, car, room):
    without = hoopwright.keys("sheets", car)["sheets"][0]
    assert ends_of(without) == [(1, "A"), (2, "A")]
    through = hoopwright.keys("sheets", car, "--room", room())
    sheet = through["sheets"][0]
    assert ends_of(sheet) == [(2, "B"), (1, "B")]
    assert sheet["revision"] == 2
    order = hoopwright.keys("order", car, "X", "--room", room())["chosen"]
    for printed, found in zip(sheet["steps"], order["steps"], strict=True):
        assert printed["leg_clock"] == found["leg_clock"]
        assert printed["turn_tube_deg"] == found["turn_tube_deg"]
        assert printed["turn_end_for_end"] == found["turn_end_for_end"]


def test_the_order_that_was_found_is_kept_so_that_the_sheet_stays_in_force(hoopwright, car, room):
    from hoopwright.jobs.opened_sheets import open_sheet
    from hoopwright.store import ProjectFolder

    hoopwright.keys("sheets", car, "--room", room(), "--date", "2026-01-02")
    opened = open_sheet(ProjectFolder(path=car), "X", "2026-01-03")
    assert opened.in_force
    again = hoopwright.keys("sheets", car, "--order", "2 from B, 1 from B", "--date", "2026-01-04")
    assert again["sheets"][0]["revision"] == 1


def test_the_room_says_which_way_the_bender_swings(hoopwright, car, room):
    keys = hoopwright.keys("sheets", car, "--room", room(swings="anticlockwise"))
    clocks = [step["leg_clock"] for step in keys["sheets"][0]["steps"]]
    order = hoopwright.keys("order", car, "X", "--room", room(swings="anticlockwise"))["chosen"]
    assert clocks == [step["leg_clock"] for step in order["steps"]]
    assert "SHEET-014" not in {finding["code"] for finding in keys["findings"]}


def test_no_sheet_where_no_order_goes(hoopwright, car, room):
    assert "SHEET-015" in hoopwright.stops(
        "sheets", car, "--room", room(more="wall_right_mm = 300\nwall_left_mm = 300\n")
    )
    assert not list((car / "papers").glob("*.pdf"))


def test_no_sheet_for_a_bender_that_never_stands_level(hoopwright, car, room):
    assert hoopwright.stops("sheets", car, "--room", room(more="tilt_deg = 90\n")) == ["SHEET-016"]


@pytest.mark.parametrize(
    "order", ["1 from C, 2 from A", "1 from A", "1 from A, 1 from B", "3 from A, 1 from A"]
)
def test_a_listed_order_that_cannot_be(hoopwright, car, order):
    assert hoopwright.stops("sheets", car, "--order", order) == ["SHEET-003"]


def test_a_picture_is_drawn(hoopwright, car, room, tmp_path):
    file = tmp_path / "worst.png"
    ran = hoopwright.run("order", car, "X", "--room", room(), "--picture", file)
    assert ran.status == 0
    assert f"written: {file}" in ran.out
    image = np.asarray(Image.open(io.BytesIO(file.read_bytes())).convert("RGB")).astype(int)
    orange = (np.abs(image - (230, 159, 0)).max(axis=2) < 90) & (image[..., 2] < 40)
    blue = (image[..., 2] > 100) & (image[..., 0] < 40)
    assert orange.sum() > 500
    assert blue.sum() > 500


def test_the_picture_of_the_other_hand_is_the_mirror_image_in_the_level_view(hoopwright, car, room, tmp_path):
    """Seen from the side to which it swings, a bender without a pedestal shows the same moment the other way round."""
    files = [tmp_path / "one.png", tmp_path / "two.png"]
    nodes = tmp_path / "mirrored.csv"
    nodes.write_text(NODES.format(up=-500), encoding="utf-8")
    hoopwright.keys("bar", "add", car, "Y", "--role", "door bar", "--nodes", nodes)
    for file, bar, swings in zip(files, ("X", "Y"), ("clockwise", "anticlockwise"), strict=True):
        assert hoopwright.run("order", car, bar, "--room", room(swings=swings), "--picture", file).status == 0
    one, two = (np.asarray(Image.open(file).convert("RGB")).astype(int)[-700:-40, 700:1400] for file in files)
    different = np.abs(one - two[:, ::-1]).max(axis=2) > 60
    assert different.mean() < 0.01


def test_a_straight_bar_has_no_order(hoopwright, empty, room, tmp_path):
    nodes = tmp_path / "straight.csv"
    nodes.write_text("forward,left,up\n0,0,0\n900,0,0\n", encoding="utf-8")
    hoopwright.keys("bar", "add", empty, "S", "--role", "strut link", "--nodes", nodes)
    assert hoopwright.stops("order", empty, "S", "--room", room()) == ["ROOM-005"]


def test_a_bar_that_is_not_there_and_a_room_that_is_not(hoopwright, car, room, tmp_path):
    assert hoopwright.stops("order", car, "NO", "--room", room()) == ["CAGE-001"]
    assert hoopwright.stops("order", car, "X", "--room", tmp_path / "none.toml") == ["ROOM-003"]


@pytest.mark.parametrize("words", [(), ("only-a-project",), ("--bends", "x.csv", "--clr", "100")])
def test_wrong_use(hoopwright, words, room):
    assert hoopwright.run("order", *words, "--room", room()).status == 2


def test_the_example_is_printed_without_anything_else(hoopwright, tmp_path):
    ran = hoopwright.run("order", "--example")
    (tmp_path / "room.toml").write_text(ran.out, encoding="utf-8")
    bends = tmp_path / "one.csv"
    bends.write_text("straight_mm,rotation_deg,angle_deg\n300,0,90\n400,,\n", encoding="utf-8")
    keys = hoopwright.keys(
        "order", "--bends", bends, "--clr", "137.5", "--od", "45", "--room", tmp_path / "room.toml"
    )
    assert keys["works"]


def test_what_is_said_of_a_room_in_inches(hoopwright, room, tmp_path):
    bends = tmp_path / "one.csv"
    bends.write_text("straight_mm,rotation_deg,angle_deg\n300,0,90\n400,,\n", encoding="utf-8")
    typed = room(axis_height_mm=35, ceiling_mm=96)
    keys = hoopwright.keys("order", "--bends", bends, "--clr", "137.5", "--od", "45", "--room", typed)
    assert "ROOM-002" in {finding["code"] for finding in keys["findings"]}


def test_hundreds_of_bends(hoopwright, room, tmp_path):
    bends = tmp_path / "many.csv"
    rows = ["200,0,10"] * 300
    bends.write_text("\n".join(["straight_mm,rotation_deg,angle_deg", *rows, "200,,", ""]), encoding="utf-8")
    assert hoopwright.stops("order", "--bends", bends, "--clr", "137.5", "--od", "45", "--room", room()) == [
        "ROOM-006"
    ]


@pytest.mark.parametrize(
    ("rows", "clr", "code"),
    [
        ("300,0,90\n-20,0,45\n400,,", "137.5", "BAR-006"),
        ("300,0,179\n400,,", "137.5", "BAR-004"),
        ("300,0,nan\n400,,", "137.5", "CSV-003"),
        ("300,0,90\n400,,", "0", "BAR-006"),
        ("2000000,0,90\n400,,", "137.5", "BAR-006"),
        ("400,,", "137.5", "ROOM-005"),
    ],
)
def test_bars_that_cannot_be(hoopwright, room, tmp_path, rows, clr, code):
    bends = tmp_path / "bad.csv"
    bends.write_text(f"straight_mm,rotation_deg,angle_deg\n{rows}\n", encoding="utf-8")
    assert hoopwright.stops("order", "--bends", bends, "--clr", clr, "--od", "45", "--room", room()) == [code]


@pytest.mark.parametrize(
    ("rows", "works"),
    [("0,0,90\n400,,", False), ("300,0,0.5\n400,,", True), ("300,0,170\n0,0,45\n400,,", False)],
)
def test_bars_at_the_edge_are_searched(hoopwright, room, tmp_path, rows, works):
    """No tube ahead of the bend, hardly a bend, bends that meet."""
    bends = tmp_path / "edge.csv"
    bends.write_text(f"straight_mm,rotation_deg,angle_deg\n{rows}\n", encoding="utf-8")
    keys = hoopwright.keys("order", "--bends", bends, "--clr", "137.5", "--od", "45", "--room", room())
    assert keys["works"] == works
    if "0.5" in rows:
        assert "BAR-005" in {finding["code"] for finding in keys["findings"]}
