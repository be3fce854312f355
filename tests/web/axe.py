"""What axe-core (Web Content Accessibility Guidelines 2.2, A and AA, and its best practices) finds grave on a page."""

import os
from pathlib import Path

import pytest
from tests.web.at_rest import at_rest

SOURCE = Path(__file__).parents[2] / "viewport" / "node_modules" / "axe-core" / "axe.min.js"
GRAVE = ("serious", "critical")
LOOK = """async () => {
  const found = await axe.run(document, { resultTypes: ["violations"] });
  return found.violations.map((one) => [
    one.impact, one.id, one.nodes.map((node) => `${node.target.join(" ")}: ${node.html} | ${node.failureSummary}`),
  ]);
}"""


def grave_faults(page, where):
    """One line for each serious or critical violation on what is shown now.

    Args:
        page: A page of the browser.
        where: What is shown, in words.
    """
    if not SOURCE.is_file():
        if os.environ.get("HOOPWRIGHT_NEED_BROWSER"):
            pytest.fail(f"no axe-core at {SOURCE}: npm ci in viewport/ brings it")
        pytest.skip("axe-core is not installed: npm ci in viewport/ brings it")
    # colours on their way are no colours to judge
    at_rest(page)
    if not page.evaluate("'axe' in window"):
        page.evaluate(SOURCE.read_text())
    found = page.evaluate(LOOK)
    # the look must have seen something, or it tells nothing
    assert page.evaluate("document.body.innerText.trim().length") > 0, where
    return [
        f"{where}: {rule} ({impact}): {place}"
        for impact, rule, places in found
        if impact in GRAVE
        for place in places
    ]
