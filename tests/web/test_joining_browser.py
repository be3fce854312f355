"""Gussets, landings, reach and the order of assembly by the words on the page, in a real browser."""

import json
import re

import pytest

expect = pytest.importorskip("playwright.sync_api").expect
pytestmark = pytest.mark.slow

LONG_MS = 400_000
"""A torch tried at every joint and an order of assembly are minutes of work on a machine that others work on too."""


def cage_of(served):
    return json.loads((served.project / "cage.json").read_text())


def opened(page_of, served, fold):
    page = page_of(served.url)
    page.wait_for_function("window.hoopwrightView && window.hoopwrightView.shell")
    page.wait_for_selector("button.hw-item")
    page.get_by_role("tab", name="Joints").click()
    page.get_by_text("Copes", exact=True).click()
    page.get_by_text(fold, exact=True).click()
    return page


def row(page, words):
    return page.locator(".hw-picks tbody tr", has_text=words).first


def choose_in(page, label, option):
    page.get_by_role("combobox", name=label, exact=True).locator("visible=true").click()
    page.get_by_role("option", name=option, exact=True).click()


def test_a_gusset_is_added_looked_at_and_taken_out(served, page_of, screenshot):
    page = opened(page_of, served, "Gussets and ties")
    page.get_by_text("None yet. Add one below.").wait_for()
    page.get_by_text("Add one", exact=True).click()
    # without a name it says so, and nothing else happens
    page.get_by_role("button", name="Add it").click()
    page.locator(".hw-right .hw-finding", has_text="The new gusset at MH has no name").wait_for()
    screenshot(page, "gusset-no-name")
    page.get_by_label("Name", exact=True).fill("G1")
    choose_in(page, "Welded to", "MH")
    choose_in(page, "And to", "SB-L")
    page.get_by_label("Length along each bar").fill("4 in")
    page.get_by_role("button", name="Add it").click()
    page.locator(".hw-right .hw-finding", has_text="MH is straight for 88.1 mm").wait_for()
    page.get_by_label("Length along each bar").fill("3 in")
    page.get_by_role("button", name="Add it").click()
    expect(row(page, "G1")).to_contain_text("76.2 mm")
    row(page, "G1").get_by_role("button").click()
    page.get_by_text("Gusset G1", exact=True).wait_for()
    page.locator(".hw-page svg").first.wait_for()
    page.get_by_text("Gusset G1", exact=True).scroll_into_view_if_needed()
    screenshot(page, "gusset")
    assert [one["name"] for one in cage_of(served)["gussets"]] == ["G1"]
    page.get_by_role("button", name="Take G1 out").click()
    page.get_by_text("None yet. Add one below.").wait_for()
    assert cage_of(served).get("gussets", []) == []


def test_a_landing_is_set_for_one_foot_and_taken_out(served, page_of, screenshot):
    page = opened(page_of, served, "Landings of the feet")
    page.get_by_role("button", name="Look at the feet").click()
    foot = row(page, "MH A")
    foot.wait_for()
    page.get_by_text("Choose landings", exact=True).click()
    page.get_by_role("button", name="Set the chosen foot").click()
    page.get_by_text("Choose a foot in the list first.").wait_for()
    foot.get_by_role("button").click()
    page.get_by_text("Foot MH A", exact=True).wait_for()
    choose_in(page, "Kind", "plate")
    page.get_by_label("Thickness of the sheet").locator("visible=true").fill("4 mm")
    page.get_by_role("button", name="Set the chosen foot").click()
    row(page, "MH A").filter(has_text="4.0 mm").wait_for()
    row(page, "MH A").scroll_into_view_if_needed()
    screenshot(page, "landing-set")
    kinds = {one["bar_id"] + one["end"]: one["thickness_mm"] for one in cage_of(served)["landings"]}
    assert kinds["MHA"] == 4.0
    page.get_by_role("button", name="Take this landing out").click()
    row(page, "MH A").filter(has_text="none yet").wait_for()
    assert "MHA" not in {one["bar_id"] + one["end"] for one in cage_of(served).get("landings", [])}
    screenshot(page, "landing-out")


def test_a_torch_is_tried_and_pedestals_are_put_in(served, page_of, screenshot):
    page = opened(page_of, served, "Reach of the torch")
    page.set_default_timeout(LONG_MS)
    page.get_by_text("Not tried yet.").wait_for()
    page.get_by_label("Room over the tube that the torch needs").fill("60")
    page.get_by_role("button", name="Try the torch").click()
    page.get_by_text("Order of welding").wait_for()
    screenshot(page, "reach")
    row(page, "MH/SB-L-B").get_by_role("button").click()
    page.wait_for_function("hoopwrightView.marks.kept.get('seam')?.length === 1")
    screenshot(page, "reach-place")
    page.get_by_role("button", name="Put the pedestals in").scroll_into_view_if_needed()
    was = (served.project / "cage.json").read_bytes()
    page.get_by_role("button", name="Put the pedestals in").click()
    page.get_by_text(re.compile("^Pedestals put under ")).wait_for()
    page.get_by_text(re.compile("^Pedestals put under ")).scroll_into_view_if_needed()
    screenshot(page, "pedestals")
    assert (served.project / "cage.json").read_bytes() != was
    page.get_by_role("button", name=re.compile("^Undo: ")).click()
    page.get_by_text("OLD: the project has changed since").wait_for()


class TestAssembly:
    @pytest.fixture
    def project(self, small):
        return small

    def test_an_order_is_found_kept_and_one_bar_is_looked_at(self, served, page_of, screenshot):
        page = opened(page_of, served, "Getting it in: order of assembly")
        page.set_default_timeout(LONG_MS)
        page.get_by_text("No order is kept in the project yet.").wait_for()
        page.get_by_role("button", name="Only the chosen bar").locator("visible=true").click()
        page.get_by_text("Choose a bar in the list first.").wait_for()
        page.get_by_role("checkbox", name="Keep the order in the project").click()
        page.get_by_role("button", name="Find an order").click()
        page.get_by_text("The order is kept in the project.").wait_for()
        table = page.locator(".hw-picks tbody tr").locator("visible=true")
        expect(table).to_have_count(4)
        table.first.get_by_role("button").click()
        page.wait_for_function("hoopwrightView.marks.kept.get('way')?.length === 1")
        screenshot(page, "assembly")
        assert sorted(cage_of(served)["order"]) == ["BS-L", "BS-R", "HB", "MH"]
        page.get_by_role("button", name=re.compile(r"^HB\b")).first.click()
        page.get_by_role("button", name="Only the chosen bar").locator("visible=true").click()
        page.wait_for_function("document.querySelectorAll('.hw-picks tbody tr').length === 1")
        screenshot(page, "assembly-one")
