"""`hoopwright reach`: whether a torch gets to every joint, and where the cage stands while the rest is welded."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from hoopwright.cli import typed
from hoopwright.cli.output import (
    NEGATIVE_PLACES,
    AsJson,
    progress_bar,
    show,
    stopping_on_findings,
    table_text,
)
from hoopwright.cli.reach_keys import reach_keys
from hoopwright.units import parse_angle_deg, parse_length_mm

if TYPE_CHECKING:
    from hoopwright.jobs.reach import ReachReport
    from hoopwright.joints.reach import JointReach, SeamReach, Station, Torch
    from hoopwright.shell.clearance import TubeGaps

__all__ = ["NEGATIVE_PLACES", "reach"]


def reach(
    project: Annotated[Path, typer.Argument(help="Project folder.")],
    needs: Annotated[
        str | None, typer.Option(help="Room over the tube that the torch needs; the drop follows from it.")
    ] = None,
    torch: Annotated[
        list[str] | None,
        typer.Option(help="A size of the torch, such as 'nozzle 22' or 'handle length 80'. Repeatable."),
    ] = None,
    drop: Annotated[
        str, typer.Option(help="How far the tacked part is let down; 'auto' tries heights.")
    ] = "auto",
    shift: Annotated[
        str | None, typer.Option(help="How far it is slid forward; backward below 0. Tried without.")
    ] = None,
    tilt: Annotated[
        str | None, typer.Option(help="How far it is tilted, in degrees; its front goes down above 0.")
    ] = None,
    pedestal_step: Annotated[
        str, typer.Option(help="Pedestals are made in steps of this (common practice, no source).")
    ] = "10",
    take: Annotated[
        bool, typer.Option("--take", help="Put the pedestals into the cage; its legs then end on them.")
    ] = False,
    pictures: Annotated[
        bool, typer.Option("--pictures", help="Draw every joint that is short in place into papers.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """What a torch reaches of every joint past the shell and other bars, and a plan for what it does not."""
    from hoopwright.jobs.made_pdf import DrawnFiles
    from hoopwright.jobs.reach import weld_reach
    from hoopwright.jobs.reach_pictures import draw_reach
    from hoopwright.joints.reach import Wish
    from hoopwright.store import ProjectFolder

    with stopping_on_findings(as_json):
        wish = Wish(
            needs_mm=typed.maybe(parse_length_mm, needs),
            drop_mm=None if drop.strip().lower() == "auto" else parse_length_mm(drop),
            shift_mm=typed.maybe(parse_length_mm, shift),
            tilt_deg=typed.maybe(parse_angle_deg, tilt),
            pedestal_step_mm=parse_length_mm(pedestal_step),
        )
        folder = ProjectFolder(path=project)
        with progress_bar(as_json) as progress:
            made = weld_reach(folder, torch=_torch(torch or ()), wish=wish, take=take, progress=progress)
            drawn = draw_reach(folder, made) if pictures else DrawnFiles()
        text = "\n".join([*_text(made), *(f"written: {name}" for name in drawn.files)])
        keys = {**reach_keys(made), "pictures": list(drawn.files)}
        show(as_json, lambda: keys, text, (*made.findings, *drawn.findings))


_TORCH_SIZES: dict[str, Callable[[str], float]] = {
    "nozzle": parse_length_mm,
    "nozzle length": parse_length_mm,
    "handle": parse_length_mm,
    "handle length": parse_length_mm,
    "neck": parse_angle_deg,
    "stick-out": parse_length_mm,
    "lean": parse_angle_deg,
    "travel": parse_angle_deg,
}
_TORCH_FIELDS = {
    "nozzle": "nozzle_od_mm",
    "nozzle length": "nozzle_length_mm",
    "handle": "handle_od_mm",
    "handle length": "handle_length_mm",
    "neck": "neck_deg",
    "stick-out": "stick_out_mm",
    "lean": "lean_deg",
    "travel": "travel_deg",
}


def _torch(words: Sequence[str]) -> "Torch":
    """The usual torch with sizes as typed: the name of a size and its number."""
    from hoopwright.joints.reach import Torch

    sizes = dict(typed.named_number(text, _TORCH_SIZES, "--torch", "nozzle 19") for text in words)
    return replace(Torch(), **{_TORCH_FIELDS[name]: value for name, value in sizes.items()})


def _text(made: "ReachReport") -> list[str]:
    plan = made.plan
    lines = [_joint_table(plan.joints, plan.feet)] if plan.joints or plan.feet else []
    if plan.needed_drop_mm is not None and plan.rooms:
        least = plan.rooms[0]
        lines += [
            "",
            f"room over {least.about}: {least.gap_mm:.1f} mm to '{least.region}'; needed {plan.wish.needs_mm:.1f}, "
            f"so {plan.needed_drop_mm:.1f} mm lower",
        ]
    for name, station in (("lower", plan.low), ("aside", plan.aside)):
        if station is not None:
            lines += ["", *_station_lines(name, station)]
    cut = {leg.bar_id for leg in plan.legs if leg.up_mm > 0.0}
    for bar in (bar for bar in made.changed if bar.bar_id in cut):
        straights = ", ".join(f"{one:.1f}" for one in bar.straights_mm)
        lines.append(
            f"  {bar.bar_id}: straights {straights}; blank {bar.blank_mm:.1f} mm with its trims"
            + ("" if bar.by_calibration else ", by the arcs of its axis: not calibrated")
        )
    if made.holes:
        lines.append(
            f"  or, in place of pedestals, holes of {made.holes[0].diameter_mm:.0f} mm in the floor under these feet, "
            f"which go {made.holes[0].deep_mm:.0f} mm through; what lies below the floor is not in the scan"
        )
    lines += ["", "order of welding"] if made.steps else []
    lines += [f"  {number}. {step.what}" for number, step in enumerate(made.steps, start=1)]
    if made.taken:
        lines += ["", f"pedestals put under {', '.join(made.taken)}; issue the sheets of those bars anew"]
    lines += ["", "Reached means that the torch as typed finds room, and nothing of the weld."]
    return lines


def _joint_table(joints: "Sequence[JointReach]", feet: "Sequence[SeamReach]") -> str:
    rows = [
        [
            joint.seam.name,
            _percent(joint.in_place),
            _percent(joint.early),
            _percent(joint.low),
            _percent(joint.aside),
            joint.when.value,
            _way(joint.in_place),
        ]
        for joint in joints
    ]
    rows += [[foot.seam.name, _percent(foot), "", "", "", "in place, last", _way(foot)] for foot in feet]
    return table_text(
        ["joint", "in place %", "early %", "lower %", "aside %", "weld", "in the way in place"], rows
    )


def _percent(reach: "SeamReach | None") -> str:
    return "" if reach is None else f"{reach.share * 100.0:.0f}"


def _way(reach: "SeamReach") -> str:
    return "; ".join(f"{name} {degrees:.0f}°" for name, degrees in reach.blockers[:2])


def _station_lines(name: str, station: "Station") -> list[str]:
    place = station.place
    aside = f"{abs(place.shift_mm):g} mm {'forward' if place.shift_mm > 0.0 else 'back'}"
    tilt = f"front {'down' if place.tilt_deg > 0.0 else 'up'} by {abs(place.tilt_deg):g}°"
    said = (
        (place.drop_mm, f"{place.drop_mm:g} mm down"),
        (place.shift_mm, aside),
        (place.tilt_deg, tilt),
    )
    words = ", ".join(text for value, text in said if value)
    lines = [f"{name}: {words}; {', '.join(station.part.bars)}"]
    contact = station.move.contact
    lines.append("  the move touches nothing" if contact is None else f"  touches {contact.region}")
    lines += [f"  gaps there, {gaps.tube.name}: {_gap_words(station, gaps)}" for gaps in station.gaps]
    for leg in station.part.legs:
        if leg.up_mm <= 0.0:
            continue
        forward, left, up = leg.new_foot_mm
        lines.append(
            f"  pedestal of {station.pedestal_mm:g} mm under {leg.bar_id} {leg.end}: last straight "
            f"{leg.straight_mm:.1f} -> {leg.new_straight_mm:.1f}, foot at {forward:.1f}, {left:.1f}, {up:.1f}"
        )
    return lines


def _gap_words(station: "Station", gaps: "TubeGaps") -> str:
    """Every region that is near, once, by its smallest gap."""
    if not gaps.regions:
        return f"nothing scanned within {station.gaps_within_mm:g} mm"
    near = station.near_metal[gaps.tube.name]
    more = len(gaps.regions) - len(near)
    told = [f"{place.gap_mm:.1f} mm {place.region}" for place in near]
    return "; ".join([*told, *([f"{more} more (--json)"] if more else [])])
