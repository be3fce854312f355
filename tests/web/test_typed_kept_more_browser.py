"""What is typed and not taken yet survives an edit elsewhere: answers, the rack, new bars, tape, limits, a section.

Each test waits for what the edit elsewhere brings onto the page before it looks at what was typed.
"""

import re

import pytest
from tests.web.at_rest import answered
from tests.web.conftest import serving

from hoopwright.bender import TubeBatch
from hoopwright.cage import Limits
from hoopwright.jobs.cage_bars import mirror_bar, move_bar_node
from hoopwright.jobs.deliveries import take_delivery
from hoopwright.jobs.projects import change_limits
from hoopwright.jobs.rule_books import books_folder, pin_book
from hoopwright.jobs.scans import add_tape
from hoopwright.shell.records import TapeDistance, TapePlace
from hoopwright.store import ProjectFolder
from hoopwright.tubes import TubeSize

pytestmark = pytest.mark.slow

BOOK = """\
[book]
id = "my-club"
body = "My club"
edition = "2026"
unit = "mm"
provenance = "read"

[[rule]]
id = "asked"
kind = "question"
question = "Are all welds finished all round?"
"""
BATCH = TubeBatch(name="B1", tube=TubeSize(od_mm=45.0, wall_mm=2.5))


@pytest.fixture
def project(small):
    return small


@pytest.fixture
def served(project, tmp_path, monkeypatch):
    place = str(tmp_path / "shop.sqlite")
    monkeypatch.setenv("HOOPWRIGHT_SHOP", place)
    with serving(project, log=tmp_path / "server.log", shop=place) as running:
        yield running


@pytest.fixture
def window(served, page_of):
    """Opens a window, and knows the project as another one changes it."""

    def opened(tab=""):
        page = page_of(served.url)
        page.wait_for_function("window.hoopwrightView && window.hoopwrightView.shell")
        page.wait_for_selector("button.hw-item")
        page.elsewhere = ProjectFolder(path=served.project)
        if tab:
            page.get_by_role("tab", name=tab, exact=True).click()
        return page

    return opened


def expecting(locator):
    from playwright.sync_api import expect

    return expect(locator)


def unfold(page, card):
    page.locator(".hw-right .q-expansion-item .q-item", has_text=card).locator("visible=true").first.click()


def elsewhere(page, job, *args, **given):
    """Another window's edit, until this one shows its step."""
    status = page.get_by_role("status").filter(has_text="saved, step")
    step = int(status.inner_text().split()[-1])
    job(page.elsewhere, *args, **given)
    page.get_by_text(f"saved, step {step + 1}").wait_for()


def holds(page, typed):
    """That every field holds what was typed in it, once all that was sent is on the page, and with other units too."""
    for turn in (None, "in", "mm"):
        if turn is not None:
            page.get_by_role("group", name="Units").get_by_role("button", name=turn, exact=True).click()
        answered(page)
        for label, text in typed.items():
            expecting(page.get_by_label(label, exact=True)).to_have_value(text)


def fill(page, typed):
    for label, text in typed.items():
        page.get_by_label(label, exact=True).fill(text)


def test_an_answer_to_a_rule_is_typed_while_another_window_moves_a_bar(window, served):
    folder = ProjectFolder(path=served.project)
    books_folder(folder).mkdir()
    (books_folder(folder) / "my-club.toml").write_text(BOOK)
    pin_book(folder, "my-club")
    page = window("Rule book")
    page.get_by_role("button", name="Hold the cage to the book").click()
    page.locator(".hw-right tr").filter(has_text=re.compile("^asked")).get_by_role("button").click()
    page.get_by_text("Rule asked, cage", exact=True).wait_for()
    typed = {"What was measured or seen, and how": "looked at every one", "Who says so": "Anna"}
    fill(page, typed)
    elsewhere(page, move_bar_node, "BS-L", 2, (-1610.0, 565.0, 205.0))
    page.get_by_text("OLD: the project has changed since").wait_for()
    holds(page, typed)
    page.get_by_label("What you found").click()
    page.get_by_role("option", name="it holds", exact=False).first.click()
    page.get_by_role("button", name="Keep this answer").click()
    page.get_by_text("Anna: pass. looked at every one").wait_for()
    # taken: the next answer begins empty
    expecting(page.get_by_label("Who says so")).to_have_value("")


def test_what_is_left_of_a_stick_is_typed_while_more_tube_comes(window):
    take_delivery(BATCH, length_mm=6000.0, count=1)
    page = window("Sticks")
    unfold(page, "On the rack of the shop")
    page.locator(".hw-right tr").filter(has_text="B1-1").get_by_role("button").click()
    typed = {"What is left of it": "2.5 m", "Label of what is left": "B1-rest"}
    fill(page, typed)
    take_delivery(BATCH, length_mm=3000.0, count=1)
    elsewhere(page, mirror_bar, "HB", "HB-2")
    page.locator(".hw-right tr").filter(has_text="B1-2").wait_for()
    holds(page, typed)
    page.get_by_role("button", name="It is used: stick B1-1").click()
    page.get_by_text(re.compile("^✓ B1-1 is used. B1-rest, 2500.0 mm, lies on the rack")).wait_for()


def test_a_new_bar_is_typed_while_another_window_adds_one(window):
    page = window("Cage")
    unfold(page, "Add a bar")
    for _ in range(2):
        page.get_by_role("button", name="Type one more").click()
    page.get_by_label("Node 2", exact=True).wait_for()
    typed = {
        "Name of the bar": "RB",
        "Tube": "38 x 2",
        "Node 1": "-900, 300, 1085",
        "Node 2": "-1200, 300, 1085",
        "Tube left beyond end A until test fit": "25",
    }
    fill(page, typed)
    elsewhere(page, mirror_bar, "HB", "HB-2")
    # the new bar can be landed on at once
    page.get_by_label("End A lands on").click()
    page.get_by_role("option", name="HB-2", exact=True).click()
    holds(page, typed)
    expecting(page.locator(".q-field").filter(has_text="End A lands on")).to_contain_text("HB-2")


def test_a_tape_distance_is_typed_while_another_window_holds_one_against_the_scan(window):
    page = window("Scan")
    page.get_by_label("The tape reads", exact=True).wait_for()
    typed = {
        "Name": "width at the hoop",
        "The tape reads": "1360",
        "One end": "-900, 680, 620",
        "Other end": "-900, -680, 6",
    }
    fill(page, typed)
    ends = [TapePlace(place_mm=(-900.0, side * 600.0, 300.0), on_metal=True) for side in (1, -1)]
    other = TapeDistance(name="sills", tape_mm=1300.0, from_place=ends[0], to_place=ends[1])
    add_tape(page.elsewhere, [other])
    page.get_by_role("button", name="Change tape distance sills").wait_for()
    holds(page, typed)
    page.get_by_label("Other end", exact=True).fill("-900, -680, 620")
    page.get_by_role("button", name="Hold it against the scan").click()
    page.get_by_role("button", name="Change tape distance width at the hoop").wait_for()
    # taken: the next distance begins empty
    expecting(page.get_by_label("The tape reads", exact=True)).to_have_value("")


def test_the_gap_is_typed_while_another_window_keeps_another_clamp(window):
    page = window("Cage")
    unfold(page, "Gap and clamp")
    gap, clamp = "Gap that bars keep to the shell", "Straight that the bender's clamp needs"
    fill(page, {gap: "1/2"})
    before = page.elsewhere.open().project.cage.limits
    elsewhere(page, change_limits, Limits(gap_mm=before.gap_mm, clamp_mm=72.5))
    expecting(page.get_by_label(clamp, exact=True)).to_have_value("72.5 mm")
    holds(page, {gap: "1/2", clamp: "72.5 mm"})
    page.get_by_role("button", name="Keep these").click()
    expecting(page.get_by_label(gap, exact=True)).to_have_value("12.7 mm")
    limits = page.elsewhere.open().project.cage.limits
    assert (limits.gap_mm, limits.clamp_mm) == (pytest.approx(12.7), 72.5)


def test_the_clamp_is_typed_while_another_window_keeps_another_clamp(window):
    page = window("Cage")
    unfold(page, "Gap and clamp")
    gap, clamp = "Gap that bars keep to the shell", "Straight that the bender's clamp needs"
    fill(page, {clamp: "8"})
    elsewhere(page, change_limits, Limits(gap_mm=17.0, clamp_mm=72.5))
    expecting(page.get_by_label(gap, exact=True)).to_have_value("17 mm")
    holds(page, {clamp: "8"})


def test_a_station_is_typed_while_another_window_moves_a_bar(window):
    page = window()
    page.get_by_role("button", name="Section", exact=True).click()
    words = page.get_by_role("status").filter(has_text=re.compile("^Section "))
    words.wait_for()
    station = page.get_by_label("Station, forward")
    station.fill("-905 ")
    elsewhere(page, move_bar_node, "BS-L", 2, (-1610.0, 565.0, 205.0))
    # it is cut anew, where it lay
    holds(page, {"Station, forward": "-905 "})
    station.press("Enter")
    page.get_by_role("status").filter(has_text=re.compile("^Section .*905")).wait_for()
    expecting(station).to_have_value("-905 ")
