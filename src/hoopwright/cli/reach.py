"""`hoopwright reach`: whether a torch gets to every joint, and where the cage stands while the rest is welded."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

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
from hoopwright.units import parse_angle_deg, parse_length_mm

if TYPE_CHECKING:
    from hoopwright.jobs.reach import ReachReport
    from hoopwright.joints.reach import JointReach, Place, SeamReach, Station, Torch, WeldPlan

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
            drawn = draw_reach(folder, made) if pictures else ()
        text = "\n".join([*_text(made), *(f"written: {name}" for name in drawn)])
        show(as_json, lambda: {**_keys(made), "pictures": list(drawn)}, text, made.findings)


_TORCH_SIZES: dict[str, tuple[str, Callable[[str], float]]] = {
    "nozzle": ("nozzle_od_mm", parse_length_mm),
    "nozzle length": ("nozzle_length_mm", parse_length_mm),
    "handle": ("handle_od_mm", parse_length_mm),
    "handle length": ("handle_length_mm", parse_length_mm),
    "neck": ("neck_deg", parse_angle_deg),
    "stick-out": ("stick_out_mm", parse_length_mm),
    "lean": ("lean_deg", parse_angle_deg),
    "travel": ("travel_deg", parse_angle_deg),
}


def _torch(words: Sequence[str]) -> "Torch":
    """The usual torch with sizes as typed: the name of a size and its number."""
    from hoopwright.joints.reach import Torch

    sizes: dict[str, float] = {}
    for text in words:
        typed_words = " ".join(text.replace("=", " ").lower().split())
        # the longest name first, since 'handle' begins 'handle length' too
        names = sorted(_TORCH_SIZES, key=len, reverse=True)
        found = next((name for name in names if typed_words.startswith(f"{name} ")), typed_words)
        name = typed.one_of(
            found, tuple(_TORCH_SIZES), "a size of the torch and its number, such as 'nozzle 19'"
        )
        field, read = _TORCH_SIZES[name]
        sizes[field] = read(typed_words.removeprefix(name))
    return replace(Torch(), **sizes)


def _keys(made: "ReachReport") -> dict[str, Any]:
    from hoopwright.joints.reach import When

    plan, by_when = made.plan, _by_when(made.plan)
    return {
        "torch": vars(plan.torch),
        "order": list(plan.order),
        "needs_mm": plan.wish.needs_mm,
        "needed_drop_mm": plan.needed_drop_mm,
        "pedestal_mm": None if plan.low is None else plan.low.pedestal_mm,
        "rooms_over": [vars(room) for room in plan.rooms],
        "joints": [_joint_keys(joint) for joint in plan.joints],
        "feet": [_reach_keys(foot) for foot in plan.feet],
        "low": None if plan.low is None else _station_keys(plan.low),
        "aside": None if plan.aside is None else _station_keys(plan.aside),
        "touching": [_station_keys(one, gaps=False) for one in plan.touching],
        "changed": [vars(bar) for bar in made.changed],
        "holes_instead": [vars(hole) for hole in made.holes],
        "welded_low": by_when[When.LOW],
        "welded_aside": by_when[When.ASIDE],
        "welded_before": by_when[When.BEFORE],
        "welded_in_place": [*by_when[When.IN_PLACE], *(foot.seam.name for foot in plan.feet)],
        "plan": [vars(step) for step in made.steps],
        "taken": list(made.taken),
    }


def _by_when(plan: "WeldPlan") -> "dict[Any, list[str]]":
    from hoopwright.joints.reach import When

    return {when: [one.seam.name for one in plan.joints if one.when is when] for when in When}


def _joint_keys(joint: "JointReach") -> dict[str, Any]:
    return {
        "name": joint.seam.name,
        "bars": list(joint.seam.bars),
        "place_mm": [float(x) for x in joint.seam.middle_mm],
        "when": joint.when.value,
        "in_place": _reach_keys(joint.in_place),
        "early": None if joint.early is None else _reach_keys(joint.early),
        "early_before": list(joint.early_before),
        "low": None if joint.low is None else _reach_keys(joint.low),
        "aside": None if joint.aside is None else _reach_keys(joint.aside),
    }


def _reach_keys(reach: "SeamReach") -> dict[str, Any]:
    return {
        "name": reach.seam.name,
        "share": reach.share,
        "reached_deg": reach.reached_deg,
        "all_round": reach.is_whole,
        "own_bars_leave_deg": reach.alone_share * 360.0,
        "unreached_deg": [list(stretch) for stretch in reach.unreached_deg],
        "in_the_way": [{"name": name, "over_deg": degrees} for name, degrees in reach.blockers],
    }


def _station_keys(station: "Station", *, gaps: bool = True) -> dict[str, Any]:
    keys: dict[str, Any] = {
        "bars": list(station.part.bars),
        **_place_keys(station.place),
        "pedestal_mm": station.pedestal_mm,
        "legs": [vars(leg) for leg in station.part.legs],
        "move_touches": not station.move.is_free,
        "move_mm": station.move.went_mm,
        "stages": [_place_keys(stage) for stage in station.move.stages],
        "contact": _nearest_keys(station.move.contact),
        "nearest": _nearest_keys(station.move.nearest),
    }
    if gaps:
        keys["gaps"] = {one.tube.name: [vars(place) for place in one.regions] for one in station.gaps}
    return keys


def _place_keys(place: "Place") -> dict[str, Any]:
    return {"drop_mm": place.drop_mm, "shift_mm": place.shift_mm, "tilt_deg": place.tilt_deg}


def _nearest_keys(nearest: Any) -> dict[str, Any] | None:
    if nearest is None:
        return None
    return {
        "bar_id": nearest.bar_id,
        "region": nearest.region,
        "gap_mm": nearest.gap_mm,
        "place_mm": list(nearest.place_mm),
        "at": _place_keys(nearest.at),
    }


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
    for bar in made.changed:
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
    for gaps in station.gaps:
        near = "; ".join(f"{place.gap_mm:.1f} mm {place.region}" for place in gaps.regions[:3])
        lines.append(f"  gaps there, {gaps.tube.name}: {near}")
    for leg in station.part.legs:
        forward, left, up = leg.new_foot_mm
        lines.append(
            f"  pedestal of {station.pedestal_mm:g} mm under {leg.bar_id} {leg.end}: last straight "
            f"{leg.straight_mm:.1f} -> {leg.new_straight_mm:.1f}, foot at {forward:.1f}, {left:.1f}, {up:.1f}"
        )
    return lines
