"""What was cut from which tube, batches, sticks used and bends made, on the page and in a real browser."""

import os
import re

import pytest
from tests.web.axe import grave_faults
from tests.web.conftest import serving

from hoopwright.bender.rescue.records import Reading
from hoopwright.jobs.bending import take_reading
from hoopwright.jobs.logs import LogFilter, logged
from hoopwright.jobs.shop_sticks import sticks
from hoopwright.jobs.shops import batches, change
from hoopwright.jobs.sticks import BendWishes
from hoopwright.jobs.tubes_used import SaidTube, say_cut_from
from hoopwright.store import ProjectFolder
from hoopwright.store.bending import every_stick

expect = pytest.importorskip("playwright.sync_api").expect
pytestmark = pytest.mark.slow

SIZES = [pytest.param({}, id="light"), pytest.param({"color_scheme": "dark"}, id="dark")]
BRACE = "forward,left,up\n-900,500,1000\n-1600,560,200\n"
WISHES = BendWishes(at="2026-03-14T10:00:00+00:00", solve=False)


@pytest.fixture
def shop(hoop_project, hoopwright, tmp_path, monkeypatch):
    """A shop with two batches of the hoop's tube, and one of another, and two braces beside the hoop."""
    place = str(tmp_path / "shop.sqlite")
    monkeypatch.setenv("HOOPWRIGHT_SHOP", place)
    hoopwright.keys("bender", "add", "Red", "--swings", "clockwise", "--clamp", "60")
    hoopwright.keys("die", "add", "45", "--od", "45", "--clr", "137.5", "--reach", "180", "--bender", "Red")
    for name, tube in (("B1", "45 x 2.5"), ("B2", "45 x 2.5"), ("B3", "38 x 2.5")):
        hoopwright.keys("batch", "add", name, "--tube", tube, "--heat", f"4711{name}", "--steel", "E235")
        hoopwright.keys("stick", "add", name, "--batch", name, "--length", "6000", "--count", "2")
    (tmp_path / "brace.csv").write_text(BRACE)
    for name in ("BS-L", "BS-R"):
        add = ("bar", "add", hoop_project, name, "--role", "backstay", "--nodes", tmp_path / "brace.csv")
        hoopwright.keys(*add)
    return place


@pytest.fixture
def served(hoop_project, shop, tmp_path):
    with serving(hoop_project, log=tmp_path / "server.log", shop=shop) as running:
        yield running


def opened(page_of, served, tab, card, bar="MH", **how):
    page = page_of(served.url, **how)
    page.wait_for_selector("button.hw-item")
    if how.get("color_scheme") == "dark":
        page.get_by_role("button", name="Light / dark").click()
    page.get_by_role("button", name=re.compile(f"^{bar}\\b")).first.click()
    page.get_by_role("tab", name=tab, exact=True).click()
    if tab == "Bender":
        # what bends the bars is read a moment later, and pushes the cards down from under the mouse
        page.get_by_text(re.compile("^Calibration ")).first.wait_for()
    unfold(page, card)
    return page


def unfold(page, card):
    head = page.locator(".hw-right .q-expansion-item .q-item", has_text=card).locator("visible=true").first
    head.click()
    expect(head).to_have_attribute("aria-expanded", "true")


def pick(page, label, option):
    field = page.get_by_label(label, exact=True)
    field.click()
    one = page.get_by_role("option", name=re.compile(option)).first
    words = one.inner_text()
    one.click()
    expect(page.get_by_role("option")).to_have_count(0)
    expect(box_of(field)).to_contain_text(words)


def box_of(field):
    return field.locator("xpath=ancestor::label")


def row(page, words):
    return page.locator(".hw-picks tbody tr:visible", has_text=re.compile(words)).first


def tubes(served):
    project = ProjectFolder(path=served.project).open().project
    return {bar: (used.stick, used.batch, used.heat_number) for bar, used in project.tube_of.items()}


@pytest.mark.parametrize("size", SIZES)
def test_a_bar_and_all_of_its_size_are_said_to_be_cut_from_a_tube(served, page_of, screenshot, size):
    page = opened(page_of, served, "Bar", "Cut from", **size)
    page.get_by_text("MH was cut from: not said").wait_for()
    pick(page, "Stick", "^B1-1, batch B1$")
    page.get_by_role("button", name="Keep what it was cut from").click()
    page.get_by_text(re.compile("^MH was cut from: stick B1-1, batch B1, heat 4711B1, steel E235")).wait_for()
    page.get_by_text(re.compile("^✓ 1 bar: cut from stick B1-1")).wait_for()
    assert tubes(served) == {"MH": ("B1-1", "B1", "4711B1")}
    screenshot(page, f"cut-from-{len(size)}")
    pick(page, "Batch", "^B2, heat")
    pick(page, "For", "has none yet \\(2\\)")
    page.get_by_role("button", name="Keep what it was cut from").click()
    page.get_by_text(re.compile("^✓ 2 bars: cut from batch B2")).wait_for()
    assert tubes(served) == {
        "MH": ("B1-1", "B1", "4711B1"), "BS-L": ("", "B2", "4711B2"), "BS-R": ("", "B2", "4711B2"),
    }  # fmt: skip
    unfold(page, "The other bars of its tube size")
    row(page, "^BS-R.*batch B2").wait_for()
    screenshot(page, f"cut-from-others-{len(size)}")
    assert grave_faults(page, "Cut from") == []
    # a heat number that is not the batch's is refused, and what was typed still stands there
    pick(page, "Batch", "^B1, heat")
    page.get_by_label("Heat number on the tube").fill("999")
    page.get_by_role("button", name="Keep what it was cut from").click()
    page.locator(".hw-right .hw-finding", has_text="DOSS-010").first.wait_for()
    expect(page.get_by_label("Heat number on the tube")).to_have_value("999")
    page.get_by_role("button", name="Take back what was said of MH").click()
    page.get_by_text("MH was cut from: not said").wait_for()
    assert tubes(served)["MH"] == ("", "", "")


def test_what_the_file_lacks_leads_to_where_a_bar_is_said_to_be_cut_from(served, page_of, screenshot):
    page = page_of(served.url)
    page.wait_for_selector("button.hw-item")
    page.get_by_role("tab", name="The file", exact=True).click()
    page.get_by_role("button", name="Make the file").click()
    told = page.locator(".hw-right .hw-finding:visible", has_text="DOSS-002").first
    expect(told).to_contain_text('"Cut from" in the Bar tab')
    expect(told).not_to_contain_text("terminal")
    told.get_by_role("button", name=re.compile("^Go to the Bar tab: Cut from")).click()
    record = page.get_by_text("MH was cut from: not said")
    record.wait_for()
    # what stands over the card is still measured, and pushes it down; it stays in sight
    page.get_by_text("CHECK-008").first.wait_for()
    page.wait_for_function(
        "(one) => { const at = one.getBoundingClientRect().y; return 0 < at && at < 600; }",
        arg=record.element_handle(),
    )
    screenshot(page, "cut-from-led-there")
    pick(page, "Stick", "^B1-1, batch B1$")


def test_two_windows_that_say_another_tube_of_a_bar_are_told(served, page_of, screenshot):
    page = opened(page_of, served, "Bar", "Cut from")
    page.get_by_text("MH was cut from: not said").wait_for()
    pick(page, "Stick", "^B1-1, batch B1$")
    folder = ProjectFolder(path=served.project)
    say_cut_from(folder, ("MH",), SaidTube(stick="B2-2"), date="2026-03-14")
    page.get_by_text(re.compile("^MH was cut from: stick B2-2")).wait_for()
    expect(box_of(page.get_by_label("Stick", exact=True))).to_contain_text("B1-1")
    page.get_by_role("button", name="Keep what it was cut from").click()
    told = page.locator(".hw-right .hw-finding", has_text="DOSS-012").first
    expect(told).to_contain_text("stick B2-2, batch B2")
    screenshot(page, "cut-from-told")
    assert tubes(served)["MH"][0] == "B2-2"
    # seen and meant all the same: it is said again
    page.get_by_role("button", name="Keep what it was cut from").click()
    page.get_by_text(re.compile("^MH was cut from: stick B1-1")).wait_for()
    assert tubes(served)["MH"][0] == "B1-1"


@pytest.mark.parametrize("size", SIZES)
def test_a_stick_is_marked_as_used_and_put_back(served, page_of, screenshot, size):
    page = opened(page_of, served, "Sticks", "On the rack of the shop", **size)
    other = opened(page_of, served, "Sticks", "On the rack of the shop", **size)
    for one in (page, other):
        row(one, "^B1-1").get_by_role("button").click()
    page.get_by_label("What is left of it").fill("7 m")
    # chosen once more: what is typed of it stays
    row(page, "^B1-1").get_by_role("button").click()
    page.get_by_role("button", name="It is used: stick B1-1").click()
    page.locator(".hw-right .hw-finding", has_text="SHOP-042").first.wait_for()
    page.get_by_label("What is left of it").fill("900")
    screenshot(page, f"stick-{len(size)}")
    assert grave_faults(page, "rack") == []
    page.get_by_role("button", name="It is used: stick B1-1").click()
    page.get_by_text(re.compile("^✓ B1-1 is used. B1-1a, 900.0 mm, lies on the rack")).wait_for()
    known = {one.label: (one.state, one.length_mm) for one in sticks(None, batch="B1", used=True)}
    assert known == {"B1-1": ("used", 6000.0), "B1-1a": ("kept", 900.0), "B1-2": ("kept", 6000.0)}
    # the other window still has it on the rack: it is told, and nothing is kept twice
    other.get_by_role("button", name="It is used: stick B1-1").click()
    other.locator(".hw-right .hw-finding", has_text="is used already").first.wait_for()
    row(other, "^B1-1a").wait_for()
    assert len(sticks(None, batch="B1", used=True)) == 3
    page.get_by_role("checkbox", name="those that are used, too").click()
    row(page, "● used").get_by_role("button").click()
    page.get_by_role("button", name="It is not used: back to the rack").click()
    page.get_by_text("✓ B1-1 lies on the rack again. B1-1a is part of it again.").wait_for()
    screenshot(page, f"stick-back-{len(size)}")
    assert [one.label for one in sticks(None, batch="B1")] == ["B1-1", "B1-2"]


@pytest.mark.parametrize("size", SIZES)
def test_a_batch_is_put_right_over_what_another_window_kept(served, page_of, screenshot, size):
    page = opened(page_of, served, "Sticks", "Batches", **size)
    row(page, "^B1").get_by_role("button").click()
    field = page.get_by_label("Heat number of this batch")
    expect(field).to_have_value("4711B1")
    field.fill("8822")
    change(None, "batch", "B1", {"certificate": "C-7"})
    page.get_by_role("button", name="Keep the batch").click()
    page.locator(".hw-right .hw-finding", has_text="SHOP-026").first.wait_for()
    page.get_by_text(re.compile("^Kept elsewhere now: 45 x 2.5 mm, steel E235, 4711B1, C-7")).wait_for()
    screenshot(page, f"batch-told-{len(size)}")
    assert grave_faults(page, "Batches") == []
    (kept,) = batches(None, "B1")
    assert (kept.heat_number, kept.certificate) == ("4711B1", "C-7")
    page.get_by_role("button", name="Keep the batch").click()
    page.get_by_text("✓ Batch B1 kept.").wait_for()
    (kept,) = batches(None, "B1")
    # what the other window typed was not touched here, and stays
    assert (kept.heat_number, kept.certificate) == ("8822", "C-7")
    page.get_by_role("button", name="None of it is left").click()
    row(page, "– none is left").wait_for()
    assert batches(None, "B1")[0].retired
    page.get_by_role("button", name="There is some of it again").click()
    row(page, "– none is left").wait_for(state="detached")
    screenshot(page, f"batch-{len(size)}")


def bend(car, *angles_deg):
    for number, angle_deg in enumerate(angles_deg):
        read = Reading(step=0, released_deg=angle_deg, at=WISHES.at, key=f"bend {number} {angle_deg}")
        take_reading(ProjectFolder(path=car), "MH", read, WISHES)


def kinds(served):
    (stick,) = every_stick(ProjectFolder(path=served.project), "MH")
    return [record.kind for record in stick.records]


@pytest.mark.parametrize("size", SIZES)
def test_a_reading_is_put_right_and_taken_back_and_a_stick_dropped(served, page_of, screenshot, size):
    bend(served.project, 18.96, 73.81)
    page = opened(page_of, served, "Bender", "Sticks bent, and their readings", **size)
    row(page, "stick 1 of revision 1").get_by_role("button").click()
    row(page, "^2, step 2").get_by_role("button").click()
    page.get_by_label("Really reads after release").fill("73.9")
    screenshot(page, f"reading-{len(size)}")
    assert grave_faults(page, "readings") == []
    # a phone goes on meanwhile: what is typed here was of what it had then, so it is told and stays
    bend(served.project, 18.96, 73.81, 73.81)
    row(page, "^3, step 3").wait_for()
    page.get_by_role("button", name="Put it right").click()
    page.locator(".hw-right .hw-finding", has_text="BEND-003").first.wait_for()
    assert kinds(served) == ["started", "reading", "reading", "reading"]
    expect(page.get_by_label("Really reads after release")).to_have_value("73.9")
    page.get_by_role("button", name="Put it right").click()
    page.get_by_text("✓ Bend 2 of MH reads 73.9°, not 73.81°.").wait_for()
    row(page, "73.90°").filter(has_text="put right").wait_for()
    assert kinds(served)[-1] == "correction"
    row(page, "^3, step 3").get_by_role("button").click()
    page.get_by_label("Why").fill("sent twice")
    page.get_by_role("button", name="Take it back: the reading of bend 3").click()
    page.get_by_text("✓ 73.81° of bend 3 of MH is taken back.").wait_for()
    row(page, "– taken back").wait_for()
    assert kinds(served)[-1] == "withdrawal"
    screenshot(page, f"taken-back-{len(size)}")
    page.get_by_role("button", name="Scrap this stick").click()
    page.get_by_role("button", name="Yes, it is scrap").click()
    page.get_by_text("✓ Stick 1 of MH is scrapped.").wait_for()
    row(page, "the stick is scrapped").wait_for()
    assert kinds(served)[-1] == "decision"
    expect(page.get_by_role("button", name="Scrap this stick")).to_have_count(0)


def test_what_was_told_is_answered_at_once(hoop_project, shop, page_of, tmp_path, monkeypatch):
    """Told that a phone went on, a person presses again: the page knows by then, however long it read."""
    patch = tmp_path / "slow"
    patch.mkdir()
    (patch / "sitecustomize.py").write_text(
        "import time\n"
        "import hoopwright.web.panels.bent_sticks as card\n"
        "at_once = card.bent_sticks\n"
        "def slowly(folder):\n"
        "    time.sleep(3.0)\n"
        "    return at_once(folder)\n"
        "card.bent_sticks = slowly\n"
    )
    monkeypatch.setenv("PYTHONPATH", str(patch), prepend=os.pathsep)
    bend(hoop_project, 18.96, 73.81)
    with serving(hoop_project, log=tmp_path / "server.log", shop=shop) as served:
        page = opened(page_of, served, "Bender", "Sticks bent, and their readings")
        row(page, "stick 1 of revision 1").get_by_role("button").click()
        row(page, "^2, step 2").get_by_role("button").click()
        page.get_by_label("Really reads after release").fill("73.9")
        bend(hoop_project, 18.96, 73.81, 73.81)
        page.get_by_role("button", name="Put it right").click()
        page.locator(".hw-right .hw-finding", has_text="BEND-003").first.wait_for()
        page.get_by_role("button", name="Put it right").click()
        page.get_by_text("✓ Bend 2 of MH reads 73.9°, not 73.81°.").wait_for()


@pytest.mark.parametrize("size", SIZES)
def test_the_log_of_the_shop_is_put_right(served, page_of, screenshot, size):
    bend(served.project, 18.96, 73.81, 73.81, 18.96)
    page = opened(page_of, served, "Bender", "The log of the shop", **size)
    page.get_by_text(re.compile("^No such bend in the log yet")).wait_for()
    page.get_by_role("button", name="Put the bends of MH into the log").click()
    page.locator(".hw-right .hw-finding", has_text="SHOP-048").first.wait_for()
    page.get_by_label("Batch of the bent stick").fill("B1")
    page.get_by_role("button", name="Put the bends of MH into the log").click()
    page.get_by_text("✓ MH, stick 1: 4 logged, 0 were logged before.").wait_for()
    other = opened(page_of, served, "Bender", "The log of the shop", **size)
    for one in (page, other):
        row(one, "^MH, 2").get_by_role("button").click()
        one.get_by_label("Read after release").fill("73.5")
    screenshot(page, f"log-{len(size)}")
    assert grave_faults(page, "log") == []
    page.get_by_role("button", name="Keep the correction of Bend 2 of MH").click()
    page.get_by_text("✓ Bend 2 of MH is put right. The old reading stays in the log.").wait_for()
    assert [one.released_deg for one in logged(None, LogFilter())].count(73.5) == 1
    # the other window still shows the old one: it is told, and no second correction is kept
    other.get_by_label("Read after release").fill("73.2")
    other.get_by_role("button", name="Keep the correction of Bend 2 of MH").click()
    other.locator(".hw-right .hw-finding", has_text="SHOP-028").first.wait_for()
    assert len(logged(None, LogFilter(every=True))) == 5
    row(page, "73.50°").get_by_role("button").click()
    page.get_by_label("Note on this bend").fill("gauge slipped")
    page.get_by_role("button", name="Take this reading back").click()
    page.get_by_text(re.compile("^✓ Bend 2 of MH is taken back")).wait_for()
    page.get_by_role("checkbox", name="those put right or taken back, too").click()
    row(page, "– taken back").get_by_role("button").click()
    page.get_by_text(re.compile("gauge slipped")).first.wait_for()
    screenshot(page, f"log-taken-back-{len(size)}")
    assert [one.bend_number for one in logged(None, LogFilter())] == [1, 3, 4]
