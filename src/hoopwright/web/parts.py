"""Small parts that several tabs are made of."""

from collections.abc import Sequence
from html import escape

from nicegui import ui

from hoopwright.findings import Finding, Severity, as_text


def table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    """A plain table: first column to the left, numbers to the right."""
    head = "".join(f"<th>{escape(text)}</th>" if text else "<td></td>" for text in heads)
    body = "".join("<tr>" + "".join(f"<td>{escape(cell)}</td>" for cell in row) + "</tr>" for row in rows)
    ui.html(
        f'<table class="hw-table"><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>', sanitize=False
    ).classes("w-full")


def findings_list(findings: Sequence[Finding]) -> None:
    """Findings, the grave ones with a coloured edge and their word."""
    for finding in findings:
        kind = "note" if finding.severity is Severity.NOTE else ""
        ui.label(as_text(finding)).classes(f"hw-finding {kind}").style("white-space: pre-line")
