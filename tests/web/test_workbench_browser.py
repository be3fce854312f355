"""The workbench as a person uses it, in a real browser."""

import re

import pytest

expect = pytest.importorskip("playwright.sync_api").expect
pytestmark = pytest.mark.slow


def ready(page):
    page.wait_for_function("window.hoopwrightView && window.hoopwrightView.shell")
    page.wait_for_selector("button.hw-item")


def test_the_demo_is_there_and_a_bar_can_be_chosen(served, page_of, screenshot):
    page = page_of(served.url)
    ready(page)
    page.get_by_role("button", name=re.compile("^SB-L")).click()
    page.get_by_text("SB-L, side bar").wait_for()
    expect(page.locator(".hw-table tbody tr")).to_have_count(3)
    screenshot(page, "workbench")


def test_dragging_a_node_changes_the_gap_and_is_undone(served, page_of):
    page = page_of(served.url)
    ready(page)
    button = page.get_by_role("button", name=re.compile("^SB-L"))
    was = button.inner_text()
    button.click()
    page.wait_for_function("hoopwrightView.handles.balls.length > 1")
    at = page.evaluate("hoopwrightView.onPage(hoopwrightView.bars.view('SB-L').nodes_mm[1])")
    page.mouse.move(at["x"], at["y"])
    page.mouse.down()
    page.mouse.move(at["x"] - 6, at["y"] + 4, steps=6)
    page.get_by_role("status").filter(has_text="SB-L node 2: gap").wait_for()
    page.mouse.up()
    page.wait_for_function(
        "([old]) => document.querySelector('.hw-item.chosen').innerText !== old", arg=[was]
    )
    page.get_by_role("button", name="Undo").click()
    page.wait_for_function(
        "([old]) => document.querySelector('.hw-item.chosen').innerText === old", arg=[was]
    )


def test_a_second_browser_sees_the_change(served, page_of):
    first, second = page_of(served.url), page_of(served.url)
    for page in (first, second):
        ready(page)
        page.get_by_role("button", name=re.compile("^SC")).click()
        page.get_by_text("SC, screen bar").wait_for()
    entry = first.get_by_label("Node 1: forward, left, up")
    forward, left, up = entry.input_value().split(", ")
    entry.fill(f"{forward}, {float(left) - 5:.1f}, {up}")
    entry.press("Enter")
    moved = f"{float(left) - 5:.1f}"
    second.wait_for_function(
        "([now]) => document.querySelector('[aria-label=\"Node 1: forward, left, up\"]')?.value.includes(now)",
        arg=[moved],
    )
