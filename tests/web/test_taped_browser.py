"""A hoop that was finished with no readings typed: what its bends came out as, by tape, on the page."""

import re

import pytest

from hoopwright.bender.rescue.records import Reading, Taped
from hoopwright.jobs.bending import take_reading
from hoopwright.jobs.sticks import BendWishes
from hoopwright.jobs.taping import take_distance
from hoopwright.store import ProjectFolder

expect = pytest.importorskip("playwright.sync_api").expect
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
    expect(page.get_by_role("button", name="Let it count as bent")).to_have_count(0)
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


WISHES = BendWishes(at="2026-03-14T10:00:00+00:00", solve=False)


def taped_at_the_bender(car, **distances):
    for name, value_mm in distances.items():
        one = Taped(name=name, measured_mm=value_mm, at=WISHES.at, key=f"{name} {value_mm}")
        take_distance(ProjectFolder(path=car), "MH", one, WISHES)


def test_what_was_taped_at_the_bender_stands_there_and_more_comes_while_it_is_open(
    hoop_project, serve_folder, page_of, screenshot
):
    for number, angle_deg in enumerate((18.96, 73.81, 73.81, 18.96)):
        read = Reading(step=0, released_deg=angle_deg, at=WISHES.at, key=f"bend {number}")
        take_reading(ProjectFolder(path=hoop_project), "MH", read, WISHES)
    taped_at_the_bender(hoop_project, feet=1252.0)
    page = page_of(serve_folder(hoop_project).url)
    page.get_by_role("button", name=re.compile("^MH")).click()
    page.get_by_role("tab", name="Bender").click()
    page.get_by_text("The finished bar by tape").click()
    page.get_by_text("✓ Taped at the bender: feet (stick 1 of revision 1, last on 2026-03-14 at ").wait_for()
    field = {name: page.get_by_label(name.capitalize(), exact=True) for name in ("feet", "knees", "height")}
    for name, value in {"feet": "1252.0 mm", "knees": "", "height": ""}.items():
        expect(field[name]).to_have_value(value)
    # a phone tapes on; what a person has typed or cleared here stays his
    field["height"].fill("1107")
    page.get_by_text("= 1107.0 mm,").wait_for()
    taped_at_the_bender(hoop_project, knees=1317.4, height=1108.0)
    page.get_by_text("✓ Taped at the bender: feet, height, knees (").wait_for()
    for name, value in {"feet": "1252.0 mm", "knees": "1317.4 mm", "height": "1107"}.items():
        expect(field[name]).to_have_value(value)
    field["height"].fill("")
    screenshot(page, "taped-at-the-bender")
    page.get_by_role("button", name="Say how its bends came out").click()
    page.get_by_role("button", name="Let it count as bent").wait_for()
    # as A7's figures for the same two distances, typed
    assert over(page, "shoulders") == pytest.approx(0.34, abs=0.05)
    taped_at_the_bender(hoop_project, feet=1253.0)
    expect(field["feet"]).to_have_value("1253.0 mm")
    expect(field["height"]).to_have_value("")
