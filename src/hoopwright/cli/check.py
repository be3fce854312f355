"""`hoopwright check`: what holds and what does not."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from hoopwright.cli.check_rows import check_keys, check_table, check_totals
from hoopwright.cli.output import AsJson, progress_bar, show, stopping_on_findings
from hoopwright.cli.rules_text import report_keys, report_text
from hoopwright.units import shown

if TYPE_CHECKING:
    from hoopwright.jobs.checks import CheckReport
    from hoopwright.shell.clearance import TubeGaps


def check(
    project: Annotated[Path, typer.Argument(help="Project folder.")],
    bar: Annotated[list[str] | None, typer.Option(help="Only this bar. Repeatable.")] = None,
    bends: Annotated[
        Path | None, typer.Option(help="Hold a typed bend table (CSV) against the one bar named by --bar.")
    ] = None,
    book: Annotated[
        str | None, typer.Option(help="Try another rule book than the pinned one: its name or file.")
    ] = None,
    regions: Annotated[int, typer.Option(help="How many regions to list for each bar.")] = 8,
    failed: Annotated[
        bool, typer.Option("--failed", help="Print only what fails, and how many checks there were.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Gaps to the shell by region, crossings, bends and clamp, the proof of the scan's size, and the rule book."""
    from hoopwright.jobs import checks
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        folder = ProjectFolder(path=project)
        if bends is not None:
            if not bar or len(bar) != 1:
                raise typer.BadParameter("name the one bar with --bar", param_hint="--bends")
            report = checks.check_typed_bends(folder, bar[0], bends)
        else:
            with progress_bar(as_json) as progress:
                report = checks.check_project(folder, only=bar or (), book=book, progress=progress)
        show(as_json, lambda: _keys(report), _text(report, regions, failed), report.findings)


def _keys(report: "CheckReport") -> dict[str, Any]:
    return {
        "checks": check_keys(report.rows),
        "rule_book": None if report.held is None else report_keys(report.held),
        "gaps": {name: _gap_keys(gaps) for name, gaps in report.gaps.items()},
    }


def _gap_keys(gaps: "TubeGaps") -> dict[str, Any]:
    judged = gaps.gap_mm[gaps.judged]
    return {
        "smallest_gap_mm": None if gaps.smallest is None else gaps.smallest.gap_mm,
        "mean_gap_mm": float(judged.mean()),
        "regions": [vars(place) for place in gaps.regions],
        "outside": [vars(stretch) for stretch in gaps.outside],
        "unseen": [vars(stretch) for stretch in gaps.unseen],
        "crossings": [vars(place) for place in gaps.crossings],
    }


def _text(report: "CheckReport", regions: int, only_failed: bool) -> str:
    ruled = 0 if report.held is None else len(report.held.rows)
    own = report.rows[: len(report.rows) - ruled]
    book = [] if report.held is None else ["", report_text(report.held, only_failed)]
    if only_failed:
        rows = [row for row in own if row.verdict.value == "fail"]
        return "\n".join([*([check_table("bar", rows)] if rows else []), check_totals(own), *book])
    parts = [check_table("bar", own), check_totals(own), *book]
    for name, gaps in report.gaps.items():
        lines = [
            f"  {shown(place.gap_mm, 1):>7} mm  {place.region}, {shown(place.along_mm, 0)} mm from end A "
            f"(axis at {shown(place.axis_mm[0], 0)}, {shown(place.axis_mm[1], 0)}, {shown(place.axis_mm[2], 0)})"
            for place in gaps.regions[:regions]
        ]
        parts += [f"\n{name}: gap to", *lines]
    parts.append("\nA pass says that the measured value meets the typed limit, and nothing more.")
    return "\n".join(parts)
