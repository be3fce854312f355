"""The tabs of checks, driver, joints, bender and papers as a person uses them, in a real browser."""

import os
import re
from contextlib import contextmanager

import pytest

expect = pytest.importorskip("playwright.sync_api").expect
pytestmark = pytest.mark.slow

SIZES = [pytest.param({}, id="small"), pytest.param({"width": 1600, "height": 900}, id="large")]


def opened(page_of, served, tab, **size):
    page = page_of(served.url, **size)
    page.wait_for_function("window.hoopwrightView && window.hoopwrightView.shell")
    page.wait_for_selector("button.hw-item")
    if size:
        page.get_by_role("button", name="Light / dark").click()
    page.get_by_role("tab", name=tab).click()
    return page


def choose(page, bar):
    page.get_by_role("button", name=re.compile(f"^{bar}\\b")).first.click()


@contextmanager
def looking_elsewhere(page):
    """Until the picture looks at another place than before."""
    before = page.evaluate("window.hoopwrightView.stage.controls.target.x")
    yield
    page.wait_for_function("([was]) => window.hoopwrightView.stage.controls.target.x !== was", arg=[before])


def row(page, words):
    return page.locator(".hw-picks tbody tr", has_text=words).first


@pytest.mark.parametrize("size", SIZES)
def test_checks_are_clicked_through(served, page_of, screenshot, size):
    page = opened(page_of, served, "Check", **size)
    page.get_by_text("Not checked yet.").wait_for()
    page.get_by_role("button", name="Check the cage").click()
    row(page, "gap to the shell").wait_for()
    screenshot(page, f"check-{len(size)}")
    # by keyboard: the button in the row's first cell
    with looking_elsewhere(page):
        row(page, "gap to the shell").get_by_role("button").press("Enter")
    page.wait_for_function("document.querySelector('.hw-item.chosen')?.innerText.startsWith('MH')")
    screenshot(page, f"check-place-{len(size)}")
    page.get_by_role("button", name=re.compile("failed$")).click()
    page.wait_for_function("!document.querySelector('.hw-picks')?.innerText.includes('? not checked')")
    page.get_by_role("button", name=re.compile("not checked$")).click()
    row(page, "? not checked").wait_for()
    page.wait_for_function("!document.querySelector('.hw-picks')?.innerText.includes('✓ pass')")


def test_checks_say_when_they_are_old(served, page_of):
    page = opened(page_of, served, "Check")
    page.get_by_role("button", name="Check the cage").click()
    row(page, "gap to the shell").wait_for()
    expect(page.get_by_text("OLD: the project has changed since")).to_have_count(0)
    page.get_by_role("button", name="Undo").click()
    page.get_by_text("OLD: the project has changed since").wait_for()
    page.get_by_role("button", name=re.compile("^Redo: (?!nothing)")).click()
    page.get_by_role("button", name="Redo: nothing").wait_for()


@pytest.mark.parametrize("size", SIZES)
def test_a_driver_is_typed_and_held_against_the_bars(served, page_of, screenshot, size):
    page = opened(page_of, served, "Driver", **size)
    page.get_by_text("No driver yet.").wait_for()
    typed = {
        "Name of the driver": "Anna",
        "Helmet: its centre": "-1750, 330, 950",
        "Helmet: its radius": "5 1/2 in",
        "Left shoulder, where the belt leaves it": "-1800, 450, 640",
        "Guide of that belt, or where it goes over the harness bar": "-2080, 430, 600",
    }
    for label, text in typed.items():
        page.get_by_label(label, exact=True).fill(text)
    page.get_by_text("139.7 mm").wait_for()  # what was understood
    page.get_by_role("button", name="Keep this driver").click()
    row(page, "helmet under a straight edge").wait_for()
    expect(row(page, "left knee to bars")).to_contain_text("? not checked")
    expect(row(page, "left knee to bars")).to_contain_text("not measured")
    with looking_elsewhere(page):
        row(page, "shoulder belt").get_by_role("button").click()
    page.evaluate("window.hoopwrightView.look('left')")
    screenshot(page, f"driver-{len(size)}")
    page.get_by_role("button", name="Undo").click()
    page.get_by_text("No driver yet.").wait_for()


@pytest.mark.parametrize("size", SIZES)
def test_joints_landings_and_reach(served, page_of, screenshot, size):
    page = opened(page_of, served, "Joints", **size)
    page.get_by_role("button", name="Cut the joints").click()
    row(page, "MH/SB-L-B").wait_for(timeout=120_000)
    row(page, "MH/SB-L-B").get_by_role("button").click()
    page.get_by_text("Bar SB-L", exact=True).wait_for()
    page.get_by_role("button", name="Show the wrap of end B").click()
    page.locator(".hw-page svg").wait_for()
    page.locator(".hw-page").scroll_into_view_if_needed()
    screenshot(page, f"joints-{len(size)}")
    page.get_by_text("Copes", exact=True).click()
    page.get_by_text("Landings of the feet", exact=True).click()
    page.get_by_role("button", name="Look at the feet").click()
    row(page, "MH A").wait_for(timeout=120_000)
    row(page, "MH A").get_by_role("button").click()
    page.get_by_text("Foot MH A", exact=True).wait_for()
    screenshot(page, f"landings-{len(size)}")


@pytest.mark.parametrize("size", SIZES)
def test_sample_bends_are_typed(served, page_of, screenshot, size):
    page = opened(page_of, served, "Bender", **size)
    page.get_by_text("Die 45, tube 45 x 2.5").wait_for()
    screenshot(page, f"bender-{len(size)}")
    page.get_by_text("Sample bends: calibrate die and tube").click()
    pairs = [("20", "18.6"), ("45", "42.9"), ("90", "86.5")]
    for number, (command, released) in enumerate(pairs, start=1):
        page.get_by_label(f"Angle pair {number}: Read under load, °").fill(command)
        page.get_by_label(f"Angle pair {number}: Measured after release, °").fill(released)
    legs = {
        "Tube cut to": "900",
        "Mark at die face, from A": "300",
        "End A to the far side": "471.5",
        "End B to the far side": "536.5",
    }
    for label, text in legs.items():
        page.get_by_label(f"90° bend with its legs 1: {label}").fill(text)
    page.get_by_role("button", name="Say what they tell").click()
    page.get_by_text("A 90 sample alone cannot give the radius").wait_for()
    page.get_by_label("U bend 1: Outside width over both legs").fill("320,0 mm")
    page.get_by_role("button", name="Say what they tell").click()
    page.get_by_role("cell", name="137.5 mm").wait_for()
    page.get_by_role("button", name="Keep it in the project").scroll_into_view_if_needed()
    screenshot(page, f"samples-{len(size)}")
    page.get_by_role("button", name="Keep it in the project").click()
    page.get_by_text("✓ Kept in the project").wait_for()
    assert len(list((served.project / "calibrations").glob("*.toml"))) == 3
    # the sheets were made with other numbers
    page.get_by_role("tab", name="Papers").click()
    row(page, "OLD: issue it again").wait_for()


def test_the_screen_of_a_bar_has_its_address(served, page_of):
    page = opened(page_of, served, "Bender")
    choose(page, "MH")
    page.locator("a[href='/bend/MH']").wait_for()
    page.locator(f"[role=img][aria-label='Square code of {served.url}bend/MH'] svg").wait_for()


@pytest.mark.parametrize("size", SIZES)
def test_a_sheet_is_previewed_issued_and_opened(served, page_of, screenshot, size):
    page = opened(page_of, served, "Papers", **size)
    row(page, "✓ in force").wait_for()
    choose(page, "SC")
    page.get_by_role("tab", name="Bar").click()
    entry = page.get_by_label("Node 1: forward, left, up")
    forward, left, up = entry.input_value().split(", ")
    entry.fill(f"{forward}, {float(left) - 5:.1f}, {up}")
    entry.press("Enter")
    page.get_by_role("tab", name="Papers").click()
    page.locator(".hw-picks tr", has_text="SC").filter(has_text="OLD: issue it again").wait_for()
    screenshot(page, f"papers-{len(size)}")
    page.get_by_role("button", name="Preview the sheet of the chosen bar").click()
    page.locator(".hw-page svg").first.wait_for()
    page.locator(".hw-page").first.scroll_into_view_if_needed()
    screenshot(page, f"preview-{len(size)}")
    page.get_by_role("button", name="Only the chosen bar").first.click()
    page.locator(".hw-picks tr", has_text="SC").filter(has_text="✓ in force").filter(has_text="2").wait_for()
    page.get_by_text("All papers of this project").click()
    link = page.get_by_role("link", name="SC.pdf", exact=True)
    answer = page.request.get(served.url.rstrip("/") + link.get_attribute("href"))
    assert answer.body() == (served.project / "papers" / "SC.pdf").read_bytes()


def test_a_fault_of_the_program_is_told_where_it_happened(
    project, serve_folder, page_of, tmp_path, monkeypatch
):
    """Else a button does nothing, and a person waits."""
    patch = tmp_path / "broken"
    patch.mkdir()
    (patch / "sitecustomize.py").write_text(
        "import hoopwright.web.panels.room_form as form\n"
        "def broken():\n"
        "    raise KeyError('same tube')\n"
        "form.example_parts = broken\n"
    )
    monkeypatch.setenv("PYTHONPATH", str(patch), prepend=os.pathsep)
    page = opened(page_of, serve_folder(project), "Bender")
    page.get_by_text("Order and room of the chosen bar").click()
    page.get_by_role("button", name="Fill in an example").click()
    page.get_by_text("a fault of the program (KeyError)").wait_for()
    page.get_by_text("Close", exact=True).click()
    page.get_by_role("button", name="Add a post").click()
    expect(page.get_by_label("What stands about, as text")).to_have_value(re.compile(r"\[\[post\]\]"))
