"""Weld reach as JSON."""

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from hoopwright.jobs.reach import ReachReport
    from hoopwright.joints.reach import JointReach, Nearest, Place, SeamReach, Station, WeldPlan


def reach_keys(made: "ReachReport") -> dict[str, Any]:
    """Everything that was found."""
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


def _nearest_keys(nearest: "Nearest | None") -> dict[str, Any] | None:
    if nearest is None:
        return None
    return {
        "bar_id": nearest.bar_id,
        "region": nearest.region,
        "gap_mm": nearest.gap_mm,
        "place_mm": list(nearest.place_mm),
        "at": _place_keys(nearest.at),
    }
