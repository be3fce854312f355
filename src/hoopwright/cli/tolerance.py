"""`hoopwright tolerance`: where the ends of a bar land, bent with a person's scatter."""

from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from hoopwright.cli import typed
from hoopwright.cli.output import AsJson, show, stopping_on_findings, table_text
from hoopwright.units import parse_angle_deg, parse_length_mm

if TYPE_CHECKING:
    from hoopwright.bender.tolerance.report import Tolerance, VarianceShare
    from hoopwright.jobs.tolerances import ToleranceFound

_USUAL = "one standard deviation (common practice, no source)"


def tolerance(
    place: Annotated[Path, typer.Argument(help="Project folder, or a bend table as CSV.")],
    bar: Annotated[str | None, typer.Argument(help="Name of the bar; not with a bend table.")] = None,
    angle_sd: Annotated[str, typer.Option(help=f"Scatter of a bend angle: {_USUAL}.")] = "0.25",
    rotation_sd: Annotated[str, typer.Option(help=f"Of a turn of the tube: {_USUAL}.")] = "0.5",
    start_sd: Annotated[str, typer.Option(help=f"Of where a bend starts: {_USUAL}.")] = "1",
    length_sd: Annotated[str, typer.Option(help=f"Of the length of the blank: {_USUAL}.")] = "1",
    tape_sd: Annotated[str, typer.Option(help=f"Of a tape reading: {_USUAL}.")] = "1",
    from_calibration: Annotated[
        bool,
        typer.Option(
            "--from-calibration", help="Take the calibration's scatter of an angle, and its own uncertainty."
        ),
    ] = False,
    order: Annotated[
        str | None, typer.Option(help="auto, 'A to B', 'B to A' or 'middle outward'; as last issued without.")
    ] = None,
    clr: Annotated[str | None, typer.Option(help="Centreline radius; with a bend table.")] = None,
    tube: Annotated[str, typer.Option(help="Tube, 'OD x WALL'; with a bend table.")] = "45 x 2.5",
    trim_a: Annotated[str, typer.Option(help="Trim at end A; with a bend table.")] = "0",
    trim_b: Annotated[str, typer.Option(help="Trim at end B; with a bend table.")] = "0",
    calibration: Annotated[
        Path | None, typer.Option(help="Sample bends or printed calibration; with a bend table.")
    ] = None,
    trials: Annotated[
        int, typer.Option(help="How many bars to draw at random beside the linear model.")
    ] = 2000,
    seed: Annotated[int, typer.Option(help="Seed of the random numbers.")] = 1,
    as_json: AsJson = False,
) -> None:
    """Where each end lands with your scatter, which bend matters most, what trim it needs, what to measure."""
    from hoopwright.bender.tolerance.sources import HandScatter
    from hoopwright.jobs import tolerances
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        wishes = tolerances.ToleranceWishes(
            scatter=HandScatter(
                angle_sd_deg=parse_angle_deg(angle_sd),
                rotation_sd_deg=parse_angle_deg(rotation_sd),
                start_sd_mm=parse_length_mm(start_sd),
                length_sd_mm=parse_length_mm(length_sd),
            ),
            from_calibration=from_calibration,
            order=None
            if order is None
            else typed.one_of(order, ("auto", "A to B", "B to A", "middle outward"), "an order of bending"),
            tape_sd_mm=parse_length_mm(tape_sd),
            trials=trials,
            seed=seed,
        )
        if bar is not None:
            found = tolerances.tolerance_of_member(ProjectFolder(path=place), bar, wishes)
        else:
            found = tolerances.tolerance_of_table(
                place,
                clr_mm=typed.maybe(parse_length_mm, clr),
                tube=typed.tube_size(tube),
                trims_mm=(parse_length_mm(trim_a), parse_length_mm(trim_b)),
                calibration_file=calibration,
                wishes=wishes,
            )
        show(as_json, lambda: _keys(found), _text(found), found.findings)


def _keys(found: "ToleranceFound") -> dict[str, Any]:
    tolerance = found.tolerance
    return {
        "bar": found.bar,
        "scatter": asdict(tolerance.scatter),
        "angle_source": found.angle_source,
        "regions": [
            asdict(region) | {"sampled_share": share}
            for region, share in zip(tolerance.regions, tolerance.sampled_share, strict=True)
        ],
        "trials": tolerance.trials,
        "seed": tolerance.seed,
        "shares": [
            asdict(share.source) | {"held_share": share.held_share, "fitted_share": share.fitted_share}
            for share in tolerance.shares
        ],
        "trims": [asdict(trim) | {"needed_mm": trim.needed_mm} for trim in tolerance.trims],
        "both_ends_miss_mm": tolerance.both_ends_miss_mm,
        "last": [asdict(one) for one in tolerance.last],
        "tape": [asdict(one) for one in tolerance.tape],
    }


def _text(found: "ToleranceFound") -> str:
    tolerance, scatter = found.tolerance, found.tolerance.scatter
    tape = tolerance.tape[0]
    return "\n".join([
        f"{found.bar}, scatter of one standard deviation: {scatter.angle_sd_deg:.3g}° a bend ({found.angle_source}), "
        f"{scatter.rotation_sd_deg:g}° a turn, {scatter.start_sd_mm:g} mm a start, {scatter.length_sd_mm:g} mm a blank",
        "95 of 100 land within:",
        _regions(tolerance),
        "",
        "where it comes from, percent of the ends' summed variance:",
        _shares(tolerance.shares),
        "",
        *(
            f"trim at end {trim.end} for 95 of 100 to be long enough: {trim.needed_mm:.1f} mm "
            f"({trim.planned_mm:g} planned)"
            for trim in tolerance.trims
        ),
        _last(tolerance),
        f"measure first: {tape.name} ({tape.drawn_mm:.1f} mm drawn): what is not known of end B, end A held, goes from "
        f"{tape.end_before_mm:.1f} to {tape.end_after_mm:.1f} mm",
    ])  # fmt: skip


def _last(tolerance: "Tolerance") -> str:
    best, *others = tolerance.last
    other = "".join(f", {one.miss_mm:.1f} mm with bend {one.bend}" for one in others)
    return (
        f"leave bend {best.bend} until after a test fit: made to suit, the ends miss by {best.miss_mm:.1f} mm"
        f"{other} instead of {tolerance.both_ends_miss_mm:.1f} mm (usual miss, both ends)"
    )


def _regions(tolerance: "Tolerance") -> str:
    words = {"held": "other end held", "fitted": "laid as well as it goes"}
    rows = [
        [
            f"end {region.end}, {words[region.placing]}",
            *(f"± {value:.1f}" for value in region.extent_mm),
            " x ".join(f"{value:.1f}" for value in region.half_mm),
            f"{100.0 * share:.0f} %",
        ]
        for region, share in zip(tolerance.regions, tolerance.sampled_share, strict=True)
    ]
    heads = ["", "forward mm", "left mm", "up mm", "half axes mm", "of bars drawn at random"]
    return table_text(heads, rows)


def _shares(shares: "tuple[VarianceShare, ...]") -> str:
    sums: dict[str, tuple[float, float]] = {}
    for share in shares:
        kind, bend = share.source.kind, share.source.bend
        name = kind if bend is None else f"{kind}, bend {bend}"
        fitted, held = sums.get(name, (0.0, 0.0))
        sums[name] = (fitted + share.fitted_share, held + share.held_share)
    rows = [[name, f"{100.0 * fitted:.0f}", f"{100.0 * held:.0f}"] for name, (fitted, held) in sums.items()]
    return table_text(["", "laid as well as it goes", "other end held"], rows)
