"""`hoopwright bar other-side`: a bar and its mirror, each against its own side of the car."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from hoopwright.cli.output import AsJson, progress_bar, show, stopping_on_findings, table_text

if TYPE_CHECKING:
    from hoopwright.fitting.side_pair import SideOffer
    from hoopwright.fitting.side_regions import RegionBothSides
    from hoopwright.jobs.other_side import OtherSideReport
    from hoopwright.shell.clearance import TubeGaps


def other_side(
    project: Annotated[Path, typer.Argument(help="Project folder.")],
    bar_id: Annotated[str, typer.Argument(help="The bar or its mirror, such as SB-R.")],
    shift: Annotated[
        bool, typer.Option("--shift", help="Free the mirrored bar and shift it as it is, same bends.")
    ] = False,
    refit: Annotated[
        bool, typer.Option("--refit", help="Free the mirrored bar and fit it to its own side.")
    ] = False,
    keep: Annotated[
        bool, typer.Option("--keep", help="Keep them mirrored, with the gap that both sides can hold.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Where a mirrored bar's own side differs, and what a shift, a refit or keeping the mirror comes to."""
    from hoopwright.fitting.side_pair import SideChoice
    from hoopwright.jobs import other_side as job
    from hoopwright.store import ProjectFolder

    asked = [name for name, wanted in (("shift", shift), ("refit", refit), ("keep", keep)) if wanted]
    if len(asked) > 1:
        raise typer.BadParameter("take one of --shift, --refit and --keep")
    with stopping_on_findings(as_json):
        take = SideChoice(asked[0]) if asked else None
        with progress_bar(as_json) as progress:
            report = job.other_side(ProjectFolder(path=project), bar_id, take, progress=progress)
        show(as_json, lambda: _keys(report), _text(report), report.findings)


def _keys(report: "OtherSideReport") -> dict[str, Any]:
    return {
        "bar_id": report.pair.source.name,
        "other_id": report.pair.other.name,
        "gap_mm": report.pair.gap_mm,
        "smallest_gap_mm": _smallest(report.now.source),
        "other_smallest_gap_mm": _smallest(report.now.other),
        "regions": [{**vars(one), "closer_mm": one.closer_mm} for one in report.now.regions],
        "offers": [_offer_keys(offer) for offer in report.offers],
        "taken": None if report.taken is None else report.taken.value,
    }


def _offer_keys(offer: "SideOffer") -> dict[str, Any]:
    return {
        "choice": offer.choice.value,
        "smallest_gap_mm": _smallest(offer.source_gaps),
        "other_smallest_gap_mm": _smallest(offer.other_gaps),
        "mean_gap_mm": _mean(offer.source_gaps),
        "other_mean_gap_mm": _mean(offer.other_gaps),
        "moved_mm": offer.moved_mm,
        "holds": offer.holds,
        "nodes_mm": [list(node) for node in offer.source.nodes_mm],
        "other_nodes_mm": [list(node) for node in offer.other.nodes_mm],
    }


def _text(report: "OtherSideReport") -> str:
    source, other = report.pair.source.name, report.pair.other.name
    now = report.now
    heads = ["region", source, other, "here", "from end A", "at forward,left,up"]
    parts = [
        f"{other} against {source}, each on its own side; {report.pair.gap_mm:g} mm asked",
        table_text(heads, [_region_row(one) for one in now.regions]) if now.regions else "no metal near it",
        "",
    ]
    rows = [["as it was", *_gap_cells(now.source), *_gap_cells(now.other), "", ""]]
    for offer in report.offers:
        cells = [*_gap_cells(offer.source_gaps), *_gap_cells(offer.other_gaps)]
        rows.append([offer.choice.value, *cells, f"{offer.moved_mm:.1f}", "yes" if offer.holds else "no"])
    heads = ["", f"{source} least", "mean", f"{other} least", "mean", "nodes go mm", "both hold"]
    parts.append(table_text(heads, rows))
    if report.taken is not None:
        parts.append(f"\n'{report.taken.value}' is in the project now; 'hoopwright undo' goes back")
    return "\n".join(parts)


def _region_row(one: "RegionBothSides") -> list[str]:
    if one.closer_mm is None:
        twin, here = "-", "not scanned opposite"
    else:
        twin = f"{one.twin_gap_mm:.1f}"
        here = f"{abs(one.closer_mm):.1f} mm {'closer' if one.closer_mm >= 0.0 else 'farther'}"
    at = ",".join(f"{x:.0f}" for x in one.axis_mm)
    return [one.region, twin, f"{one.gap_mm:.1f}", here, f"{one.along_mm:.0f}", at]


def _gap_cells(gaps: "TubeGaps") -> list[str]:
    smallest = _smallest(gaps)
    return ["not known" if smallest is None else f"{smallest:.1f}", f"{_mean(gaps):.1f}"]


def _smallest(gaps: "TubeGaps") -> float | None:
    return None if gaps.smallest is None else gaps.smallest.gap_mm


def _mean(gaps: "TubeGaps") -> float:
    return float(gaps.gap_mm[gaps.judged].mean())
