"""Bars added, holes for them, the scan laid by landmarks, and what is asked of a fit: by the words on the page."""

import json
import re

import numpy as np
import pytest

from hoopwright.store import ProjectFolder

pytestmark = pytest.mark.slow


@pytest.fixture
def project(small):
    return small


def cage_of(served):
    return json.loads((served.project / "cage.json").read_text())["cage"]


def opened(page_of, served, tab, fold=""):
    page = page_of(served.url)
    page.set_default_timeout(90_000)
    page.wait_for_function("window.hoopwrightView && window.hoopwrightView.shell")
    page.wait_for_selector("button.hw-item")
    page.get_by_role("tab", name=tab).click()
    if fold:
        page.get_by_text(fold, exact=True).click()
        page.wait_for_timeout(500)
    return page


def choose(page, name):
    page.get_by_role("button", name=re.compile(rf"^{name}\b")).first.click()
    page.wait_for_timeout(300)


def choose_in(page, label, option):
    page.get_by_role("combobox", name=label, exact=True).click()
    page.get_by_role("option", name=option, exact=True).click()


def look(page, side):
    page.get_by_role("button", name=f"Look from: {side}").click()
    page.wait_for_timeout(600)


def click_at(page, place):
    at = page.evaluate("place => hoopwrightView.onPage(place)", place)
    page.mouse.click(at["x"], at["y"])


def type_bar(page, name, nodes):
    page.get_by_label("Name of the bar").fill(name)
    for number, place in enumerate(nodes, start=1):
        page.get_by_role("button", name="Type one more").click()
        page.get_by_label(f"Node {number}", exact=True).fill(place)
    page.get_by_role("button", name="Add the bar").click()


def test_a_bar_is_added_by_typed_nodes_and_a_hole_lets_it_through(served, page_of, screenshot):
    page = opened(page_of, served, "Cage", "Add a bar")
    page.get_by_role("button", name="Add the bar").click()
    page.locator(".hw-finding", has_text="The new bar has no name.").wait_for()
    page.get_by_label("Name of the bar").fill("T1")
    page.get_by_role("button", name="Add the bar").click()
    page.locator(".hw-finding").locator("visible=true").first.wait_for()
    page.wait_for_timeout(500)
    screenshot(page, "new-bar-no-nodes")
    type_bar(page, "T1", ["-700, 0, 300", "-700, 30 in, 300"])
    page.get_by_role("button", name=re.compile(r"^T1\b")).wait_for()
    page.wait_for_timeout(600)
    screenshot(page, "new-bar")
    (added,) = [one for one in cage_of(served)["members"] if one["member_id"] == "T1"]
    assert added["nodes_mm"] == [[-700.0, 0.0, 300.0], [-700.0, 762.0, 300.0]]
    # it goes through the wall, which stands 680 mm to the left: a hole
    page.get_by_text("Add a bar", exact=True).click()
    page.get_by_text("Holes that bars pass through", exact=True).click()
    page.get_by_text("No holes.").wait_for()
    choose(page, "T1")
    page.get_by_role("button", name="Pick where it passes").click()
    page.get_by_text("Click in the picture: where T1 passes through the metal").wait_for()
    look(page, "left")
    click_at(page, [-700, 680, 320])
    row = page.get_by_text(re.compile(r"^T1 1: 55\.0 mm wide, cuts "))
    row.wait_for()
    page.wait_for_timeout(800)
    row.scroll_into_view_if_needed()
    screenshot(page, "hole")
    (hole,) = cage_of(served)["holes"]
    assert hole["bar_id"] == "T1"
    assert hole["place_mm"] == pytest.approx([-700.0, 680.0, 300.0], abs=3.0)
    page.get_by_role("button", name="Take out hole 1 of T1").click()
    page.get_by_text("No holes.").wait_for()
    assert cage_of(served).get("holes", []) == []


def test_a_bar_is_added_by_picks_from_a_bar_to_the_metal(served, page_of, screenshot):
    page = opened(page_of, served, "Cage", "Add a bar")
    page.get_by_label("Name of the bar").fill("RB")
    choose_in(page, "What it is", "roof bar")
    look(page, "right")
    page.get_by_role("button", name="Pick the next node").click()
    page.get_by_text("Click in the picture: node 1 of the new bar").wait_for()
    page.get_by_role("button", name="Cut away").click()
    choose_in(page, "side", "right of")
    page.wait_for_timeout(500)
    click_at(page, [-900, -640, 620])
    page.wait_for_function("document.querySelector('[aria-label=\"Node 1\"]')?.value")
    page.get_by_role("button", name="Pick the next node").click()
    click_at(page, [-300, 0, 500])
    page.wait_for_function("document.querySelector('[aria-label=\"Node 2\"]')?.value")
    page.wait_for_timeout(400)
    screenshot(page, "new-bar-picked")
    page.get_by_role("button", name="Add the bar").click()
    page.get_by_role("button", name=re.compile(r"^RB\b")).wait_for()
    (added,) = [one for one in cage_of(served)["members"] if one["member_id"] == "RB"]
    assert added["end_a"]["on"] == "MH"
    assert added["end_b"]["on"] == "shell"
    page.get_by_role("button", name=re.compile("^Undo: ")).click()
    page.get_by_role("button", name=re.compile(r"^RB\b")).wait_for(state="detached")


def test_the_scan_is_laid_by_landmarks_that_are_known(served, page_of, screenshot):
    page = opened(page_of, served, "Scan", "Lay it by landmarks")
    was = ProjectFolder(path=served.project).open().project.scan.to_vehicle
    page.get_by_role("button", name="Lay it by these").click()
    page.locator(".hw-finding").locator("visible=true").first.wait_for()
    screenshot(page, "landmarks-none")
    for number, (name, at, known) in enumerate(
        (
            ("left sill", "-300, 680, 300", ("-200", "680", "300")),
            ("right sill", "-300, -680, 300", ("-200", "-680", "300")),
            ("roof rear", "-1500, 0, 1118", ("-1.4 m", "0", "1118")),
        ),
        start=1,
    ):
        page.get_by_label(f"Landmark {number}", exact=True).fill(name)
        page.get_by_label(f"Landmark {number} on the scan").fill(at)
        for axis, value in zip(("forward", "left", "up"), known, strict=True):
            page.get_by_label(f"Landmark {number}: {axis}, if known").fill(value)
    page.get_by_role("button", name="Lay it by these").click()
    page.get_by_role("cell", name="roof rear").wait_for()
    page.wait_for_timeout(800)
    page.get_by_role("cell", name="roof rear").scroll_into_view_if_needed()
    screenshot(page, "landmarks-laid")
    now = ProjectFolder(path=served.project).open().project.scan.to_vehicle
    place = was.inverse().points(np.array([[-300.0, 680.0, 300.0], [-1500.0, 0.0, 1118.0]]))
    assert now.points(place) == pytest.approx(
        np.array([[-200.0, 680.0, 300.0], [-1400.0, 0.0, 1118.0]]), abs=0.1
    )
    page.get_by_role("button", name=re.compile("^Undo: ")).click()
    page.wait_for_timeout(1500)
    again = ProjectFolder(path=served.project).open().project.scan.to_vehicle
    assert again.points(place) == pytest.approx(was.points(place))


def fitted(page):
    page.get_by_role("button", name="Fit it", exact=True).click()
    page.locator(".hw-column[aria-pressed=true]").wait_for()
    page.wait_for_timeout(500)


def test_a_fit_in_a_leaning_plane_through_a_place_and_with_ends_that_slide(served, page_of, screenshot):
    page = opened(page_of, served, "Fit")
    choose(page, "HB")
    choose_in(page, "bends", "0")
    page.get_by_text("Ends", exact=True).click()
    page.get_by_label("End A may slide").fill("2 in")
    page.get_by_label("End B may slide").fill("20")
    page.wait_for_timeout(400)
    screenshot(page, "fit-ends")
    fitted(page)
    screenshot(page, "fit-slide")
    # the hoop in a plane that leans
    choose(page, "MH")
    choose_in(page, "bends", "4")
    page.get_by_text("Plane and way", exact=True).click()
    page.wait_for_timeout(400)
    choose_in(page, "bends lie in", "one plane, leaning rearward")
    page.get_by_label("Leaning rearward by").fill("4")
    screenshot(page, "fit-plane")
    fitted(page)
    screenshot(page, "fit-leaning")
    page.get_by_role("button", name="Keep 4 bends").click()
    page.get_by_text("is in the project").wait_for()
    (hoop,) = [one for one in cage_of(served)["members"] if one["member_id"] == "MH"]
    nodes = np.array(hoop["nodes_mm"])
    across = np.linalg.svd(nodes - nodes.mean(axis=0))[2][2]
    assert np.degrees(np.arctan2(abs(across[2]), abs(across[0]))) == pytest.approx(4.0, abs=0.1)


def test_a_fit_says_what_a_plane_still_lacks(served, page_of, screenshot):
    page = opened(page_of, served, "Fit")
    choose(page, "MH")
    choose_in(page, "bends", "4")
    page.get_by_text("Plane and way", exact=True).click()
    page.wait_for_timeout(400)
    choose_in(page, "bends lie in", "the plane of both ends and a place")
    page.get_by_role("button", name="Fit it", exact=True).click()
    page.locator(".hw-finding").locator("visible=true").first.wait_for()
    screenshot(page, "fit-no-place")
    page.get_by_label("Place in the plane").fill("-950, 0, 1000")
    fitted(page)
    screenshot(page, "fit-through")
    choose_in(page, "bends lie in", "the plane of the B-pillars")
    page.get_by_role("button", name="Fit it", exact=True).click()
    page.wait_for_timeout(3000)
    screenshot(page, "fit-pillars")
