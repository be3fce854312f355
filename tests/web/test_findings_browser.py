"""Findings on the page, in a real browser: they lead to where it is done, and follow the unit."""

import re

import pytest

pytestmark = pytest.mark.slow


@pytest.fixture
def project(small):
    return small


def test_a_finding_leads_to_the_card_and_follows_the_unit(served, page_of, screenshot):
    page = page_of(served.url)
    page.wait_for_function("window.hoopwrightView && window.hoopwrightView.shell")
    page.get_by_role("tab", name="Check").click()
    page.get_by_role("button", name="Check the cage").click()
    page.locator(".hw-finding:visible", has_text=re.compile(r"\d mm")).first.wait_for()
    page.get_by_role("button", name="in", exact=True).click()
    page.wait_for_function(
        "() => { const shown = [...document.querySelectorAll('.hw-finding')].filter(one => one.checkVisibility());"
        " const some = wanted => shown.some(one => wanted.test(one.innerText));"
        " return some(/\\d\\x22/) && !some(/\\d mm\\b(?! per metre)/); }"
    )
    page.get_by_role("tab", name="Papers").click()
    page.get_by_role("button", name=re.compile("^Issue")).first.click()
    told = page.locator(".hw-finding:visible", has_text="Scan tab: Tape distances").first
    told.wait_for()
    assert "hoopwright" not in told.inner_text()
    screenshot(page, "finding-leads-on")
    told.get_by_role("button", name=re.compile("^Go to the Scan tab: Tape distances")).click()
    head = page.locator(".hw-head", has_text="Tape distances")
    head.wait_for()
    page.wait_for_function(
        "head => { const { top } = head.getBoundingClientRect(); return top > 0 && top < 400; }",
        arg=head.element_handle(),
    )
    page.get_by_role("tab", name="Scan", selected=True).wait_for()
    screenshot(page, "finding-led-there")
