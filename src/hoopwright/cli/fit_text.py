"""A bar that was fitted, told in words and as JSON keys."""

import shlex
from pathlib import Path
from typing import TYPE_CHECKING, Any

from hoopwright.cli.output import table_text
from hoopwright.findings import as_dict

if TYPE_CHECKING:
    from hoopwright.jobs.fits import FitReport


def fit_text(report: "FitReport", project: Path, bar_id: str) -> str:
    """What a person reads: the table of offers, where it is tight, and how to take one."""
    from hoopwright.jobs.fit_findings import closer_here

    heads = ["bends", "mean gap", "90 %", "greatest", "least", "length", "holds", "angles"]
    rows = []
    for offer in report.found.offers:
        mark = "*" if report.taken is not None and offer is report.taken else ""
        numbers = (offer.mean_gap_mm, offer.p90_gap_mm, offer.largest_gap_mm, offer.smallest_gap_mm)
        rows.append(
            [
                f"{offer.bends}{mark}",
                *(f"{number:.1f}" for number in numbers),
                f"{offer.length_mm:.0f}",
                "yes" if offer.holds else "no",
                " ".join(f"{angle:.1f}" for angle in offer.angles_deg),
            ]
        )
    lines = [table_text(heads, rows), f"gap asked {report.found.task.gap_mm:g} mm; seed {report.found.seed}"]
    for offer, reasons in zip(report.found.offers, report.reasons, strict=True):
        lines += [
            f"{offer.bends} bends: {reason.gap_mm:.1f} mm to '{reason.region}', {reason.along_mm:.0f} mm from end A: "
            f"{reason.sentence}"
            for reason in reasons[:2]
        ]
    if report.twin is not None:
        twin = report.twin
        lines.append(
            f"its mirror {twin.twin_id} on the other side: least gap {twin.gap_mm:.1f} mm, {twin.along_mm:.0f} mm from "
            f"end A, {closer_here(twin)}"
        )
    if report.taken is not None:
        lines.append(f"bar {bar_id} with {report.taken.bends} bends is in the project")
    else:
        lines.append(
            f"take one: hoopwright fit {shlex.quote(str(project))} {bar_id} --bends N (with the same options)"
        )
    lines += [f"drawn: {file}" for file in report.pictures]
    return "\n".join(lines)


def fit_keys(report: "FitReport") -> dict[str, Any]:
    """Keys for JSON."""
    return {
        "bar_id": report.member.member_id,
        "seed": report.found.seed,
        "gap_mm": report.found.task.gap_mm,
        "pictures": list(report.pictures),
        "twin": None
        if report.twin is None
        else {**vars(report.twin), "place_mm": list(report.twin.place_mm)},
        "taken_bends": None if report.taken is None else report.taken.bends,
        "offers": [
            {
                "bends": offer.bends,
                "mean_gap_mm": offer.mean_gap_mm,
                "p90_gap_mm": offer.p90_gap_mm,
                "largest_gap_mm": offer.largest_gap_mm,
                "smallest_gap_mm": offer.smallest_gap_mm,
                "angles_deg": list(offer.angles_deg),
                "length_mm": offer.length_mm,
                "nodes_mm": [list(node) for node in offer.bar.nodes_mm],
                "holds": offer.holds,
                "findings": [as_dict(finding) for finding in offer.findings],
                "reasons": [
                    {
                        "gap_mm": reason.gap_mm,
                        "along_mm": reason.along_mm,
                        "place_mm": list(reason.place_mm),
                        "region": reason.region,
                        "sentence": reason.sentence,
                    }
                    for reason in reasons
                ],
            }
            for offer, reasons in zip(report.found.offers, report.reasons, strict=True)
        ],
    }
