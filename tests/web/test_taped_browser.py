"""A hoop that was finished with no readings typed: what its bends came out as, by tape, on the page."""

import re

import pytest

from hoopwright.store import ProjectFolder

pytestmark = pytest.mark.slow


def over(page, kind):
    """Degrees over of a kind of bends, as the page says it."""
    words = page.get_by_text(re.compile(rf"^both {kind} .*°\)$")).inner_text()
    value, way = re.search(r": (\d+\.\d+)° (over|under)", words).groups()
    return float(value) if way == "over" else -float(value)


def told(page, **distances):
    for label, reads in distances.items():
        page.get_by_label(label.capitalize(), exact=True).fill(reads)
    page.get_by_role("button", name="Say how its bends came out").click()


def test_the_tape_tells_knees_from_shoulders_and_says_when_it_cannot(
    hoop_project, serve_folder, page_of, screenshot
):
    """The distances and what they tell are those of A7 in the project's acceptance figures."""
    page = page_of(serve_folder(hoop_project).url)
    page.get_by_role("button", name=re.compile("^MH")).click()
    page.get_by_role("tab", name="Bender").click()
    page.get_by_text("The finished bar by tape").click()
    page.get_by_text("should be 1265.0 mm").wait_for()
    page.get_by_text("should be 1323.1 mm").wait_for()
    told(page, feet="1252.0")
    page.get_by_text("Measure next: greatest outside width over the knees").wait_for()
    page.get_by_text("? both knees (bends 1 and 4): cannot tell").wait_for()
    assert page.get_by_role("button", name="Let it count as bent").count() == 0
    told(page, knees="1317.4")
    page.get_by_role("button", name="Let it count as bent").wait_for()
    assert over(page, "shoulders") == pytest.approx(0.34, abs=0.05)
    assert over(page, "knees") == pytest.approx(0.0, abs=0.05)
    screenshot(page, "taped")
    told(page, knees="1322.7")
    page.get_by_text(re.compile(r"^both knees .*0\.[56]")).wait_for()
    assert over(page, "knees") == pytest.approx(0.60, abs=0.05)
    page.get_by_role("button", name="Let it count as bent").click()
    page.get_by_text("✓ MH counts as bent from now on.").wait_for()
    project = ProjectFolder(path=hoop_project).open().project
    assert [(one.bar_id, one.source) for one in project.as_bent_in_force] == [("MH", "tape")]
    page.get_by_role("button", name="Let the drawn one count").click()
    page.get_by_role("button", name="Let the drawn one count").wait_for(state="detached")
    page.get_by_text("✓ MH counts as bent from now on.").wait_for(state="detached")
    assert ProjectFolder(path=hoop_project).open().project.as_bent_in_force == ()
