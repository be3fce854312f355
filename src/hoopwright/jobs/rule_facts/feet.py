"""Feet and gussets as a rule book looks at them."""

from dataclasses import replace

import numpy as np

from hoopwright.cage import Foot, GussetKind, LandingKind, feet_of, free_ends_of
from hoopwright.jobs.hand_measures import foot_name
from hoopwright.jobs.landings import LandedFoot
from hoopwright.jobs.rule_facts.scene import Scene
from hoopwright.joints.gusset.plain import RELIEF_MM
from hoopwright.joints.landing import FittedLanding
from hoopwright.joints.landing.result import Face
from hoopwright.rules.facts import FootFacts, GussetFacts

_WHOLE = 0.98
"""A scan that shows this share of the metal under a plate shows how it lies: common practice, no source."""


def foot_facts(scene: Scene, landed: tuple[LandedFoot, ...] | None) -> tuple[FootFacts, ...]:
    """Every foot; its plate as fitted to the scan, else as typed where its sides were.

    A free end at which something was measured by hand is a foot too.

    Args:
        scene: The project.
        landed: Landings as fitted to the scan; None without a scan.
    """
    fitted = {(one.foot.bar_id, one.foot.end): one.fitted for one in landed or ()}
    # with a scan, a plate that cannot be made there is none, whatever was typed for it
    feet = [
        foot
        if landed is None or fitted.get((foot.bar_id, foot.end)) is not None
        else replace(foot, landing=None)
        for foot in feet_of(scene.cage)
    ] + [foot for foot in free_ends_of(scene.cage) if _is_measured(scene, foot)]
    return tuple(_foot(scene, foot, fitted.get((foot.bar_id, foot.end))) for foot in feet)


def may_be_feet(scene: Scene) -> tuple[str, ...]:
    """Ends of which nobody said what they land on, and at which nothing was measured."""
    free = free_ends_of(scene.cage)
    return tuple(foot_name(foot.bar_id, foot.end) for foot in free if not _is_measured(scene, foot))


def _is_measured(scene: Scene, foot: Foot) -> bool:
    name = foot_name(foot.bar_id, foot.end)
    return any(about == name for about, _, _ in scene.by_hand)


def _foot(scene: Scene, foot: Foot, fitted: FittedLanding | None) -> FootFacts:
    name = foot_name(foot.bar_id, foot.end)
    return _as_made(scene, name, _drawn(scene, foot, name, fitted))


def _as_made(scene: Scene, name: str, drawn: FootFacts) -> FootFacts:
    """A foot with what was measured on it by hand in the place of what was drawn."""
    length, width = (scene.measured(name, f"plate {side}") for side in ("length", "width"))
    if length is not None and width is not None:
        drawn = replace(drawn, planes_mm=((length, width),), area_mm2=None, contact_mm2=None)
    thickness, bolts, bolt = (
        scene.measured(name, what) for what in ("plate thickness", "bolts", "bolt diameter")
    )
    typed = {
        "planes_mm": None if width is None else length,
        "thickness_mm": thickness,
        "backing_mm": drawn.backing_mm,
        "bolts": bolts,
        "bolt_mm": bolt,
    }
    return replace(
        drawn,
        by_hand=frozenset(field for field, value in typed.items() if value is not None),
        thickness_mm=drawn.thickness_mm if thickness is None else thickness,
        is_bolted=drawn.is_bolted if bolts is None else bolts > 0,
        bolts=drawn.bolts if bolts is None else round(bolts),
        bolt_mm=drawn.bolt_mm if bolt is None else bolt,
    )


def _drawn(scene: Scene, foot: Foot, name: str, fitted: FittedLanding | None) -> FootFacts:
    member = scene.cage.member(foot.bar_id)
    bar = scene.bars.get(foot.bar_id)
    place = None if bar is None else bar.nodes_mm[0 if foot.end == "A" else -1]
    known = FootFacts(
        bar_id=name,
        role=member.role,
        side="" if place is None else "L" if place[1] > 0.0 else "R",
        tube=member.tube,
        backing_mm=scene.measured(name, "backing plate"),
        place_mm=place,
    )
    landing = foot.landing
    if landing is None:
        return known
    known = replace(
        known,
        thickness_mm=landing.thickness_mm,
        is_bolted=landing.bolts > 0,
        bolts=landing.bolts,
        bolt_mm=landing.bolt_mm if landing.bolts else None,
    )
    if landing.kind is LandingKind.BOX:
        return known  # which of its faces a book counts is for a person to say
    if fitted is not None:
        planes = tuple(sides_mm(face) for face in fitted.faces)
        return replace(known, planes_mm=planes, area_mm2=fitted.area_mm2, contact_mm2=_contact_mm2(fitted))
    if landing.kind is LandingKind.PLATE and landing.length_mm is not None and landing.width_mm is not None:
        return replace(known, planes_mm=((landing.length_mm, landing.width_mm),))
    return known


def sides_mm(face: Face) -> tuple[float, float]:
    """Length and width of the least rectangle about a face, its sides along one of the face's edges."""
    corners = face.outline_mm
    best = None
    for edge in np.diff(np.vstack([corners, corners[:1]]), axis=0):
        length = float(np.linalg.norm(edge))
        if length < 1e-6:
            continue
        along = edge / length
        across = np.cross(face.plane.normal, along)
        spans = (float(np.ptp(corners @ along)), float(np.ptp(corners @ across)))
        if best is None or spans[0] * spans[1] < best[0] * best[1]:
            best = spans
    return (round(best[0], 1), round(best[1], 1)) if best is not None else (0.0, 0.0)


def _contact_mm2(fitted: FittedLanding) -> float | None:
    """Area that lies on the metal within 1.5 mm; None where the scan does not show it."""
    gaps = [face.gap for face in fitted.faces]
    if any(gap is None or gap.seen_ratio < _WHOLE for gap in gaps):
        return None
    return sum(face.area_mm2 * gap.within_ratio for face, gap in zip(fitted.faces, gaps, strict=True) if gap)


def gusset_facts(scene: Scene) -> tuple[GussetFacts, ...]:
    """Every gusset between bars; ties to the shell are none."""
    return tuple(
        GussetFacts(
            name=gusset.name,
            largest_od_mm=max(scene.cage.member(name).tube.od_mm for name in (gusset.bar_id, gusset.other)),
            legs_mm=(gusset.leg_mm, gusset.leg_mm),
            thickness_mm=gusset.thickness_mm,
            cutout_mm=RELIEF_MM,
            hole_mm=gusset.hole_mm,
            is_folded=gusset.kind is GussetKind.FOLDED,
            place_mm=gusset.place_mm,
        )
        for gusset in scene.cage.gussets
        if gusset.other is not None
    )
