"""Cutting files, pictures and sheets that cannot be issued yet, by the words on the page, in a real browser."""

import re

import pytest

pytestmark = pytest.mark.slow


def opened(page_of, served):
    page = page_of(served.url)
    page.set_default_timeout(60_000)
    page.wait_for_function("window.hoopwrightView && window.hoopwrightView.shell")
    page.wait_for_selector("button.hw-item")
    page.get_by_role("tab", name="Papers").click()
    return page


def test_cutting_files_are_made_for_one_bar_and_opened(served, page_of, screenshot):
    page = opened(page_of, served)
    page.get_by_role("button", name=re.compile("^SB-L")).first.click()
    page.get_by_text("Sheets of the bars", exact=True).click()
    page.get_by_text("Wraps, plates, solids and tables", exact=True).click()
    for words in ("solids to look at (GLB)", "solids for CAD (STEP)", "tables (CSV, XLSX)"):
        page.get_by_role("checkbox", name=words).click()
    page.get_by_role("checkbox", name="only the chosen bar").click()
    page.get_by_role("button", name="Make them").click()
    page.get_by_text(re.compile(r"^\d+ files: \d+ new, \d+ changed, \d+ as before$")).wait_for()
    page.wait_for_timeout(500)
    screenshot(page, "cutting-files")
    page.get_by_text("All papers of this project", exact=True).click()
    link = page.get_by_role("link", name=re.compile(r"^SB-L.*\.dxf$")).first
    link.wait_for()
    link.scroll_into_view_if_needed()
    page.wait_for_timeout(400)
    screenshot(page, "cutting-files-listed")
    answer = page.request.get(served.url.rstrip("/") + link.get_attribute("href"))
    assert answer.ok
    assert answer.body() == (served.project / "papers" / link.inner_text()).read_bytes()
    assert b"ENTITIES" in answer.body()


def test_pictures_are_drawn_and_shown(served, page_of, screenshot):
    for one in (served.project / "papers").glob("cage-*.png"):
        one.unlink()  # those that came with the demo
    page = opened(page_of, served)
    page.set_default_timeout(180_000)
    page.get_by_text("Sheets of the bars", exact=True).click()
    page.get_by_text("Pictures", exact=True).click()
    page.get_by_text("None drawn yet.").wait_for()
    page.get_by_role("button", name="Draw the cage from six sides").click()
    page.locator("img[alt^='cage-']").first.wait_for()
    page.wait_for_function(
        "document.querySelectorAll(\"img[alt^='cage-']\").length === 6 && "
        "[...document.querySelectorAll(\"img[alt^='cage-']\")].every((one) => one.naturalWidth > 100)"
    )
    page.locator("img[alt^='cage-']").first.scroll_into_view_if_needed()
    page.wait_for_timeout(500)
    screenshot(page, "pictures")
    assert len(list((served.project / "papers").glob("cage-*.png"))) == 6


class TestUnproven:
    @pytest.fixture
    def project(self, small):
        return small

    def test_no_sheet_is_issued_while_the_size_of_the_scan_is_not_proven(self, served, page_of, screenshot):
        page = opened(page_of, served)
        page.get_by_role("checkbox", name="bars without a calibration too, stamped not calibrated").click()
        page.get_by_role("button", name="Issue all sheets").click()
        page.get_by_text(re.compile("tape", re.IGNORECASE)).locator("visible=true").first.wait_for()
        page.wait_for_timeout(800)
        screenshot(page, "unproven")
        assert list((served.project / "papers").glob("*.pdf")) == []
        # what it says stays on the page after the notice has gone
        page.get_by_role("button", name="Close").click()
        page.wait_for_timeout(600)
        assert page.locator(".hw-right .hw-finding", has_text=re.compile("tape")).first.is_visible()
