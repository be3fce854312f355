"""What a page showed, and what was pressed on it, when a test of it failed."""

import contextlib

PRESSES = """{
  window.whatHappened = [];
  const words = (one) => (one?.closest?.('button, [role=tab], [role=option], a') ?? one)?.innerText?.slice(0, 40) ?? '';
  for (const name of ['pointerdown', 'pointerup', 'click'])
    addEventListener(name, (event) => whatHappened.push(
      `${Math.round(performance.now())} ${name} ${event.clientX},${event.clientY} ${words(event.target)}`), true);
}"""


def tell_what_happened(report, pages):
    """Put it into the report of the test.

    Args:
        report: Of the failed test.
        pages: Those that it had open.
    """
    for page in pages:
        with contextlib.suppress(Exception):  # a page that answers nothing hides no failure
            told = page.evaluate(
                "(window.whatHappened ?? []).slice(-24).join('\\n') + '\\n' + performance.now()"
            )
            report.sections.append((f"pressed on {page.url}", told))
            report.sections.append((f"shown by {page.url}", page.evaluate("document.body.innerText")))
