"""`hoopwright fit`: the bar that follows the shell, for each number of bends."""

import shlex
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from hoopwright.cli import typed
from hoopwright.cli.output import AsJson, progress_bar, show, stopping_on_findings, table_text
from hoopwright.findings import as_dict
from hoopwright.units import parse_angle_deg, parse_length_mm

if TYPE_CHECKING:
    from hoopwright.cage import End
    from hoopwright.jobs.fits import FitReport


def fit(
    project: Annotated[Path, typer.Argument(help="Project folder.")],
    bar_id: Annotated[str, typer.Argument(help="A bar of the project, or the name of a new one.")],
    bends: Annotated[
        int | None, typer.Option(min=0, max=6, help="Put the bar with so many bends into the project.")
    ] = None,
    most: Annotated[int, typer.Option(min=0, max=6, help="Try up to so many bends.")] = 4,
    again: Annotated[
        bool, typer.Option("--again", help="Only improve the bar from where it is, and keep it.")
    ] = False,
    start: Annotated[str | None, typer.Option("--from", help="Place of end A: forward,left,up.")] = None,
    to: Annotated[str | None, typer.Option(help="Place of end B.")] = None,
    end_a: Annotated[
        str | None, typer.Option(help="End A lands on: shell, free, or a bar such as MH.")
    ] = None,
    end_b: Annotated[str | None, typer.Option(help="End B lands on.")] = None,
    slide_a: Annotated[
        str, typer.Option(help="How far end A may slide: along the bar it lands on, else across the car.")
    ] = "0",
    slide_b: Annotated[str, typer.Option(help="The same for end B.")] = "0",
    via: Annotated[
        list[str] | None, typer.Option(help="Place to pass near, from A to B. Repeatable.")
    ] = None,
    role: Annotated[str | None, typer.Option(help="What a new bar is, such as 'side bar'.")] = None,
    tube: Annotated[str | None, typer.Option(help="Tube: 'OD x WALL'.")] = None,
    die: Annotated[str | None, typer.Option(help="Die that it is bent on.")] = None,
    clr: Annotated[str | None, typer.Option(help="Centreline radius.")] = None,
    gap: Annotated[str | None, typer.Option(help="Gap to keep; the project's without.")] = None,
    clamp: Annotated[
        str | None, typer.Option(help="Straight that the clamp needs; the project's without.")
    ] = None,
    lean: Annotated[
        str | None, typer.Option(help="Keep all bends in one plane, leaning rearward by so many degrees.")
    ] = None,
    at_pillar: Annotated[
        bool, typer.Option("--at-pillar", help="Keep a hoop in the plane of the B-pillars as scanned.")
    ] = False,
    plane_through: Annotated[
        str | None, typer.Option(help="Keep all bends in the plane of both ends and this place.")
    ] = None,
    symmetric: Annotated[
        bool | None,
        typer.Option("--symmetric/--each-side", help="Its own mirror image, or fitted to each side."),
    ] = None,
    least_bend: Annotated[str, typer.Option(help="Smallest bend worth making, degrees.")] = "3",
    greatest_bend: Annotated[str, typer.Option(help="Greatest bend of the die, degrees.")] = "120",
    reverse: Annotated[bool, typer.Option("--reverse", help="Allow a bend against the one before.")] = False,
    picture: Annotated[
        bool, typer.Option("--picture", help="Draw the trade-off and the gap along the bar as PNG.")
    ] = False,
    seed: Annotated[int, typer.Option(min=0, help="Of the search; the same seed gives the same bar.")] = 1,
    as_json: AsJson = False,
) -> None:
    """Find the bar that follows the shell at the gap asked, for 0, 1, 2, ... bends.

    Without --bends nothing is changed: the table shows where one more bend stops paying.
    """
    from hoopwright.cage import Role
    from hoopwright.jobs.fit_tasks import FitWishes
    from hoopwright.jobs.fits import fit_member
    from hoopwright.store import ProjectFolder

    if at_pillar and (lean is not None or plane_through is not None):
        raise typer.BadParameter("take one of --at-pillar, --lean and --plane-through")
    with stopping_on_findings(as_json):
        wishes = FitWishes(
            a_mm=typed.maybe(typed.place, start),
            b_mm=typed.maybe(typed.place, to),
            end_a=_end(end_a),
            end_b=_end(end_b),
            role=None if role is None else Role(typed.one_of(role, [one.value for one in Role], "a role")),
            tube=typed.maybe(typed.tube_size, tube),
            die=die,
            clr_mm=typed.maybe(parse_length_mm, clr),
            gap_mm=typed.maybe(parse_length_mm, gap),
            clamp_mm=typed.maybe(parse_length_mm, clamp),
            via_mm=tuple(typed.place(text) for text in via or ()),
            lean_deg=typed.maybe(parse_angle_deg, lean),
            at_pillar=at_pillar,
            through_mm=typed.maybe(typed.place, plane_through),
            symmetric=symmetric,
            slide_a_mm=parse_length_mm(slide_a),
            slide_b_mm=parse_length_mm(slide_b),
            least_bend_deg=parse_angle_deg(least_bend),
            greatest_bend_deg=parse_angle_deg(greatest_bend),
            may_reverse=reverse,
            seed=seed,
        )
        tried = tuple(range(max(most, bends or 0) + 1))
        with progress_bar(as_json) as progress:
            report = fit_member(
                ProjectFolder(path=project),
                bar_id,
                wishes,
                bends=tried,
                take=bends,
                warm=again,
                draw=picture,
                progress=progress,
            )
        show(as_json, lambda: _keys(report), _text(report, project, bar_id), report.findings)


def _end(on: str | None) -> "End | None":
    from hoopwright.jobs.cage_bars import end_on

    return None if on is None else end_on(on, 15.0 if on not in ("shell", "free") else 30.0, None)


def _text(report: "FitReport", project: Path, bar_id: str) -> str:
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


def _keys(report: "FitReport") -> dict[str, Any]:
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
