"""Bars added by the words on the page, in a real browser."""

import json
import re

import pytest

pytestmark = pytest.mark.slow


@pytest.fixture
def project(small):
    return small


def cage_of(served):
    return json.loads((served.project / "cage.json").read_text())


def opened(page_of, served, tab, fold=""):
    page = page_of(served.url)
    page.wait_for_function("window.hoopwrightView && window.hoopwrightView.shell")
    page.wait_for_selector("button.hw-item")
    page.get_by_role("tab", name=tab).click()
    if fold:
        page.get_by_text(fold, exact=True).click()
    return page


def type_bar(page, name, nodes):
    page.get_by_label("Name of the bar").fill(name)
    for number, place in enumerate(nodes, start=1):
        page.get_by_role("button", name="Type one more").click()
        page.get_by_label(f"Node {number}", exact=True).fill(place)
    page.get_by_role("button", name="Add the bar").click()


def test_a_bar_is_added_by_typed_nodes(served, page_of, screenshot):
    page = opened(page_of, served, "Cage", "Add a bar")
    page.get_by_role("button", name="Add the bar").click()
    page.locator(".hw-finding", has_text="The new bar has no name.").wait_for()
    page.get_by_label("Name of the bar").fill("T1")
    page.get_by_role("button", name="Add the bar").click()
    page.locator(".hw-finding", has_text="has 0 node(s); a bar needs at least its two ends").wait_for()
    screenshot(page, "new-bar-no-nodes")
    type_bar(page, "T1", ["-700, 0, 300", "-700, 30 in, 300"])
    page.get_by_role("button", name=re.compile(r"^T1\b")).wait_for()
    page.get_by_text("✓ T1 is in the cage.").wait_for()
    screenshot(page, "new-bar")
    (added,) = [one for one in cage_of(served)["members"] if one["member_id"] == "T1"]
    assert added["nodes_mm"] == [[-700.0, 0.0, 300.0], [-700.0, 762.0, 300.0]]
