"""The Bar and Fit tabs and the tools over the picture, as a person uses them in a real browser."""

import re

import pytest

expect = pytest.importorskip("playwright.sync_api").expect
pytestmark = pytest.mark.slow

SIDES = {"top": (2, 1), "left": (1, 1)}
"""The axis along which each side looks nearly, and on which side of the car the eye is."""
LOOKS_SO = (
    "([axis, way]) => hoopwrightView.stage.camera.matrixWorldInverse.elements[2 + 4 * axis] * way > 0.99"
)


@pytest.fixture
def project(small):
    return small


def ready(page):
    page.wait_for_function("window.hoopwrightView && window.hoopwrightView.shell")
    page.wait_for_selector("button.hw-item")


def choose(page, name, tab="Bar"):
    page.get_by_role("button", name=re.compile(rf"^{name}\b")).first.click()
    page.get_by_role("tab", name=tab).click()


def pick(page, place):
    at = page.evaluate("place => hoopwrightView.onPage(place)", place)
    page.mouse.click(at["x"], at["y"])


def look(page, side):
    """Look from a side; the picture is drawn so, and shows whatever was done before."""
    page.get_by_role("button", name=f"Look from: {side}").click()
    page.wait_for_function(LOOKS_SO, arg=SIDES[side])


def step_of(page):
    return int(page.get_by_role("status").filter(has_text="saved, step").inner_text().split()[-1])


def see_saved(page, step):
    page.get_by_text(f"✓ saved, step {step}", exact=True).wait_for()


def nodes_of(page, name):
    return page.evaluate("name => hoopwrightView.bars.view(name).nodes_mm", name)


@pytest.mark.parametrize(("width", "height", "dark"), [(1280, 720, False), (1600, 900, True)])
def test_a_bar_with_its_gaps_sheet_and_ends(served, page_of, screenshot, width, height, dark):
    page = page_of(served.url, width=width, height=height)
    ready(page)
    if dark:
        page.get_by_role("button", name="Light / dark").click()
    choose(page, "MH")
    page.get_by_text("Gaps by region").wait_for()
    screenshot(page, f"bar-{width}")
    page.get_by_text("BS-L end A").wait_for()
    page.get_by_text("Cannot be made now").wait_for()  # there is no calibration
    page.locator(".hw-item").filter(has_text="from A").first.click()
    page.wait_for_function("hoopwrightView.marks.kept.get('gap')?.length === 1")
    step = step_of(page)
    page.get_by_text("Tube and die", exact=True).click()
    page.get_by_label("Die", exact=True).wait_for()
    page.get_by_label("Centreline radius drawn").fill("140")
    page.get_by_role("button", name="Keep tube and die").click()
    see_saved(page, step + 1)
    expect(page.get_by_label("Centreline radius drawn")).to_have_value("140.0 mm")
    page.get_by_text("Gaps by region").wait_for()
    screenshot(page, f"bar-gaps-{width}")


def test_an_end_is_changed_and_undone(served, page_of):
    page = page_of(served.url)
    ready(page)
    choose(page, "HB")
    page.get_by_text("Ends", exact=True).click()
    trim = page.get_by_label("Trim at end B")
    expect(trim).to_be_visible()
    was = trim.input_value()
    assert not was.startswith("38.1")
    trim.fill("1 1/2 in")
    page.get_by_text("= 38.1 mm").wait_for()
    page.get_by_role("button", name="Keep end B").click()
    expect(trim).to_have_value(re.compile(r"^38\.1"))
    page.get_by_role("button", name="Undo").click()
    expect(trim).to_have_value(was)


@pytest.mark.parametrize(("width", "height", "dark"), [(1280, 720, False), (1600, 900, True)])
def test_a_fit_is_looked_at_by_keys_kept_and_undone(served, page_of, screenshot, width, height, dark):
    page = page_of(served.url, width=width, height=height)
    ready(page)
    if dark:
        page.get_by_role("button", name="Light / dark").click()
    choose(page, "HB", "Fit")
    page.get_by_role("combobox", name="Bends", exact=True).click()
    page.get_by_role("option", name="0", exact=True).click()
    page.get_by_role("button", name="Fit it", exact=True).click()
    column = page.locator(".hw-column[aria-pressed=true]")
    column.wait_for()
    column.evaluate("column => (column.dataset.old = 'yes')")
    column.focus()
    page.keyboard.press("Enter")
    # the chart is drawn anew, with the keyboard where it was
    expect(page.locator(".hw-column[aria-pressed=true]:not([data-old])")).to_be_focused()
    page.get_by_text("holds what was asked").first.wait_for()
    screenshot(page, f"fit-{width}")
    was, step = (served.project / "cage.json").read_bytes(), step_of(page)
    page.get_by_role("button", name="Keep 0 bends").click()
    page.get_by_text("is in the project").wait_for()
    see_saved(page, step + 1)
    assert (served.project / "cage.json").read_bytes() != was
    page.get_by_role("button", name="Undo").click()
    see_saved(page, step)
    assert (served.project / "cage.json").read_bytes() == was


def test_a_fit_is_stopped_and_changes_nothing(served, page_of):
    page = page_of(served.url)
    ready(page)
    was = (served.project / "cage.json").read_bytes()
    choose(page, "MH", "Fit")
    page.get_by_role("button", name="Fit it", exact=True).click()
    page.get_by_role("button", name="Stop").click()
    page.get_by_text("stopped, nothing was kept").wait_for()
    assert (served.project / "cage.json").read_bytes() == was


@pytest.mark.parametrize(("width", "height", "dark"), [(1280, 720, False), (1600, 900, True)])
def test_a_section_is_cut_and_drawn_flat(served, page_of, screenshot, width, height, dark):
    page = page_of(served.url, width=width, height=height)
    ready(page)
    if dark:
        page.get_by_role("button", name="Light / dark").click()
    choose(page, "MH")
    page.get_by_role("button", name="Section").click()
    page.get_by_text("in the bar's plane").click()
    page.get_by_text("Section in the plane of MH").wait_for()
    page.get_by_text("MH: 10.5 mm").wait_for()
    screenshot(page, f"section-{width}")
    page.get_by_role("button", name="Flat drawing").click()
    page.get_by_role("img", name="Section in the plane of MH").wait_for()
    screenshot(page, f"section-flat-{width}")
    page.get_by_role("button", name="Close").click()
    page.get_by_text("at a station").click()
    page.get_by_label("Station, forward").fill("-1 m")
    page.get_by_label("Station, forward").press("Enter")
    page.get_by_text("Section at forward -1000 mm").wait_for()


def test_two_picked_places_are_measured_on_the_full_scan(served, page_of, screenshot):
    page = page_of(served.url)
    ready(page)
    look(page, "top")
    page.get_by_role("button", name="Measure").click()
    first, second = page.get_by_label("from: forward"), page.get_by_label("to: forward")
    pick(page, [-500, 400, 1118])
    page.wait_for_function("document.querySelector('[aria-label^=\"from: forward\"]').value !== ''")
    pick(page, [-1200, 100, 1118])
    page.wait_for_function("document.querySelector('[aria-label^=\"to: forward\"]').value !== ''")
    for entry, left in ((first, 400.0), (second, 100.0)):
        place = [float(part) for part in entry.input_value().split(",")]
        assert place[2] == pytest.approx(1118.0, abs=0.1)
        assert place[1] == pytest.approx(left, abs=6.0)  # a pixel of the picture
    page.get_by_text(re.compile(r"^7[5-7]\d\.\d mm straight")).wait_for()
    screenshot(page, "measure")
    # typed, as one without a mouse does
    first.fill("0, 0, 0")
    first.press("Enter")
    second.fill("2, -3, 6")
    second.press("Enter")
    page.get_by_text(re.compile(r"^7\.0 mm straight")).wait_for()
    # changing one end keeps the other, and either may be typed first
    first.fill("2, 1, 6")
    first.press("Enter")
    page.get_by_text(re.compile(r"^4\.0 mm straight")).wait_for()
    expect(second).to_have_value("2.0, -3.0, 6.0")
    page.get_by_role("button", name="Start again").click()
    page.wait_for_function("document.querySelector('[aria-label^=\"to: forward\"]').value === ''")
    second.fill("0, 0, 0")
    second.press("Enter")
    page.get_by_text("to a typed place", exact=True).wait_for()
    first.fill("6, 8, 0")
    first.press("Enter")
    page.get_by_text(re.compile(r"^10\.0 mm straight")).wait_for()


def test_a_side_is_cut_away_and_bars_are_hidden(served, page_of, screenshot):
    page = page_of(served.url)
    ready(page)
    page.get_by_role("button", name="Cut away").click()
    page.get_by_role("combobox", name="side").click()
    page.get_by_role("option", name="left of").click()
    page.get_by_text("is cut away; bars stay whole").wait_for()
    screenshot(page, "cut-away")
    page.get_by_role("button", name="Show", exact=True).click()
    page.get_by_role("checkbox", name="BS-L").click()
    page.wait_for_function("hoopwrightView.bars.meshes.get('BS-L').visible === false")
    page.get_by_role("checkbox", name="Shell").click()
    page.wait_for_function("hoopwrightView.shell.object.visible === false")
    page.get_by_role("button", name="All bars").click()
    page.wait_for_function("hoopwrightView.bars.meshes.get('BS-L').visible === true")


def test_a_drag_is_held_to_one_way_by_a_key_and_given_up(served, page_of):
    page = page_of(served.url)
    ready(page)
    was, step = (served.project / "cage.json").read_bytes(), step_of(page)
    choose(page, "BS-L")
    look(page, "left")
    node = nodes_of(page, "BS-L")[1]
    at = page.evaluate("place => hoopwrightView.onPage(place)", node)
    page.mouse.move(at["x"], at["y"])
    page.mouse.down()
    page.mouse.move(at["x"] + 3, at["y"] - 8)
    page.keyboard.press("u")
    page.mouse.move(at["x"] + 9, at["y"] - 12, steps=3)
    page.get_by_role("status").filter(has_text="held to up").wait_for()
    moved = page.evaluate("hoopwrightView.handles.balls[1].position.toArray()")
    assert moved[:2] == pytest.approx(node[:2], abs=1e-6)
    assert moved[2] > node[2] + 1.0
    page.keyboard.press("Escape")
    page.mouse.up()
    assert nodes_of(page, "BS-L")[1] == node
    # a drag that was kept all the same would be the next step, and the node would go on from there
    page.get_by_role("button", name="Node 2 of BS-L: arrow keys move it").focus()
    page.keyboard.press("ArrowUp")
    page.keyboard.press("Enter")
    see_saved(page, step + 1)
    page.wait_for_function(
        "up => Math.abs(hoopwrightView.bars.view('BS-L').nodes_mm[1][2] - up) < 0.01", arg=node[2] + 1.0
    )
    assert (served.project / "history" / f"{step:06d}.json").read_bytes() == was


def test_an_answer_to_a_drag_that_was_given_up_moves_nothing(served, page_of):
    page = page_of(served.url)
    ready(page)
    choose(page, "BS-L")
    look(page, "left")
    node = nodes_of(page, "BS-L")[1]
    at = page.evaluate("place => hoopwrightView.onPage(place)", node)
    page.evaluate(
        "() => { const read = Response.prototype.json; Response.prototype.json = async function () {"
        " const told = await read.call(this); window.isRead = true;"
        " await new Promise((go) => (window.letGo = go)); setTimeout(() => (window.isTold = true), 0);"
        " return told; }; }"
    )
    page.mouse.move(at["x"], at["y"])
    page.mouse.down()
    page.mouse.move(at["x"] + 3, at["y"] - 20)
    page.wait_for_function("window.isRead")
    page.keyboard.press("Escape")
    page.mouse.up()
    page.evaluate("window.letGo()")
    page.wait_for_function("window.isTold")
    assert nodes_of(page, "BS-L")[1] == node
