"""`hoopwright reach` as typed: what it refuses, what it prints, what it leaves alone."""

import json

import pytest

HOOP = "forward,left,up\n" + "".join(
    f"-900,{left},{up}\n"
    for left, up in ((610, 0), (640, 620), (505, 1085), (-505, 1085), (-640, 620), (-610, 0))
)


@pytest.fixture(scope="module")
def car(hoopwright, bodies, tmp_path_factory):
    folder = tmp_path_factory.mktemp("reach")
    project = folder / "car"
    corners = bodies.cabin_soup()
    lines = ["solid cabin"]
    for triangle in corners:
        lines += ["facet normal 0 0 0", "outer loop"]
        lines += [f"vertex {x:.4f} {y:.4f} {z:.4f}" for x, y, z in triangle]
        lines += ["endloop", "endfacet"]
    (folder / "cabin.stl").write_text("\n".join([*lines, "endsolid"]), encoding="utf-8")
    (folder / "hoop.csv").write_text(HOOP, encoding="utf-8")
    (folder / "roof.csv").write_text("forward,left,up\n-900,200,1085\n-300,200,1085\n", encoding="utf-8")
    hoopwright.keys("new", project)
    hoopwright.keys("scan", project, folder / "cabin.stl", "--unit", "mm", "--as-given")
    feet = ("--end-a", "shell", "--end-b", "shell")
    hoopwright.keys("bar", "add", project, "MH", "--role", "main hoop", "--nodes", folder / "hoop.csv", *feet)
    hoopwright.keys(
        "bar", "add", project, "RB", "--role", "roof bar", "--nodes", folder / "roof.csv",
        "--tube", "38 x 2.5", "--end-a", "MH",
    )  # fmt: skip
    return project


def intent(car):
    cage = json.loads((car / "cage.json").read_text(encoding="utf-8"))
    return cage["members"], cage["landings"]


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("--needs", "nan"), "UNIT-001"),
        (("--needs", "-60"), "REACH-002"),
        (("--needs", "60 m"), "REACH-002"),
        (("--drop", "-5"), "REACH-002"),
        (("--needs", "60", "--drop", "50"), "REACH-002"),
        (("--tilt", "45"), "REACH-002"),
        (("--pedestal-step", "0"), "REACH-002"),
        (("--torch", "nozzle -22"), "REACH-001"),
        (("--torch", "nozzle 22 in"), "REACH-001"),
        (("--torch", "wheel 22"), "TYPED-001"),
        (("--torch", "nozzle"), "UNIT-001"),
        (("--torch", "handle length"), "UNIT-001"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_changes(hoopwright, car, words, code):
    before = (car / "cage.json").read_bytes()
    assert hoopwright.stops("reach", car, *words) == [code]
    assert (car / "cage.json").read_bytes() == before


def test_without_a_scan_it_stops(hoopwright, tmp_path):
    hoopwright.keys("new", tmp_path / "car")
    assert hoopwright.stops("reach", tmp_path / "car") == ["SCAN-014"]


def test_the_words_for_a_person(hoopwright, car):
    ran = hoopwright.run("reach", car, "--needs", "60")
    assert ran.status == 0
    assert "room over top of MH: 10.5 mm" in ran.out
    assert "needed 60.0, so 49.5 mm lower" in ran.out
    assert "the move touches nothing" in ran.out
    assert (
        "pedestal of 50 mm under MH A: last straight 597.8 -> 547.7, foot at -900.0, 612.4, 50.0" in ran.out
    )
    assert "There weld all round MH/RB-A." in ran.out
    assert "Reached means that the torch as typed finds room, and nothing of the weld." in ran.out


def test_every_joint_has_its_share_and_what_is_in_the_way(hoopwright, car):
    told = hoopwright.keys("reach", car)
    (joint,) = told["joints"]
    assert joint["name"] == "MH/RB-A"
    here = joint["in_place"]
    assert here["reached_deg"] == pytest.approx(here["share"] * 360.0)
    ((low, high),) = here["unreached_deg"]
    assert high - low == pytest.approx(360.0 - here["reached_deg"])
    assert here["in_the_way"][0]["name"].startswith("roof")
    assert told["low"]["move_touches"] is False
    assert told["welded_low"] == ["MH/RB-A"]
    assert [foot["name"] for foot in told["feet"]] == ["foot MH-A", "foot MH-B"]


def test_a_typed_place_is_tried_and_no_other(hoopwright, car):
    told = hoopwright.keys("reach", car, "--drop", "2 in", "--shift", "-40")
    assert told["low"]["drop_mm"] == pytest.approx(50.8)
    assert told["low"]["pedestal_mm"] == 60.0
    assert told["low"]["shift_mm"] == -40.0
    assert len(told["low"]["stages"]) == 3
    assert told["aside"] is None


def test_pictures_of_short_joints(hoopwright, car):
    told = hoopwright.keys("reach", car, "--needs", "60", "--pictures")
    assert told["pictures"] == ["papers/reach-MH-RB-A.png"]
    assert (car / told["pictures"][0]).read_bytes().startswith(b"\x89PNG")


def test_taken_pedestals_are_landings_and_are_undone_in_one_step(hoopwright, car):
    before = intent(car)
    hoopwright.keys("reach", car, "--needs", "60", "--take")
    boxes = [(one["bar_id"], one["end"], one["kind"], one["height_mm"]) for one in intent(car)[1]]
    assert boxes == [("MH", "A", "box", 50.0), ("MH", "B", "box", 50.0)]
    rows = hoopwright.keys("check", car, "--bar", "MH")["checks"]
    assert [row["verdict"] for row in rows if row["check"].startswith("foot")] == ["pass", "pass"]
    hoopwright.keys("undo", car)
    assert intent(car) == before


def test_a_gusset_in_the_corner_says_weld_the_joint_first(hoopwright, car):
    """A gusset fills the heel of the joint of its own two bars: more of it is reached before it goes in."""
    hoopwright.keys("gusset", "add", car, "G1", "RB", "MH", "--leg", "80")
    try:
        keys = hoopwright.keys("reach", car, "--drop", "0")
        (joint,) = (one for one in keys["joints"] if one["name"] == "MH/RB-A")
        assert joint["in_place"]["share"] < joint["early"]["share"]
        assert joint["early_before"] == ["G1 flat gusset"]
        assert any("before G1 flat gusset goes in" in step["what"] for step in keys["plan"])
    finally:
        hoopwright.keys("gusset", "remove", car, "G1")
    keys = hoopwright.keys("reach", car, "--drop", "0")
    assert not any("G1" in step["what"] for step in keys["plan"])
