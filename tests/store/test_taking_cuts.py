"""Taking what was sawn, on a file and on a server: broken off between the shop and the project, twice, two at once."""

import os
import shutil
import sys
from concurrent.futures import ThreadPoolExecutor

import pytest
from pypdf import PdfReader

from hoopwright.bender import TubeBatch
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs import stock_taking, unfinished_takings
from hoopwright.jobs.deliveries import take_delivery
from hoopwright.jobs.stock import StockWishes
from hoopwright.jobs.stock_taking import take_stock
from hoopwright.store import ProjectFolder
from hoopwright.store.shop import Shop
from hoopwright.store.takings import taking_file
from hoopwright.tubes import TubeSize

NODES = {
    "MH": "-900,610,0\n-900,640,620\n-900,505,1085\n-900,-505,1085\n-900,-640,620\n-900,-610,0\n",
    "SB-L": "-350,640,60\n-430,655,560\n-880,525,1080\n-1560,505,1085\n",
}
SAMPLES = """\
od_mm = 45.0
wall_mm = 2.5
die = "45"
[[angle]]
command_deg = 90.0
released_deg = 86.5
[[plain]]
clr_mm = 137.5
used_per_deg_mm = 2.3556
start_offset_mm = 11.5
"""
DAY = "2026-03-14"
BARS = ["MH", "SB-L", "SB-R"]


class KilledError(BaseException):
    """Nothing in the program is there to catch it, as nothing catches a power cut."""


@pytest.fixture(scope="session")
def sized(hoopwright, tmp_path_factory):
    """A hoop and a pair of side bars that can be made."""
    folder = tmp_path_factory.mktemp("sized")
    (folder / "samples.toml").write_text(SAMPLES, encoding="utf-8")
    hoopwright.keys("new", folder / "car")
    hoopwright.keys("calibrate", folder / "samples.toml", "--project", folder / "car")
    for bar, role in (("MH", "main hoop"), ("SB-L", "side bar")):
        (folder / f"{bar}.csv").write_text(f"forward,left,up\n{NODES[bar]}", encoding="utf-8")
        hoopwright.keys("bar", "add", folder / "car", bar, "--role", role, "--nodes", folder / f"{bar}.csv")
    hoopwright.keys("bar", "mirror", folder / "car", "SB-L", "SB-R")
    return folder / "car"


@pytest.fixture
def car(sized, hoopwright, tmp_path, place, monkeypatch):
    """The project, with a stick of each of two batches in a shop on a file or a server."""
    monkeypatch.setenv("HOOPWRIGHT_SHOP", place)
    for name, heat, label, length in (("one", "7781", "A", "4000"), ("two", "9912", "B", "6000")):
        hoopwright.keys("batch", "add", name, "--tube", "45 x 2.5", "--heat", heat, "--steel", "S355")
        hoopwright.keys("stick", "add", label, "--batch", name, "--length", length)
    return shutil.copytree(sized, tmp_path / "car")


@pytest.fixture
def plan(hoopwright, car):
    return hoopwright.keys("stock", "plan", car)["identity"]


def killed(*_, **__):
    raise KilledError


def used_of(project):
    return [(used.bar_id, used.stick) for used in ProjectFolder(path=project).open().project.tubes_used]


def rack(hoopwright):
    return {stick["label"]: stick["state"] for stick in hoopwright.keys("stick", "show", "--used")["sticks"]}


def codes(keys):
    return [finding["code"] for finding in keys["findings"]]


def break_off(hoopwright, monkeypatch, where, name, *words):
    """Run a command that dies where it calls something."""
    with monkeypatch.context() as patch:
        patch.setattr(where, name, killed)
        with pytest.raises(KilledError):
            hoopwright.run(*words)


def whole(hoopwright, car):
    """Each bar is on record once, its stick is used, and nothing is left to be finished."""
    used = used_of(car)
    assert sorted(bar for bar, _ in used) == BARS
    states = rack(hoopwright)
    assert {states[stick] for _, stick in used} == {"used"}
    assert len(states) == len(set(states)) == 2 + sum(label not in ("A", "B") for label in states)
    assert not taking_file(ProjectFolder(path=car)).exists()
    return states


def test_plan_labels_order_take_and_put_back(hoopwright, car, tmp_path):
    planned = hoopwright.keys("stock", "plan", car, "--pdf", tmp_path / "saw.pdf", "--least", "100")
    hoopwright.keys("stock", "labels", car, "--pdf", tmp_path / "labels.pdf")
    assert hoopwright.keys("stock", "order", car)["order"] == planned["order"] == []
    (size,) = hoopwright.keys("stock", "rack", car)["rack"]
    assert [stick["label"] for stick in size["sticks"]] == ["A", "B"]
    for file in ("saw.pdf", "labels.pdf"):
        text = "".join(page.extract_text() for page in PdfReader(tmp_path / file).pages)
        assert all(word in text for word in (planned["identity"], *BARS))
    taken = hoopwright.keys("stock", "take", car, "--plan", planned["identity"], "--least", "100")
    assert sorted(taken["bars"]) == BARS
    states = whole(hoopwright, car)
    assert (
        {label for label, state in states.items() if state == "kept"}
        == {offcut["label"] for offcut in taken["offcuts"]}
        != set()
    )
    heats = {used.heat_number for used in ProjectFolder(path=car).open().project.tubes_used}
    assert heats == {"7781", "9912"}
    back = hoopwright.keys("stock", "put-back", car, "--plan", planned["identity"])
    assert sorted(back["bars"]) == BARS
    assert {label for label, state in rack(hoopwright).items() if state == "kept"} == {"A", "B"}


def test_a_quote_with_learnt_minutes(hoopwright, car):
    hoopwright.keys("bender", "add", "Red", "--swings", "clockwise", "--clamp", "75")
    hoopwright.keys("die", "add", "45", "--od", "45", "--clr", "137.5", "--reach", "120", "--bender", "Red")
    for minute, number in ((0, 1), (6, 2), (12, 3)):
        hoopwright.keys(
            *("log", "add", "--die", "45", "--batch", "one", "--wanted", "90", "--command", "93"),
            *("--released", "90", "--project", "car", "--bar", "MH", "--bend", number),
            *("--time", f"2026-03-14T10:{minute:02d}:00+00:00", "--key", f"car-MH-r1-1-{number}"),
        )
    (car / "rates.toml").write_text(
        'currency = "EUR"\n[[tube]]\nod = 45\nwall = 2.5\nper_metre = 5.0\nstick = 6000\n', encoding="utf-8"
    )
    quoted = hoopwright.keys("quote", car, "--learnt", "--pdf", car / "papers" / "quote.pdf")
    assert quoted["learnt"]["per_bend_min"] == 6.0
    assert (car / "papers" / "quote.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize("look", ["plan", "rack", "take", "take --plan", "order"])
def test_broken_off_after_the_shop_had_it(hoopwright, car, plan, monkeypatch, look):
    break_off(hoopwright, monkeypatch, unfinished_takings, "keep_tubes", "stock", "take", car, "--plan", plan)
    assert used_of(car) == []
    assert "used" in rack(hoopwright).values()
    if look.startswith("take"):
        words = ("--plan", plan) if "--plan" in look else ()
        made = hoopwright.keys("stock", "take", car, *words)
        assert codes(made) == ["STOCK-014"]
        assert sorted(made["bars"]) == BARS
    else:
        assert hoopwright.stops("stock", look, car) == ["STOCK-002", "STOCK-004", "STOCK-014"]
    states = whole(hoopwright, car)
    # nothing of it is told or done again
    assert hoopwright.stops("stock", "plan", car) == ["STOCK-002", "STOCK-004"]
    assert hoopwright.stops("stock", "take", car, "--plan", plan) == ["STOCK-011"]
    assert whole(hoopwright, car) == states


def test_broken_off_twice_in_a_row_and_once_more_behind_the_last_write(hoopwright, car, plan, monkeypatch):
    take = ("stock", "take", car, "--plan", plan)
    break_off(hoopwright, monkeypatch, unfinished_takings, "keep_tubes", *take)
    break_off(hoopwright, monkeypatch, unfinished_takings, "keep_tubes", *take)
    break_off(hoopwright, monkeypatch, unfinished_takings, "end_taking", *take)
    assert codes(hoopwright.keys(*take)) == ["STOCK-014"]
    whole(hoopwright, car)


def test_broken_off_before_the_shop_had_it(hoopwright, car, plan, monkeypatch):
    break_off(hoopwright, monkeypatch, Shop, "use_sticks", "stock", "take", car, "--plan", plan)
    assert rack(hoopwright) == {"A": "kept", "B": "kept"}
    assert "STOCK-016" in codes(hoopwright.keys("stock", "plan", car))
    assert "STOCK-016" not in codes(hoopwright.keys("stock", "take", car, "--plan", plan))
    whole(hoopwright, car)


@pytest.mark.skipif(sys.platform == "win32", reason="forks")
def test_a_process_that_dies_between_the_writes_lets_go(hoopwright, car, plan, monkeypatch):
    child = os.fork()
    if child == 0:
        monkeypatch.setattr(unfinished_takings, "keep_tubes", lambda *_: os._exit(9))
        hoopwright.run("stock", "take", car, "--plan", plan)
        os._exit(0)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 9
    assert used_of(car) == []
    assert codes(hoopwright.keys("stock", "take", car, "--plan", plan)) == ["STOCK-014"]
    whole(hoopwright, car)


def test_taken_put_back_and_taken_again_is_broken_off_each_time(hoopwright, car, plan, monkeypatch):
    """The third recording is the first one again, word for word: it must not be taken for done."""
    take = ("stock", "take", car, "--plan", plan, "--date", DAY)
    back = ("stock", "put-back", car, "--plan", plan, "--date", DAY)
    for words in (take, back, take, back, take):
        break_off(hoopwright, monkeypatch, unfinished_takings, "keep_tubes", *words)
        assert codes(hoopwright.keys(*words)) == ["STOCK-014"]
    assert len(used_of(car)) == 5 * len(BARS)
    tube_of = ProjectFolder(path=car).open().project.tube_of
    assert {tube_of[bar].stick for bar in BARS} == {"A", "B"}


def test_an_earlier_recording_of_the_same_plan_is_not_taken_for_the_one_that_was_broken_off(
    hoopwright, car, plan, monkeypatch
):
    take = ("stock", "take", car, "--plan", plan, "--date", DAY)
    back = ("stock", "put-back", car, "--plan", plan, "--date", DAY)
    hoopwright.keys(*take)
    hoopwright.keys(*back)
    break_off(hoopwright, monkeypatch, Shop, "use_sticks", *take)
    assert "STOCK-016" in codes(hoopwright.keys("stock", "plan", car))
    assert {stick for _, stick in used_of(car)[-len(BARS) :]} == {""}
    hoopwright.keys(*take)
    break_off(hoopwright, monkeypatch, Shop, "use_sticks", *back)
    assert "STOCK-016" in hoopwright.stops("stock", "plan", car)
    assert sorted(hoopwright.keys(*back)["bars"]) == BARS


def test_an_answer_that_was_lost_on_its_way(hoopwright, car, plan, monkeypatch):
    """The shop keeps it, and the connection is gone before it can say so."""
    really = Shop.use_sticks

    def lost(shop, pairs):
        really(shop, pairs)
        raise UserError(Finding(code="SHOP-023", severity=Severity.STOP, sentence="The answer was lost."))

    with monkeypatch.context() as patch:
        patch.setattr(Shop, "use_sticks", lost)
        assert hoopwright.stops("stock", "take", car, "--plan", plan) == ["SHOP-023"]
    assert codes(hoopwright.keys("stock", "take", car, "--plan", plan)) == ["STOCK-014"]
    whole(hoopwright, car)


def test_a_shop_that_refuses_leaves_nothing_behind(hoopwright, car, plan, monkeypatch):
    def refused(*_):
        raise UserError(Finding(code="SHOP-026", severity=Severity.STOP, sentence="Changed elsewhere."))

    with monkeypatch.context() as patch:
        patch.setattr(Shop, "use_sticks", refused)
        assert hoopwright.stops("stock", "take", car, "--plan", plan) == ["SHOP-026"]
    assert "STOCK-016" not in codes(hoopwright.keys("stock", "plan", car))


def test_a_full_disk_at_the_second_write_says_what_the_shop_has(hoopwright, car, plan, monkeypatch):
    def full(*_):
        raise UserError(Finding(code="STORE-002", severity=Severity.STOP, sentence="The disk is full."))

    with monkeypatch.context() as patch:
        patch.setattr(unfinished_takings, "keep_tubes", full)
        assert hoopwright.stops("stock", "take", car, "--plan", plan) == ["STORE-002", "STOCK-017"]
    assert codes(hoopwright.keys("stock", "take", car, "--plan", plan)) == ["STOCK-014"]
    whole(hoopwright, car)


def test_another_shop_does_not_decide(hoopwright, car, plan, place, monkeypatch, tmp_path):
    break_off(hoopwright, monkeypatch, unfinished_takings, "keep_tubes", "stock", "take", car, "--plan", plan)
    monkeypatch.setenv("HOOPWRIGHT_SHOP", str(tmp_path / "other.sqlite"))
    hoopwright.keys("shop", "show")
    assert hoopwright.stops("stock", "take", car) == ["STOCK-015"]
    looked = hoopwright.keys("stock", "plan", car)
    assert [one["severity"] for one in looked["findings"] if one["code"] == "STOCK-015"] == ["warning"]
    monkeypatch.setenv("HOOPWRIGHT_SHOP", "none")
    assert hoopwright.stops("stock", "take", car) == ["STOCK-015"]
    assert used_of(car) == []
    monkeypatch.setenv("HOOPWRIGHT_SHOP", place)
    assert codes(hoopwright.keys("stock", "take", car)) == ["STOCK-014"]
    whole(hoopwright, car)


def test_a_damaged_note_of_what_was_under_way_stops_and_stays(hoopwright, car, plan, monkeypatch):
    break_off(hoopwright, monkeypatch, unfinished_takings, "keep_tubes", "stock", "take", car, "--plan", plan)
    file = taking_file(ProjectFolder(path=car))
    file.write_bytes(file.read_bytes()[:-40])
    assert hoopwright.stops("stock", "take", car) == ["STORE-013"]
    assert file.exists()


def test_two_windows_at_once(hoopwright, car, plan):
    def take(_):
        try:
            return take_stock(ProjectFolder(path=car), StockWishes(), date=DAY, plan=plan).identity
        except UserError as error:
            return error.findings[0].code

    with ThreadPoolExecutor(4) as windows:
        ended = list(windows.map(take, range(4)))
    assert sorted(ended) == sorted([plan, "STOCK-011", "STOCK-011", "STOCK-011"])
    whole(hoopwright, car)


def test_two_projects_of_one_name_at_once(hoopwright, car, plan, tmp_path):
    """One of them has the sticks; the other has neither sticks nor bars."""
    copy = shutil.copytree(car, tmp_path / "copy")

    def take(folder):
        try:
            take_stock(ProjectFolder(path=folder), StockWishes(), date=DAY, plan=plan)
        except UserError as error:
            return error.findings[0].code
        return "taken"

    with ThreadPoolExecutor(2) as windows:
        ended = dict(zip((car, copy), windows.map(take, (car, copy)), strict=True))
    assert list(ended.values()).count("taken") == 1
    for folder, end in ended.items():
        assert sorted(bar for bar, _ in used_of(folder)) == (BARS if end == "taken" else [])
        assert not taking_file(ProjectFolder(path=folder)).exists()


def test_the_plan_that_was_shown_is_taken_without_solving_again(hoopwright, car, plan, monkeypatch):
    monkeypatch.setattr(stock_taking, "stock_of", killed)
    taken = hoopwright.keys("stock", "take", car, "--plan", plan, "--time-limit", "0", "--kerf", "9")
    assert (taken["identity"], sorted(taken["bars"])) == (plan, BARS)


@pytest.mark.parametrize(
    "change",
    [
        ("bar", "move", "{car}", "MH", "2", "--", "-900,640,640"),
        ("bar", "tube", "{car}", "MH", "50 x 2"),
        ("bar", "steel", "{car}", "MH", "E355"),
        ("bar", "remove", "{car}", "MH"),
        ("bar", "cut-from", "{car}", "MH", "--stick", "B"),
        ("stick", "use", "B"),
    ],
    ids=["moved", "tube", "steel", "removed", "cut from another", "stick used"],
)
def test_a_plan_that_holds_no_more_is_refused(hoopwright, car, plan, change):
    hoopwright.keys(*(word.format(car=car) for word in change))
    before, states = used_of(car), rack(hoopwright)
    assert hoopwright.stops("stock", "take", car, "--plan", plan) == ["STOCK-011"]
    assert (used_of(car), rack(hoopwright)) == (before, states)


def test_a_kept_plan_that_was_changed_by_hand_does_not_count(hoopwright, car, plan, monkeypatch):
    file = car / "stock" / "plans.cache" / f"{plan}.json"
    file.write_text(file.read_text().replace('"SB-L"', '"SB-X"'), encoding="utf-8")
    monkeypatch.setattr(stock_taking, "stock_of", killed)
    with pytest.raises(KilledError):  # it is solved anew
        hoopwright.run("stock", "take", car, "--plan", plan)
    for wrong in ("../../cage", "0" * 10, plan.upper()):
        with pytest.raises(KilledError):
            hoopwright.run("stock", "take", car, "--plan", wrong)


def test_two_deliveries_at_once_lose_no_stick(place):
    batch = TubeBatch(name="B9", tube=TubeSize(od_mm=45.0, wall_mm=2.5), heat_number="7781")

    def come(_):
        return [stick.label for stick in take_delivery(batch, length_mm=6000.0, count=3, where=place)]

    with Shop.open(place):
        pass
    with ThreadPoolExecutor(4) as doors:
        labels = [label for came in doors.map(come, range(4)) for label in came]
    assert len(set(labels)) == len(labels) == 12
    with Shop.open(place) as shop:
        assert {stick.label for stick in shop.sticks(batch="B9")} == set(labels)


def test_a_delivery_of_sticks_that_cannot_be_keeps_no_batch(place):
    batch = TubeBatch(name="B9", tube=TubeSize(od_mm=45.0, wall_mm=2.5))
    with pytest.raises(UserError) as stopped:
        take_delivery(batch, length_mm=float("nan"), count=2, where=place)
    assert [finding.code for finding in stopped.value.findings] == ["SHOP-002"]
    with Shop.open(place) as shop:
        assert shop.batches() == ()
