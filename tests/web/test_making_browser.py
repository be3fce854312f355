"""Sheets that cannot be issued yet, by the words on the page, in a real browser."""

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
