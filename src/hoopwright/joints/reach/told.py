"""What a person should know of a plan of welding."""

from hoopwright.bars import as_node
from hoopwright.findings import Finding, Severity
from hoopwright.joints.reach.legs import Leg
from hoopwright.joints.reach.reached import SeamReach
from hoopwright.joints.reach.stations import Station
from hoopwright.joints.reach.steps import listed, place_words, stretch_words
from hoopwright.joints.reach.weld_plan import JointReach, WeldPlan, When

_TOLD_DEG = 10.0
HIGH_PEDESTAL_MM = 100.0
"""A pedestal over this height is told of; common practice, no source."""
SHORT_LEG_ODS = 3.0
"""A last straight under so many tube diameters is told of; common practice, no source."""


def plan_findings(plan: WeldPlan) -> tuple[Finding, ...]:
    """What a person should know, the gravest first."""
    found = [_short_of(joint) for joint in plan.joints if not joint.planned.is_whole]
    found += [_touches(station) for station in plan.touching[:1] if plan.low is None or plan.aside is None]
    found += [_no_seam(*end) for end in plan.without_seam]
    found += plan.left_out
    found += [*_high(plan), *(_short_leg(leg, plan) for leg in plan.legs if _is_short(leg, plan))]
    found += [_no_room_known(plan)] if plan.wish.needs_mm is not None and not plan.rooms else []
    found += [_before(joint) for joint in plan.joints if joint.when is When.BEFORE and joint.planned.is_whole]
    found += [
        _crotch(joint.in_place)
        for joint in plan.joints
        if joint.in_place.alone_share < 1.0 - _TOLD_DEG / 360.0
    ]
    found += [_foot(one) for one in plan.feet if not one.is_whole]
    if not plan.joints and not plan.feet and not plan.without_seam:
        found.append(
            Finding(
                code="REACH-010",
                severity=Severity.NOTE,
                sentence="No end of a bar lands on another bar or on the shell, so there is nothing to weld.",
                todo="Say what ends land on when bars are added (--end-a and --end-b).",
            )
        )
    return tuple(found)


def _short_of(joint: JointReach) -> Finding:
    best, seam = joint.planned, joint.seam
    ways = ", ".join(f"'{name}' {degrees:.0f}°" for name, degrees in best.blockers[:3])
    tried = [
        words
        for words, one in (("in place", joint.in_place), ("lower", joint.low), ("aside", joint.aside))
        if one is not None
    ]
    return Finding(
        code="REACH-003",
        sentence=f"Joint {seam.name}: the torch reaches {best.share * 100.0:.0f} % of the circumference, "
        f"{best.reached_deg:.0f} of 360°, at best (tried {', '.join(tried)}). Out of reach from the heel on: "
        f"{stretch_words(best)}°. In the way: {ways}.",
        todo="Weld it before it stands there, try a slimmer torch, open the shell there, or move the "
        "joint away from the metal.",
        objects=(seam.name, *seam.bars),
        point_mm=as_node(seam.middle_mm),
        measured=best.reached_deg,
        limit=best.alone_share * 360.0,
        unit="deg",
    )


def _touches(station: Station) -> Finding:
    contact = station.move.contact
    where = "" if contact is None else f"{contact.bar_id} meets '{contact.region}'"
    return Finding(
        code="REACH-004",
        sentence=f"The part ({', '.join(station.part.bars)}) would be reached better "
        f"{place_words(station.place)}, but it cannot be brought there: after {station.move.went_mm:.0f} mm "
        f"of the way {where}.",
        todo="Take less drop or another shift, leave the bar that touches for later, or open the shell there.",
        objects=tuple(station.part.bars),
        point_mm=None if contact is None else contact.place_mm,
        measured=station.move.went_mm,
        unit="mm",
    )


def _high(plan: WeldPlan) -> list[Finding]:
    """Pedestals that are higher than usual, once: they are all of one height."""
    new = tuple(f"{leg.bar_id} {leg.end}" for leg in plan.legs if leg.up_mm > 0.0)
    height = max((one.pedestal_mm for one in (plan.low, plan.aside) if one is not None), default=0.0)
    if not new or height <= HIGH_PEDESTAL_MM:
        return []
    return [
        Finding(
            code="REACH-017",
            sentence=f"Pedestals of {height:.0f} mm under {listed(new)} are higher than usual (over "
            f"{HIGH_PEDESTAL_MM:.0f} mm; common practice, no source).",
            todo="Ask for less room or a smaller drop, let the feet through holes in the floor, or weld the tops "
            "before what is above them is there; what a box so high carries is for your rule book and a competent "
            "person.",
            objects=new,
            measured=height,
            limit=HIGH_PEDESTAL_MM,
            unit="mm",
        )
    ]


def _is_short(leg: Leg, plan: WeldPlan) -> bool:
    return leg.up_mm > 0.0 and leg.new_straight_mm < _least_mm(leg, plan)


def _least_mm(leg: Leg, plan: WeldPlan) -> float:
    bars = {
        name: bar for one in (plan.aside, plan.low) if one is not None for name, bar in one.part.bars.items()
    }
    return SHORT_LEG_ODS * bars[leg.bar_id].tube.od_mm


def _short_leg(leg: Leg, plan: WeldPlan) -> Finding:
    least = _least_mm(leg, plan)
    return Finding(
        code="REACH-018",
        sentence=f"Bar {leg.bar_id}: cut to stand {leg.up_mm:.0f} mm higher, its last straight at end {leg.end} is "
        f"{leg.new_straight_mm:.1f} mm long ({leg.straight_mm:.1f} mm before); under {least:.0f} mm, "
        f"{SHORT_LEG_ODS:g} tube diameters, it is short (common practice, no source).",
        todo="Take a lower pedestal. 'hoopwright check' and 'hoopwright sheets' hold it against your bender's clamp.",
        objects=(leg.bar_id,),
        point_mm=leg.new_foot_mm,
        measured=leg.new_straight_mm,
        limit=least,
        unit="mm",
    )


def _no_seam(bar_id: str, end: str, header: str) -> Finding:
    return Finding(
        code="REACH-015",
        sentence=f"End {end} of bar {bar_id} should land on {header} and does not meet it, so there is no "
        "seam to reach.",
        todo=f"Bring the end onto {header}; 'hoopwright check' tells how far it is off.",
        objects=(bar_id, header),
    )


def _before(joint: JointReach) -> Finding:
    return Finding(
        code="REACH-005",
        severity=Severity.NOTE,
        sentence=f"Joint {joint.seam.name} is reached all round only before {listed(joint.early_before)} "
        f"{'goes' if len(joint.early_before) == 1 else 'go'} in; after that "
        f"{joint.in_place.share * 100.0:.0f} % of it.",
        todo="Weld it first.",
        objects=(joint.seam.name, *joint.early_before),
        point_mm=as_node(joint.seam.middle_mm),
        measured=joint.in_place.reached_deg,
        limit=360.0,
        unit="deg",
    )


def _crotch(reach: SeamReach) -> Finding:
    return Finding(
        code="REACH-008",
        severity=Severity.NOTE,
        sentence=f"Joint {reach.seam.name}: its own two bars leave the torch "
        f"{reach.alone_share * 360.0:.0f} of 360° even with nothing else there: the corner at the heel is too "
        "narrow for the nozzle.",
        todo="Let more wire stick out there, or take a slimmer nozzle; a joint under 30° is for a competent person.",
        objects=(reach.seam.name, *reach.seam.bars),
        point_mm=as_node(reach.seam.middle_mm),
        measured=reach.alone_share * 360.0,
        limit=360.0,
        unit="deg",
    )


def _foot(reach: SeamReach) -> Finding:
    ways = ", ".join(f"'{name}' {degrees:.0f}°" for name, degrees in reach.blockers[:3])
    return Finding(
        code="REACH-009",
        severity=Severity.NOTE,
        sentence=f"{reach.seam.name[:1].upper()}{reach.seam.name[1:]}: the torch reaches "
        f"{reach.share * 100.0:.0f} % of it in place. In the way: {ways}.",
        todo="Weld the foot to its plate before the plate is welded down, or set the foot on a box.",
        objects=(reach.seam.name, *reach.seam.bars),
        point_mm=as_node(reach.seam.middle_mm),
        measured=reach.reached_deg,
        limit=reach.alone_share * 360.0,
        unit="deg",
    )


def _no_room_known(plan: WeldPlan) -> Finding:
    return Finding(
        code="REACH-011",
        severity=Severity.NOTE,
        sentence="No scanned metal lies above a hoop or a joint within 150 mm, so nothing is to be lowered for "
        f"{plan.wish.needs_mm:g} mm of room.",
        todo="Where nothing was scanned the room is unknown, not free: look at the car.",
        limit=plan.wish.needs_mm,
        unit="mm",
    )
