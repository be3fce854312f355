"""`hoopwright bend`: what is refused, what counts once, what is corrected, and the questions in a terminal."""

import importlib
from concurrent.futures import ThreadPoolExecutor

import pytest

from hoopwright.bender.rescue.records import Reading
from hoopwright.findings import UserError
from hoopwright.jobs.bending import take_reading
from hoopwright.jobs.sticks import BendWishes
from hoopwright.store import ProjectFolder

HOOP = (
    "forward,left,up\n-900,610,0\n-900,640,620\n-900,505,1085\n-900,-505,1085\n-900,-640,620\n-900,-610,0\n"
)
SIDE_BAR = "forward,left,up\n-350,640,60\n-430,655,560\n-880,525,1125\n-1560,505,1150\n"
CAL_1 = """\
od_mm = 45.0
wall_mm = 2.5
die = "45"
name = "Cal-1"
[[plain]]
clr_mm = 137.5
used_per_deg_mm = 2.3556
start_offset_mm = 11.5
constant_deg = 0.777
per_command_deg = 0.0301
"""


@pytest.fixture
def car(hoopwright, project, tmp_path):
    for name, role, nodes in (("MH", "main hoop", HOOP), ("SB", "side bar", SIDE_BAR)):
        (tmp_path / "nodes.csv").write_text(nodes)
        hoopwright.keys(
            "bar", "add", project, name, "--role", role, "--nodes", tmp_path / "nodes.csv", "--trim-a", "30",
            "--trim-b", "30",
        )  # fmt: skip
    hoopwright.keys("bar", "add", project, "ST", "--role", "sill bar", "--nodes", straight(tmp_path))
    (tmp_path / "cal.toml").write_text(CAL_1)
    hoopwright.keys("calibrate", tmp_path / "cal.toml", "--project", project)
    hoopwright.keys("sheets", project, "--order", "A to B", "--swings", "clockwise")
    return project


def straight(folder):
    file = folder / "straight.csv"
    file.write_text("forward,left,up\n-500,640,60\n-1500,640,60\n")
    return file


def lines(car, bar="MH"):
    return (car / "bending" / f"{bar}-r1.jsonl").read_bytes().splitlines()


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (["--reading", "-3"], "BEND-001"),
        (["--reading", "181"], "BEND-001"),
        (["--reading", "nan"], "UNIT-002"),
        (["--reading", "18.9", "--pulled", "12"], "BEND-001"),
        (["--reading", "18.9", "--pulled", "190"], "BEND-001"),
        (["--reading", "18.9", "--mark", "5 m"], "BEND-001"),
        (["--reading", "18.9", "--turned", "1e9"], "BEND-001"),
        (["--reading", "18.9", "--shown", "4"], "BEND-003"),
        (["--reading", "12"], "BEND-009"),
        (["--reading", "161"], "BEND-009"),  # the angle between the legs
        (["--decide", "go on"], "BEND-004"),
        (["--reading", "18.9", "--band=-1"], "BEND-014"),
        (["--reading", "18.9", "--end-limit", "2 m"], "BEND-014"),
        (["--decide", "perhaps"], "TYPED-001"),
        (["--reading", "18.9", "--correct", "2"], "BEND-008"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_written(hoopwright, car, words, code):
    assert hoopwright.stops("bend", car, "MH", *words) == [code]
    assert not list((car / "bending").glob("*.jsonl"))


@pytest.mark.parametrize(
    "words",
    [
        ["--reading", "18", "--decide", "go on"],
        ["--correct", "2"],
        ["--pulled", "20"],
        ["--again", "--reading", "18"],
        ["--taped", "feet 1266", "--reading", "18"],
    ],
)
def test_one_thing_at_a_time(hoopwright, car, words):
    assert hoopwright.run("bend", car, "MH", *words).status == 2


def test_nothing_is_made_where_there_is_no_project(hoopwright, tmp_path):
    assert hoopwright.stops("bend", tmp_path / "nowhere", "MH") == ["STORE-005"]
    assert not (tmp_path / "nowhere").exists()


def test_a_bend_does_not_open_by_itself(hoopwright, car):
    hoopwright.keys("bend", car, "MH", "--reading", "18.4")
    assert hoopwright.stops("bend", car, "MH", "--reading", "17.9") == ["BEND-002"]
    keys = hoopwright.keys("bend", car, "MH", "--reading", "17.9", "--reason", "gauge was off its zero")
    assert (keys["phase"], keys["number"]) == ("add", 3)


def test_the_same_reading_sent_twice_counts_once(hoopwright, car):
    first = hoopwright.keys("bend", car, "MH", "--reading", "18.96", "--key", "phone-1", "--shown", "1")
    again = hoopwright.keys("bend", car, "MH", "--reading", "18.96", "--key", "phone-1", "--shown", "1")
    assert (first["counted_before"], again["counted_before"]) == (False, True)
    assert (again["step"], again["number"]) == (first["step"], first["number"]) == (2, 2)
    assert len(lines(car)) == 2
    assert hoopwright.stops("bend", car, "MH", "--reading", "73.8", "--key", "phone-1") == ["BEND-005"]


def test_a_decision_sent_twice_counts_once(hoopwright, car):
    hoopwright.keys("bend", car, "MH", "--reading", "20")
    hoopwright.keys("bend", car, "MH", "--decide", "go on", "--key", "d")
    keys = hoopwright.keys("bend", car, "MH", "--decide", "go on", "--key", "d")
    assert (keys["counted_before"], keys["step"], len(lines(car))) == (True, 2, 3)


def test_an_answer_to_what_is_not_asked_any_more_says_what_is(hoopwright, car):
    hoopwright.keys("bend", car, "MH", "--reading", "18.96", "--shown", "1")
    keys = hoopwright.keys("bend", car, "MH", "--reading", "18.96", "--shown", "1", status=1)
    (finding,) = keys["findings"]
    assert finding["code"] == "BEND-003"
    assert "step 2, bend 2 is to be made" in finding["sentence"]
    assert len(lines(car)) == 2


def test_devices_at_one_time_count_once_each(car):
    """Eight devices answer what they all were shown: one is taken, the others are told."""
    folder = ProjectFolder(path=car)

    def send(number):
        reading = Reading(step=0, released_deg=18.9 + number / 100, at="", key=f"device {number}")
        try:
            take_reading(folder, "MH", reading, BendWishes(at="2026-03-14T10:00:00", shown=1))
        except UserError as stop:
            return stop.findings[0].code
        return "taken"

    with ThreadPoolExecutor(8) as pool:
        answers = list(pool.map(send, range(8)))
    assert sorted(answers) == ["BEND-003"] * 7 + ["taken"]
    assert len(lines(car)) == 2


def test_a_wrong_entry_is_corrected_by_a_further_record(hoopwright, car):
    """89.1 typed for 18.96: the bend asks for a decision; corrected, it is as if 18.96 had been typed."""
    keys = hoopwright.keys("bend", car, "MH", "--reading", "89.1", "--pulled", "92.7")
    assert keys["phase"] == "decide"
    before = lines(car)
    keys = hoopwright.keys("bend", car, "MH", "--correct", "2", "--reading", "18.96", "--pulled", "20.35")
    assert (keys["phase"], keys["step"], keys["number"]) == ("bend", 2, 3)
    assert lines(car)[:2] == before
    assert [row["released_deg"] for row in keys["log"]] == [18.96]


def test_an_earlier_entry_corrected_asks_for_a_decision(hoopwright, car):
    hoopwright.keys("bend", car, "MH", "--reading", "18.96")
    hoopwright.keys("bend", car, "MH", "--reading", "73.8")
    keys = hoopwright.keys("bend", car, "MH", "--correct", "2", "--reading", "20.5")
    assert (keys["phase"], keys["rescue"]["open_bends"]) == ("decide", [3, 4])
    keys = hoopwright.keys("bend", car, "MH", "--decide", "go on")
    assert (keys["phase"], keys["step"]) == ("bend", 3)
    assert [one["released_deg"] for one in keys["made"]] == [20.5, 73.8]


def test_a_scrapping_for_a_mistyped_reading_is_taken_back(hoopwright, car):
    hoopwright.keys("bend", car, "MH", "--reading", "81.96", "--reason", "gauge")
    hoopwright.keys("bend", car, "MH", "--decide", "scrap")
    keys = hoopwright.keys("bend", car, "MH", "--correct", "2", "--reading", "18.96", "--reason", "typed 81")
    assert (keys["phase"], keys["step"]) == ("bend", 2)


def test_a_turn_that_strays_solves_the_rest_again(hoopwright, car):
    hoopwright.keys("bend", car, "SB", "--reading", "31.63")
    ask = hoopwright.keys("bend", car, "SB")["ask"]
    assert ask["turn_deg"] == pytest.approx(-26.96, abs=0.05)
    keys = hoopwright.keys("bend", car, "SB", "--reading", "49.76", "--turned", "-22")
    assert (keys["phase"], keys["made"][1]["total_deg"]) == ("decide", pytest.approx(-22.0))
    assert (
        "the tube was turned -22.0° instead of -27.0° (clockwise positive)"
        in hoopwright.run("bend", car, "SB").out
    )
    keys = hoopwright.keys("bend", car, "SB", "--decide", "go on")
    assert keys["phase"] == "done"


def test_a_bend_left_under_is_made_up_for(hoopwright, car):
    hoopwright.keys("bend", car, "MH", "--reading", "17")
    keys = hoopwright.keys("bend", car, "MH", "--decide", "go on")
    assert (keys["phase"], keys["step"], keys["made"][0]["released_deg"]) == ("bend", 2, 17.0)
    assert keys["ask"]["target_deg"] > 74.0


def test_an_old_sheet_is_said(hoopwright, car):
    hoopwright.keys("bend", car, "MH", "--reading", "18.96")
    hoopwright.keys("bar", "move", car, "MH", "3", "--", "-900,500,1085")
    keys = hoopwright.keys("bend", car, "MH")
    assert [finding["code"] for finding in keys["findings"]] == ["BEND-007"]
    assert keys["step"] == 2
    hoopwright.keys("bar", "remove", car, "MH")
    keys = hoopwright.keys("bend", car, "MH")
    assert [finding["code"] for finding in keys["findings"]] == ["BEND-007"]


def test_no_stick_is_begun_without_a_sheet_in_force(hoopwright, car, tmp_path):
    assert hoopwright.stops("bend", car, "ST") == ["BEND-012"]
    assert hoopwright.stops("bend", car, "XX") == ["CAGE-001"]
    hoopwright.keys("bar", "add", car, "M2", "--role", "main hoop", "--nodes", tmp_path / "nodes.csv")
    assert hoopwright.stops("bend", car, "M2") == ["BEND-010"]
    hoopwright.keys("bar", "move", car, "MH", "3", "--", "-900,500,1085")
    assert hoopwright.stops("bend", car, "MH") == ["BEND-011"]


def test_the_code_of_another_revision_is_refused(hoopwright, car):
    keys = hoopwright.keys("bend", car, "MH", "--reading", "18.96")
    name = ProjectFolder(path=car).open().project.name
    good, other = (f"hoopwright:{name}/MH/{identity}" for identity in (keys["identity"], "0123456789"))
    assert hoopwright.keys("bend", car, good)["step"] == 2
    assert hoopwright.stops("bend", car, other, "--reading", "73.8") == ["BEND-006"]
    assert hoopwright.stops("bend", car, "hoopwright:other/MH/0123456789") == ["SHEET-012"]


def test_one_stick_is_finished_before_the_next(hoopwright, car):
    hoopwright.keys("bend", car, "MH", "--reading", "18.96")
    assert hoopwright.stops("bend", car, "MH", "--again") == ["BEND-013"]


def test_a_turn_is_typed_the_way_round_that_it_is_asked(hoopwright, car, monkeypatch):
    """Asked for 27.0 anticlockwise, a person types 22: 22 anticlockwise, and not clockwise."""
    monkeypatch.setattr(importlib.import_module("hoopwright.cli.bend"), "is_terminal", lambda _stream: True)
    answers = ["", "", "31.63", "", "22", "", "49.76", "q"]
    ran = hoopwright.run("bend", car, "SB", typed="\n".join(answers) + "\n")
    assert "turn the tube 27.0° anticlockwise" in ran.out
    assert hoopwright.keys("bend", car, "SB")["made"][1]["total_deg"] == pytest.approx(-22.0)


def test_asks_one_number_after_the_other(hoopwright, car, monkeypatch):
    monkeypatch.setattr(importlib.import_module("hoopwright.cli.bend"), "is_terminal", lambda _stream: True)
    answers = [
        "", "", "abc", "18.4",  # mark, pull, a slip of the hand, what it reads
        "", "18.96",  # pull on, what it reads
        "", "", "", "74.6",  # mark, turn, pull, over
        "perhaps", "go on",
        "2000", "q",
    ]  # fmt: skip
    ran = hoopwright.run("bend", car, "MH", typed="\n".join(answers) + "\n")
    assert ran.status == 0
    for said in (
        "mark of bend 1 at 616.3 mm",
        "pull to 20.35°",
        "add 0.6°",
        "do not turn the tube",
        "go on or scrap",
    ):
        assert said in ran.out
    assert "left; go on with the same command" in ran.out
    assert hoopwright.keys("bend", car, "MH")["step"] == 3


def test_a_stick_is_not_logged_without_a_batch_that_the_shop_has(hoopwright, car, tmp_path, monkeypatch):
    monkeypatch.setenv("HOOPWRIGHT_SHOP", str(tmp_path / "shop.sqlite"))
    hoopwright.keys("bender", "add", "Red", "--swings", "clockwise", "--clamp", "60")
    hoopwright.keys("die", "add", "45", "--od", "45", "--clr", "137.5", "--reach", "180", "--bender", "Red")
    hoopwright.keys("batch", "add", "B1", "--tube", "45 x 2.5")
    assert hoopwright.stops("log", "bar", car, "SB") == ["BEND-015"]
    sheet = hoopwright.keys("sheets", car, "--bar", "SB")["sheets"][0]
    for step in sheet["steps"]:
        made = hoopwright.keys("bend", car, "SB", "--reading", f"{sheet['angles_deg'][step['bend'] - 1]}")
    assert "BEND-016" in [finding["code"] for finding in made["findings"]]
    assert hoopwright.stops("log", "bar", car, "SB") == ["SHOP-048"]
    assert hoopwright.stops("log", "bar", car, "SB", "--batch", "B9") == ["SHOP-025"]
    assert hoopwright.keys("log", "bar", car, "SB", "--batch", "B1")["added"] == len(sheet["steps"])
    bends = hoopwright.keys("log", "show", "--bar", "SB")["bends"]
    assert all(bend["command_deg"] > bend["released_deg"] > 0.0 for bend in bends)


def test_a_reading_sent_twice_is_doubted_and_taken_back(hoopwright, car):
    first, second = (hoopwright.keys("bend", car, "MH", "--reading", read) for read in ("18.9", "73.8"))
    assert "BEND-017" not in [one["code"] for one in (*first["findings"], *second["findings"])]
    twice = hoopwright.keys("bend", car, "MH", "--reading", "73.8")
    (told,) = (one for one in twice["findings"] if one["code"] == "BEND-017")
    assert f"--take-back {twice['number']}" in told["todo"]
    before = lines(car)
    back = hoopwright.keys("bend", car, "MH", "--take-back", twice["number"], "--reason", "sent twice")
    assert (back["step"], len(back["made"])) == (second["step"], len(second["made"]))
    assert back["ask"]["mark_mm"] == pytest.approx(second["ask"]["mark_mm"], abs=1e-9)
    assert lines(car)[: len(before)] == before
    assert hoopwright.stops("bend", car, "MH", "--take-back", twice["number"]) == ["BEND-008"]
    assert hoopwright.keys("bend", car, "MH", "--reading", "73.7")["step"] == 4


def test_a_mark_in_another_unit_is_refused(hoopwright, car):
    assert hoopwright.stops("bend", car, "MH", "--reading", "18.9", "--mark", "24.3") == ["BEND-001"]


def test_a_file_of_records_cut_short_is_told(hoopwright, car):
    hoopwright.keys("bend", car, "MH", "--reading", "18.9")
    file = car / "bending" / "MH-r1.jsonl"
    file.write_bytes(file.read_bytes()[:300])
    state = hoopwright.keys("bend", car, "MH", "--state")
    assert "BEND-019" in [one["code"] for one in state["findings"]]


@pytest.fixture
def bent(hoopwright, car):
    for read in ("18.96", "73.81", "73.81", "18.96"):
        hoopwright.keys("bend", car, "MH", "--reading", read)
    return car


def taped(made):
    return {one["key"]: one["taped_mm"] for one in made["distances"] if one["taped_mm"] is not None}


def test_a_distance_is_taped_and_put_right_by_a_further_record(hoopwright, bent):
    before = hoopwright.keys("bend", bent, "MH")
    assert [one["key"] for one in before["distances"]] == [
        "feet",
        "knees",
        "height",
        "diagonal A",
        "diagonal B",
    ]
    assert taped(before) == {}
    kept = lines(bent)
    made = hoopwright.keys("bend", bent, "MH", "--taped", "feet 1266", "--key", "first")
    assert taped(made) == {"feet": 1266.0}
    assert hoopwright.keys("bend", bent, "MH", "--taped", "Feet 1266 mm", "--key", "first")["counted_before"]
    assert hoopwright.stops("bend", bent, "MH", "--taped", "feet 1267", "--key", "first") == ["BEND-005"]
    made = hoopwright.keys("bend", bent, "MH", "--taped", "feet 49 13/16")
    assert taped(made) == {"feet": pytest.approx(49.8125 * 25.4)}
    assert lines(bent)[: len(kept)] == kept
    assert len(lines(bent)) == len(kept) + 2
    said = hoopwright.run("bend", bent, "MH").out
    assert "feet: outside width over the feet, at the trim marks" in said
    assert "1265.2" in said


@pytest.mark.parametrize(
    ("words", "code"),
    [
        ("feet nan", "TYPED-001"),
        ("feet -1265", "ASBENT-003"),
        ("feet 0", "ASBENT-003"),
        ("feet 49.8", "ASBENT-003"),
        ("feet 1265 m", "ASBENT-003"),
        ("hands 1265", "ASBENT-001"),
        ("1265", "TYPED-001"),
    ],
)
def test_a_distance_that_cannot_be_is_refused_and_nothing_is_written(hoopwright, bent, words, code):
    kept = lines(bent)
    assert hoopwright.stops("bend", bent, "MH", "--taped", words) == [code]
    assert lines(bent) == kept


def test_a_bar_in_hand_is_not_taped(hoopwright, car):
    hoopwright.keys("bend", car, "MH", "--reading", "18.96")
    assert hoopwright.stops("bend", car, "MH", "--taped", "feet 1266") == ["BEND-004"]
    assert hoopwright.keys("bend", car, "MH")["distances"] == []


def test_asks_for_the_distances_after_the_last_bend(hoopwright, bent, monkeypatch):
    monkeypatch.setattr(importlib.import_module("hoopwright.cli.bend"), "is_terminal", lambda _stream: True)
    hoopwright.keys("bend", bent, "MH", "--taped", "knees 1326")
    # feet in the wrong unit and again, no height, one diagonal, then away
    ran = hoopwright.run("bend", bent, "MH", typed="49.8\n1266\n\n1563\nq\n")
    assert ran.status == 0, ran.err
    assert 'It would fit in inches: type 49.8"' in ran.err
    made = hoopwright.keys("bend", bent, "MH")
    assert taped(made) == {"feet": 1266.0, "knees": 1326.0, "diagonal A": 1563.0}
