"""`hoopwright holdable`: how many bars would clear, bent with a person's scatter."""

import math
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from hoopwright.cli.output import AsJson, progress_bar, show, stopping_on_findings, table_text
from hoopwright.units import parse_angle_deg, parse_length_mm

if TYPE_CHECKING:
    from hoopwright.fitting.holdable import HoldableGap


def holdable(
    project: Annotated[Path, typer.Argument(help="Project folder.")],
    bar: Annotated[str, typer.Argument(help="Name of the bar.")],
    angle_sd: Annotated[str, typer.Option(help="Scatter of a bend angle: one standard deviation.")] = "0.25",
    rotation_sd: Annotated[str, typer.Option(help="The same of a turn of the tube between bends.")] = "0.5",
    length_sd: Annotated[str, typer.Option(help="The same of a straight.")] = "1",
    seed: Annotated[int, typer.Option(help="Seed of the random numbers.")] = 1,
    trials: Annotated[int, typer.Option(help="How many bars to simulate.")] = 400,
    as_json: AsJson = False,
) -> None:
    """How many of 100 bars would clear the shell, bent with your scatter, and the gap that 95 hold."""
    from hoopwright.fitting.scattered import Scatter
    from hoopwright.jobs.holdable import hold_gap
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        scatter = Scatter(
            angle_sd_deg=parse_angle_deg(angle_sd),
            rotation_sd_deg=parse_angle_deg(rotation_sd),
            length_sd_mm=parse_length_mm(length_sd),
        )
        folder = ProjectFolder(path=project)
        with progress_bar(as_json) as progress:
            held, findings = hold_gap(folder, bar, scatter, trials=trials, seed=seed, progress=progress)
        show(as_json, lambda: _keys(held), _text(held), findings)


def _keys(held: "HoldableGap") -> dict[str, Any]:
    names = ("target_mm", "low_mm", "high_mm")
    holds = zip(names, held.holds_95_mm, strict=True)
    return {
        "bar": held.bar,
        "scatter": asdict(held.scatter),
        "trials": held.trials,
        "seed": held.seed,
        "drawn_gap_mm": held.drawn_gap_mm,
        "at_drawn": asdict(held.at_drawn),
        "at_targets": [asdict(one) for one in held.at_targets],
        "holds_95": {name: value if math.isfinite(value) else None for name, value in holds},
        "off_drawn_95_mm": held.off_drawn_95_mm,
        "axis_meets_metal": held.axis_meets_metal,
    }


def _text(held: "HoldableGap") -> str:
    scatter, drawn = held.scatter, held.at_drawn
    rows = [
        [
            f"{one.target_mm:g} mm",
            f"{100 * one.share:.0f}",
            f"{100 * one.low_share:.0f} to {100 * one.high_share:.0f}",
        ]
        for one in held.at_targets
    ]
    return "\n".join([
        f"{held.bar}, bent {held.trials} times with a scatter of {scatter.angle_sd_deg:g}° a bend, "
        f"{scatter.rotation_sd_deg:g}° a turn, {scatter.length_sd_mm:g} mm a straight (seed {held.seed}):",
        f"as drawn, at {held.drawn_gap_mm:.1f} mm, {_of_100(drawn.share)} of 100 bars clear",
        table_text(["drawn at", "of 100 clear", "95 % sure"], rows),
        _holds(held),
        f"placed as well as they go, 95 of 100 lie within {held.off_drawn_95_mm:.1f} mm of the drawn bar",
    ])  # fmt: skip


def _of_100(share: float) -> int:
    """Whole bars of 100: 100 only where all clear."""
    return math.floor(100.0 * share + 1e-9)


def _holds(held: "HoldableGap") -> str:
    target, low, high = held.holds_95_mm
    if not math.isfinite(target):
        return "no gap is known at which 95 of 100 clear"
    to = f"to {high:.1f} mm" if math.isfinite(high) else "or more mm, above not known"
    return f"95 of 100 clear when drawn at {target:.1f} mm (95 % sure: {low:.1f} {to})"
