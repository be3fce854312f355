"""Whether everybody can use the pages: what axe-core finds, light and dark, and all of it by keyboard alone.

Source: axe-core's rules for the Web Content Accessibility Guidelines 2.2, levels A and AA, of which nothing serious
or critical stays.
"""

import re

import pytest
from tests.web.at_rest import answered
from tests.web.axe import grave_faults
from tests.web.phones import Phone

pytestmark = pytest.mark.slow

HANDED = ("Rule book", "Tubes", "Sticks", "Cost", "The file")
TABS = ("Scan", "Cage", "Bar", "Fit", "Driver", "Check", "Joints", "Bender", "Papers", *HANDED)
TOOLS = ("Section", "Cut away", "Show", "Measure", "Drag")
OPEN_FOLDS = """() => {
  const shut = [...document.querySelectorAll('.hw-right .q-expansion-item--collapsed > div > .q-item')];
  const seen = shut.filter((one) => one.offsetParent);
  seen.forEach((one) => one.click());
  return seen.length === 0;
}"""
COMES = {
    "Scan": ("triangles, read as", "agrees"),
    "Cage": ("scan quillet_stripped.stl taken in", "No holes."),
    "Bar": ("Gaps by region", "SB-L was cut from"),
    "Bender": (
        "Calibration 45 x 2.5",
        "No stick was begun yet: bend one",
        "No such bend in the log yet",
        "should be",
    ),
    "Papers": ("BS-L.pdf",),
    "Rule book": ("Click a book to choose it", "Choose a book first: open"),
    "Sticks": ("No batch yet.", "Nothing yet. Put in what came"),
}
"""What a tab with all its folds open reads in the background, and shows when it has."""

LOOKS_LEFT = "hoopwrightView.stage.camera.matrixWorldInverse.elements[6] > 0.99"


def opened(page_of, served, dark):
    # colours on their way from light to dark are no colours to judge
    page = page_of(served.url, reduced_motion="reduce")
    page.wait_for_function("window.hoopwrightView && window.hoopwrightView.shell")
    page.get_by_role("button", name=re.compile("^SB-L")).first.click()
    if dark:
        page.get_by_role("button", name="Light / dark").click()
        page.wait_for_selector("body.body--dark")
    page.get_by_text("Gaps by region").wait_for()
    return page


def open_tab(page, name):
    """Open a tab; its own panel stands there then, and not that of the tab before."""
    tab = page.get_by_role("tab", name=name, exact=True)
    if tab.get_attribute("aria-selected") == "true":
        return
    mark = "(all, name) => all.forEach((one) => (one.dataset.before = name))"
    page.locator(".hw-right .q-tab-panel").evaluate_all(mark, name)
    tab.click()
    page.locator(f'.hw-right .q-tab-panel:not([data-before="{name}"])').wait_for()


def unfold(page, tab):
    """Open every fold of the tab, and folds within folds, and see what it reads for them."""
    page.wait_for_function(OPEN_FOLDS, polling=250)
    for words in COMES.get(tab, ()):
        page.locator(".hw-right").get_by_text(words).locator("visible=true").first.wait_for()
    page.wait_for_function(OPEN_FOLDS, polling=250)


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_no_tab_has_a_grave_fault(served, page_of, dark):
    page = opened(page_of, served, dark)
    faults = []
    for tab in TABS:
        open_tab(page, tab)
        faults += grave_faults(page, tab)
        unfold(page, tab)
        faults += grave_faults(page, f"{tab}, unfolded")
    for tool in TOOLS:
        page.get_by_role("button", name=tool, exact=True).click()
        page.get_by_role("group", name=tool, exact=True).wait_for()
        faults += grave_faults(page, tool)
    page.get_by_role("button", name="Shop network").click()
    page.get_by_text("Only this machine is answered").wait_for()
    faults += grave_faults(page, "Shop network")
    assert faults == []


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_what_the_tabs_made_has_no_grave_fault(served, page_of, dark):
    page = opened(page_of, served, dark)
    faults = []
    for tab, button, comes in (
        ("Check", "Check the cage", "gap to the shell"),
        ("Joints", "Cut the joints", "MH/SB-L-B"),
        ("Papers", "Preview the sheet of the chosen bar", "Sheet of SB-L"),
    ):
        open_tab(page, tab)
        page.get_by_role("button", name=button).click()
        if tab == "Papers":
            page.locator(".hw-page svg").first.wait_for()
        else:
            page.locator(".hw-picks tbody tr", has_text=comes).first.wait_for()
        faults += grave_faults(page, tab)
    assert faults == []


def test_the_page_of_an_empty_folder_has_no_grave_fault(serve_folder, page_of, tmp_path):
    page = page_of(serve_folder(tmp_path / "nothing-yet").url)
    page.get_by_text("Start a cage").wait_for()
    assert grave_faults(page, "start") == []
    page.get_by_role("button", name="Start the project").click()
    page.get_by_text("No scan yet.").wait_for()
    assert grave_faults(page, "empty project") == []


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_no_step_at_the_bender_has_a_grave_fault(chromium, hoop_server, theme):
    """Black on white, for the sun, and white on black: there is no third."""
    phone = Phone(chromium, hoop_server, color_scheme=theme).open()
    faults, seen = [], set()

    def look():
        faults.extend(grave_faults(phone.page, f"{theme} {phone.moment}"))
        seen.add(phone.moment)

    def to_typing():
        for _ in range(30):
            look()
            if phone.moment == "typing":
                return
            was = phone.view
            phone.press().leave(was)

    phone.press("other").wait("batch")
    look()
    phone.press("done").wait("take")
    phone.press("head").wait("more")
    look()
    phone.press("head").wait("take")
    for read in (18.9, 73.8, 73.8):
        to_typing()
        phone.page.keyboard.type(f"{read:g}")
        look()
        phone.press().wait("slip")
    to_typing()
    phone.page.keyboard.type("25.0")
    phone.press().wait("doubt")
    look()
    phone.page.goto(hoop_server.address + "/bend")
    phone.page.wait_for_selector("h1")
    faults += grave_faults(phone.page, f"{theme} list of bars")
    phone.context.close()
    assert phone.faults == []
    assert {"take", "batch", "more", "mark", "load", "turn", "pull", "typing", "slip", "doubt"} <= seen
    assert faults == []


CONTROLS = """() => {
  const can = 'button, a[href], input:not([type=file]), select, textarea, [tabindex="0"]';
  const seen = (one) => one.getClientRects().length > 0 && getComputedStyle(one).visibility !== 'hidden';
  const all = [...document.querySelectorAll(can)].filter((one) => seen(one) && !one.disabled && one.tabIndex >= 0);
  all.forEach((one, number) => one.dataset.control = String(number));
  return all.map((one) => one.getAttribute('aria-label') || one.innerText.trim() || one.outerHTML.slice(0, 200));
}"""
FOCUSED = """() => {
  const at = document.activeElement, style = getComputedStyle(at), field = at.closest('.q-field');
  const isLined = style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2;
  const edge = field && getComputedStyle(field.querySelector('.q-field__control'), '::after');
  const isEdged = edge && parseFloat(edge.borderTopWidth) >= 2;
  const box = at.getBoundingClientRect();
  return {
    control: at.dataset.control ?? null,
    ring: isLined || isEdged || style.boxShadow.includes('3px'),
    what: at.outerHTML.slice(0, 300),
    inside: box.bottom > 0 && box.top < innerHeight && box.right > 0 && box.left < innerWidth,
  };
}"""


def reached_by_arrow(page):
    """Tabs of a row are one stop of the Tab key; arrow keys go on from there, as the standard for tab lists has it."""
    names = set()
    for row in (page.get_by_role("tablist").nth(at) for at in range(page.get_by_role("tablist").count())):
        row.get_by_role("tab").first.focus()
        for _ in range(row.get_by_role("tab").count()):
            names.add(page.evaluate("document.activeElement.innerText.trim()"))
            page.keyboard.press("ArrowRight")
    return names & set(TABS)


def settled_controls(page):
    """Names of the controls, numbered in the page, once nothing more is drawn."""
    names = page.evaluate(CONTROLS)
    for _ in range(30):
        answered(page)
        was, names = names, page.evaluate(CONTROLS)
        if names == was:
            return names
    raise AssertionError("the page goes on drawing controls")


@pytest.mark.parametrize("tab", TABS)
def test_the_keyboard_reaches_every_control_and_shows_where_it_is(served, page_of, tab):
    page = opened(page_of, served, dark=False)
    open_tab(page, tab)
    unfold(page, tab)
    names = settled_controls(page)
    page.evaluate("document.activeElement.blur()")
    reached, unseen, order = set(), [], []
    for _ in range(len(names) + 5):
        page.keyboard.press("Tab")
        at = page.evaluate(FOCUSED)
        if at["control"] is None:
            continue
        reached.add(int(at["control"]))
        order.append(int(at["control"]))
        if not (at["ring"] and at["inside"]):
            unseen.append(at["what"])
    by_arrow = reached_by_arrow(page)
    assert [name for number, name in enumerate(names) if number not in reached and name not in by_arrow] == []
    assert unseen == []
    # and in the order in which they stand on the page
    once = list(dict.fromkeys(order))
    first = once.index(min(once))
    assert once[first:] + once[:first] == sorted(once)


def node_of(page, bar, number):
    return page.evaluate("([bar, at]) => hoopwrightView.bars.view(bar).nodes_mm[at]", [bar, number - 1])


def see_kept(page, step, bar, number, *, up_mm):
    """That it is saved, and that the picture shows it, which comes a moment later."""
    page.wait_for_function("step => document.body.innerText.includes(`saved, step ${step}`)", arg=step)
    page.wait_for_function(
        "([bar, at, up]) => Math.abs(hoopwrightView.bars.view(bar).nodes_mm[at][2] - up) < 0.01",
        arg=[bar, number - 1, up_mm],
    )


def test_a_node_is_moved_kept_and_put_back_by_keyboard_alone(served, page_of, screenshot):
    page = opened(page_of, served, dark=False)
    page.get_by_role("button", name="Look from: left").press("Enter")
    page.wait_for_function(LOOKS_LEFT)
    was = node_of(page, "SB-L", 3)
    page.get_by_role("button", name="Node 3 of SB-L: arrow keys move it").focus()
    live = page.get_by_role("status").filter(has_text="SB-L node 3")
    live.filter(has_text="arrow keys move it 1.0 mm, with Shift 10.0 mm").wait_for()
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    # seen from the left the nose is to the left
    page.keyboard.press("Shift+ArrowRight")
    live.filter(has_text="moved 10.0 mm rearward, 2.0 mm down").filter(has_text="gap").wait_for()
    screenshot(page, "keyboard-move")
    assert node_of(page, "SB-L", 3)[0] == pytest.approx(was[0] - 10.0, abs=0.01)  # the picture follows
    page.keyboard.press("Enter")
    see_kept(page, 4, "SB-L", 3, up_mm=was[2] - 2.0)
    assert node_of(page, "SB-L", 3) == pytest.approx([was[0] - 10.0, was[1], was[2] - 2.0], abs=0.01)
    # the keyboard is still at the node; given up, all stays as it was kept
    assert page.evaluate("document.activeElement.getAttribute('aria-label')").startswith("Node 3 of SB-L")
    page.keyboard.press("PageUp")
    live.filter(has_text="moved 1.0 mm right").wait_for()
    page.keyboard.press("Escape")
    assert node_of(page, "SB-L", 3) == pytest.approx([was[0] - 10.0, was[1], was[2] - 2.0], abs=0.01)
    # who goes on with Tab keeps what was moved
    page.keyboard.press("ArrowUp")
    page.keyboard.press("Tab")
    see_kept(page, 5, "SB-L", 3, up_mm=was[2] - 1.0)
    assert node_of(page, "SB-L", 3) == pytest.approx([was[0] - 10.0, was[1], was[2] - 1.0], abs=0.01)


def test_keys_move_by_sixteenths_while_the_page_is_in_inches(served, page_of):
    page = opened(page_of, served, dark=False)
    page.get_by_role("group", name="Units").get_by_role("button", name="in").press("Enter")
    page.get_by_role("button", name="Look from: left").press("Enter")
    page.wait_for_function(LOOKS_LEFT)
    was = node_of(page, "SB-L", 2)
    page.get_by_role("button", name="Node 2 of SB-L: arrow keys move it").focus()
    live = page.get_by_role("status").filter(has_text="SB-L node 2")
    live.filter(has_text='arrow keys move it 1/16", with Shift 1/2"').wait_for()
    page.keyboard.press("ArrowUp")
    live.filter(has_text='moved 1/16" up').wait_for()
    page.keyboard.press("Enter")
    see_kept(page, 4, "SB-L", 2, up_mm=was[2] + 25.4 / 16.0)
