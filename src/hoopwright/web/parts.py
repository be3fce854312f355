"""Small parts that several tabs are made of."""

from collections.abc import Sequence
from html import escape
from typing import Literal

from nicegui import ui

from hoopwright.findings import Finding, Severity, as_text


def table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    """A plain table: first column to the left, numbers to the right."""
    head = "".join(f"<th>{escape(text)}</th>" if text else "<td></td>" for text in heads)
    body = "".join("<tr>" + "".join(f"<td>{escape(cell)}</td>" for cell in row) + "</tr>" for row in rows)
    ui.html(
        f'<table class="hw-table"><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>', sanitize=False
    ).classes("w-full")


def counted(count: int, what: str) -> str:
    """`1 sheet`, `2 sheets`."""
    return f"{count} {what}" if count == 1 else f"{count} {what}s"


def bring_into_view(element: ui.element, to: Literal["start", "nearest"] = "nearest") -> None:
    """Roll the tab to what was just made, where it lies out of sight."""
    element.client.run_javascript(
        f"requestAnimationFrame(() => getHtmlElement({element.id})?.scrollIntoView({{block: '{to}'}}))"
    )


def kept_words(words: str) -> ui.label | None:
    """What was kept last, as a person who does not look there is told it too; None where nothing was.

    Args:
        words: In words; empty for nothing.
    """
    return ui.label(words).classes("hw-hold").props('role="status"') if words else None


def findings_list(findings: Sequence[Finding]) -> None:
    """Findings where no project is open yet; a tab shows them by `picks.finding_list`."""
    for finding in findings:
        kind = "note" if finding.severity is Severity.NOTE else ""
        ui.label(as_text(finding)).classes(f"hw-finding {kind}").style("white-space: pre-line")
