"""A press on a button counts, though the page moves or is drawn anew under the pointer before it is let go."""

import re

import pytest

pytestmark = pytest.mark.slow


@pytest.fixture
def project(small):
    return small


def pressed(page, name):
    """The button under the pointer, pressed and not let go."""
    button = page.get_by_role("button", name=name)
    button.scroll_into_view_if_needed()
    box = button.bounding_box()
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.mouse.down()
    return button


def typed_tube(page_of, served):
    page = page_of(served.url)
    page.wait_for_function("window.hoopwrightView && window.hoopwrightView.shell")
    page.get_by_role("button", name=re.compile(r"^MH\b")).first.click()
    page.get_by_role("tab", name="Bar").click()
    page.get_by_text("Gaps by region").wait_for()
    page.get_by_text("Cannot be made now").wait_for()
    page.get_by_text("Tube and die", exact=True).click()
    page.get_by_label("Centreline radius drawn").fill("140")
    page.get_by_text("= 140.0 mm").wait_for()
    return page


def step_of(page):
    return int(page.get_by_role("status").filter(has_text="saved, step").inner_text().split()[-1])


MOVED = """() => {
  const room = document.createElement('div');
  room.style.height = '90px';
  const entry = document.querySelector('[aria-label="Centreline radius drawn"]').closest('.hw-entry');
  entry.parentElement.insertBefore(room, entry);
}"""
DRAWN_ANEW = "button => button.replaceWith(Object.assign(button.cloneNode(true), {onclick: () => window.again = true}))"


def test_what_moves_below_the_pointer_takes_no_press_away(served, page_of):
    page = typed_tube(page_of, served)
    step = step_of(page)
    pressed(page, "Keep tube and die")
    page.evaluate(MOVED)
    page.mouse.up()
    page.get_by_text(f"✓ saved, step {step + 1}", exact=True).wait_for()


def test_a_button_that_is_drawn_anew_takes_the_press(served, page_of):
    page = typed_tube(page_of, served)
    pressed(page, "Keep tube and die").evaluate(DRAWN_ANEW)
    page.mouse.up()
    page.wait_for_function("window.again")


def test_a_press_counts_once_and_one_that_is_taken_away_not_at_all(served, page_of):
    page = typed_tube(page_of, served)
    page.evaluate(
        "() => { window.clicks = [];"
        "addEventListener('click', (event) => clicks.push(event.target.closest('button')?.innerText)); }"
    )
    pressed(page, "Keep tube and die")
    page.mouse.move(20, 400, steps=3)
    page.mouse.up()
    pressed(page, re.compile("^Undo"))
    page.mouse.up()
    page.get_by_role("button", name="Light / dark").click()
    page.wait_for_function("clicks.includes('Light / dark')")
    told = page.evaluate("clicks.filter((one) => one)")
    assert told == ["Undo", "Light / dark"]
