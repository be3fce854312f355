"""Sheets that cannot be issued yet, by the words on the page, in a real browser."""

import re

import pytest

expect = pytest.importorskip("playwright.sync_api").expect
pytestmark = pytest.mark.slow


def opened(page_of, served):
    page = page_of(served.url)
    page.wait_for_function("window.hoopwrightView && window.hoopwrightView.shell")
    page.wait_for_selector("button.hw-item")
    page.get_by_role("tab", name="Papers").click()
    return page


class TestUnproven:
    @pytest.fixture
    def project(self, small):
        return small

    def test_no_sheet_is_issued_while_the_size_of_the_scan_is_not_proven(self, served, page_of, screenshot):
        page = opened(page_of, served)
        page.get_by_role("checkbox", name="bars without a calibration too, stamped not calibrated").click()
        page.get_by_role("button", name="Issue all sheets").click()
        notice = page.locator(".q-notification", has_text=re.compile("tape", re.IGNORECASE))
        notice.wait_for()
        said = page.locator(".hw-right .hw-finding", has_text=re.compile("tape")).first
        expect(said).to_be_visible()
        screenshot(page, "unproven")
        assert list((served.project / "papers").glob("*.pdf")) == []
        # what it says stays on the page after the notice has gone
        expect(notice).to_have_count(0)
        expect(said).to_be_visible()
