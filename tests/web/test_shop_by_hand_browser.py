"""Benders and dies put in and changed, and a bend written into the log by hand, on the page and in a real browser."""

import re

import pytest
from tests.web.axe import grave_faults
from tests.web.conftest import serving

from hoopwright.jobs.logs import LogFilter, logged
from hoopwright.jobs.orders import described_benders, room_named
from hoopwright.jobs.shops import benders, change, dies

pytestmark = pytest.mark.slow

SIZES = [pytest.param({}, id="light"), pytest.param({"color_scheme": "dark"}, id="dark")]


@pytest.fixture
def shop(hoopwright, tmp_path, monkeypatch):
    """A shop with a batch of the hoop's tube and nothing to bend it on."""
    place = str(tmp_path / "shop.sqlite")
    monkeypatch.setenv("HOOPWRIGHT_SHOP", place)
    hoopwright.keys("batch", "add", "B1", "--tube", "45 x 2.5", "--heat", "4711", "--steel", "E235")
    return place


@pytest.fixture
def served(hoop_project, shop, tmp_path):
    with serving(hoop_project, log=tmp_path / "server.log", shop=shop) as running:
        yield running


def opened(page_of, served, **how):
    page = page_of(served.url, **how)
    page.wait_for_selector("button.hw-item")
    if how.get("color_scheme") == "dark":
        page.get_by_role("button", name="Light / dark").click()
    page.get_by_role("tab", name="Bender", exact=True).click()
    # what bends the bars is read a moment later, and pushes the cards down from under the mouse
    page.get_by_text(re.compile("^Calibration ")).first.wait_for()
    return page


def unfold(page, card):
    page.locator(".hw-right .q-expansion-item .q-item", has_text=card).locator("visible=true").first.click()


def pick(page, label, option):
    page.get_by_label(label, exact=True).click()
    page.get_by_role("option", name=option).first.click()


def row(page, words):
    return page.locator(".hw-right tr").filter(has_text=re.compile(words))


def finding(page, code):
    return page.locator(".hw-right .hw-finding", has_text=code).locator("visible=true").first


def add_bender(page):
    unfold(page, "Benders in the shop")
    page.get_by_text(re.compile("^No bender yet")).wait_for()
    unfold(page, "Add a bender")
    page.get_by_label("Name of the bender").fill("Red")
    pick(page, "From above, its leading end swings", "anticlockwise")
    page.get_by_label("Straight that its clamp needs").last.fill('2 3/8"')
    page.get_by_text(re.compile("^= 60.3 mm")).wait_for()
    page.get_by_role("button", name="Add the bender").click()
    page.get_by_text("✓ Red is kept.").wait_for()
    row(page, "^Red.*anticlockwise").wait_for()


def add_die(page):
    unfold(page, "Add a die")
    page.get_by_label("Name of the die").fill("45")
    page.get_by_label("Tube that fits it, outside").last.fill("45")
    page.get_by_label("Centreline radius written on it").last.fill("137,5")
    page.get_by_role("button", name="Add the die").click()
    page.get_by_text("✓ 45 is kept.").wait_for()
    row(page, "^45.*Red").wait_for()


@pytest.mark.parametrize("size", SIZES)
def test_a_bender_and_its_die_are_put_in_and_a_trial_bend_is_written_in(served, page_of, screenshot, size):
    page = opened(page_of, served, **size)
    unfold(page, "The log of the shop")
    unfold(page, "Write a bend in by hand")
    page.get_by_text(re.compile("^The shop has no die yet")).wait_for()
    add_bender(page)
    add_die(page)
    assert benders(None)[0].clamp_mm == pytest.approx(60.325)
    assert (dies(None)[0].bender, dies(None)[0].clr_mm) == ("Red", 137.5)
    screenshot(page, f"benders-{len(size)}")
    # the log learns of the die by itself
    page.get_by_label("Wanted of this bend").fill("90")
    page.get_by_label("The gauge read under load").fill("93,5")
    page.get_by_label("Left after release").fill("95")
    page.get_by_role("button", name="Write the bend in").click()
    finding(page, "SHOP-008").wait_for()
    assert logged(None, LogFilter()) == ()
    # nothing that was typed is lost
    assert page.get_by_label("The gauge read under load").input_value() == "93,5"
    page.get_by_label("Left after release").fill("90.2")
    screenshot(page, f"by-hand-{len(size)}")
    assert grave_faults(page, "by hand") == []
    page.get_by_role("button", name="Write the bend in").click()
    page.get_by_text("✓ Written in: a trial bend, 93.5° under load, 90.2° after release.").wait_for()
    pick(page, "Bends of", "every bend of the shop")
    row(page, "trial.*90.20°").wait_for()
    (kept,) = logged(None, LogFilter())
    assert (kept.die, kept.batch, kept.bender, kept.project, kept.bar) == ("45", "B1", "Red", "", "")
    # the next one begins without the readings of this one
    assert page.get_by_label("Left after release").input_value() == ""


def test_a_bend_of_a_bar_that_springs_back_much_is_kept_and_told(served, page_of, hoopwright):
    hoopwright.keys("bender", "add", "Red", "--swings", "clockwise", "--clamp", "60")
    hoopwright.keys("die", "add", "45", "--od", "45", "--clr", "137.5", "--reach", "180", "--bender", "Red")
    page = opened(page_of, served)
    unfold(page, "The log of the shop")
    unfold(page, "Write a bend in by hand")
    page.get_by_label("Bar of this bend").fill("MH")
    page.get_by_label("Which bend of the bar").fill("2")
    pick(page, "Went through the die first", "end B")
    for label, value in (("Wanted of this bend", "73.8"), ("Rotation before this bend", "-90")):
        page.get_by_label(label).fill(value)
    page.get_by_label("The gauge read under load").fill("90")
    page.get_by_label("Left after release").fill("73.8")
    page.get_by_label("When it was bent").fill("2026-03-14T09:30+01:00")
    # as a person with an impatient finger: it is one bend
    page.get_by_role("button", name="Write the bend in").dblclick()
    page.get_by_text(re.compile("^✓ Written in: bend 2 of MH")).wait_for()
    finding(page, "SHOP-050").wait_for()
    row(page, "^MH, 2").wait_for()
    (kept,) = logged(None, LogFilter(project="car", bar="MH"))
    assert (kept.bend_number, kept.fed_from, kept.rotation_deg) == (2, "B", -90.0)
    assert kept.time.isoformat() == "2026-03-14T08:30:00+00:00"


def test_a_bender_is_changed_and_its_room_kept(served, page_of, hoopwright, screenshot):
    hoopwright.keys("bender", "add", "Red", "--swings", "clockwise", "--clamp", "60")
    page = opened(page_of, served)
    unfold(page, "Order and room of the chosen bar")
    page.get_by_role("button", name="Fill in an example").click()
    page.get_by_label("Floor to the tube in the die").fill("35 in")
    unfold(page, "Benders in the shop")
    row(page, "^Red").get_by_role("button").click()
    page.get_by_text("Bender Red", exact=True).wait_for()
    clamp = page.get_by_label("Straight that its clamp needs").first
    clamp.fill("2.5 in")
    # the terminal changes it meanwhile: it is told, and what is typed here stays
    change(None, "bender", "Red", {"note": "new rollers"})
    page.get_by_role("button", name="Keep the bender").click()
    finding(page, "SHOP-026").wait_for()
    page.get_by_text(re.compile("^Kept elsewhere now: swings clockwise")).wait_for()
    assert clamp.input_value() == "2.5 in"
    page.get_by_role("button", name="Keep the bender").click()
    page.get_by_text(re.compile("^✓ Bender Red is kept as it is now")).wait_for()
    (kept,) = benders(None)
    assert (kept.clamp_mm, kept.note, kept.version) == (pytest.approx(63.5), "new rollers", 3)
    assert described_benders() == ()
    page.get_by_role("button", name="Keep the room typed there with Red").click()
    page.get_by_text("✓ How Red stands in its room is kept.").wait_for()
    assert room_named("shop:Red").axis_height_mm == pytest.approx(889.0)
    # and back into the fields, to be changed there
    page.get_by_label("Floor to the tube in the die").fill("")
    page.get_by_role("button", name="Put its room into the fields there").click()
    page.wait_for_function(
        "document.querySelector('[aria-label=\"Floor to the tube in the die\"]').value.startsWith('889')"
    )
    screenshot(page, "bender-room")
    page.get_by_role("button", name="It is out of use").first.click()
    page.get_by_text("✓ Bender Red is out of use.").wait_for()
    assert benders(None) == ()
