"""What a person should know of a plan of welding."""

from hoopwright.bars import as_node
from hoopwright.findings import Finding, Severity
from hoopwright.joints.reach.reached import SeamReach
from hoopwright.joints.reach.stations import Station
from hoopwright.joints.reach.steps import listed, place_words
from hoopwright.joints.reach.weld_plan import JointReach, WeldPlan, When

_TOLD_DEG = 10.0


def plan_findings(plan: WeldPlan) -> tuple[Finding, ...]:
    """What a person should know, the gravest first."""
    found = [_short_of(joint) for joint in plan.joints if not joint.planned.is_whole]
    found += [_touches(station) for station in plan.touching[:1] if plan.low is None or plan.aside is None]
    found += [_no_seam(*end) for end in plan.without_seam]
    found += plan.left_out
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
                todo="Say what ends land on when bars are added: --end-a and --end-b.",
            )
        )
    return tuple(found)


def _short_of(joint: JointReach) -> Finding:
    best, seam = joint.planned, joint.seam
    ways = ", ".join(f"'{name}' {degrees:.0f}°" for name, degrees in best.blockers[:3])
    stretches = ", ".join(f"{low:.0f} to {high:.0f}" for low, high in best.unreached_deg)
    tried = [
        words
        for words, one in (("in place", joint.in_place), ("lower", joint.low), ("aside", joint.aside))
        if one is not None
    ]
    return Finding(
        code="REACH-003",
        sentence=f"Joint {seam.name}: the torch reaches {best.share * 100.0:.0f} % of the circumference, "
        f"{best.reached_deg:.0f} of 360°, at best (tried {', '.join(tried)}). Out of reach from the heel on: "
        f"{stretches}°. In the way: {ways}.",
        todo="Weld it before it stands there, try a slimmer torch with --torch, open the shell there, or move the "
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
