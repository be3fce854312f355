"""Landings held against each other: plates that overlap, and the two sides of the car."""

import itertools
from collections.abc import Sequence

import numpy as np

from hoopwright.bars import as_node
from hoopwright.cage import Cage
from hoopwright.findings import Finding, Severity
from hoopwright.geometry import Points, unit_vector
from hoopwright.joints.landing.gaps import in_outline
from hoopwright.joints.landing.result import Face, FittedLanding

_SAME_HEIGHT_MM = 15.0
_STEP_MM = 4.0
_ANGLE_DEG = 1.0
_LENGTH_MM = 3.0


def held_together(cage: Cage, fitted: Sequence[FittedLanding]) -> tuple[Finding, ...]:
    """`LAND-026` for plates that overlap, `LAND-027` for the two sides of a mirrored bar that come out otherwise.

    Args:
        cage: Says which bar mirrors which.
        fitted: All landings of the cage.
    """
    return (*_overlaps(fitted), *_twins(cage, fitted))


def _overlaps(fitted: Sequence[FittedLanding]) -> tuple[Finding, ...]:
    told = []
    for one, other in itertools.combinations(fitted, 2):
        shared = max(
            (_shared_mm2(a, b) for a, b in itertools.product(_on_metal(one), _on_metal(other))),
            default=0.0,
        )
        if shared > _STEP_MM**2:
            told.append(
                Finding(
                    code="LAND-026",
                    sentence=f"The plates of {one.bar_id} foot {one.end} and {other.bar_id} foot {other.end} overlap "
                    f"by {shared / 100.0:.1f} cm2.",
                    todo="Make one of them shorter, or let both feet stand on one plate and leave the other out.",
                    objects=(one.bar_id, other.bar_id),
                    point_mm=as_node(one.faces[0].outline_mm.mean(axis=0)),
                    measured=shared / 100.0,
                    limit=0.0,
                    unit="cm2",
                )
            )
    return tuple(told)


def _on_metal(fitted: FittedLanding) -> tuple[Face, ...]:
    return tuple(face for face in fitted.faces if face.region)


def _shared_mm2(one: Face, other: Face) -> float:
    """Area of one face that lies on another, by a raster of 4 mm."""
    if np.linalg.norm(one.outline_mm.mean(axis=0) - other.outline_mm.mean(axis=0)) > 1500.0:
        return 0.0
    if abs(float(one.plane.normal @ other.plane.normal)) < 0.8:
        return 0.0
    along = unit_vector(one.outline_mm[1] - one.outline_mm[0])
    axes = np.stack([along, np.cross(one.plane.normal, along)])
    flat = (one.outline_mm - one.outline_mm[0]) @ axes.T
    low, high = flat.min(axis=0), flat.max(axis=0)
    raster = [np.arange(low[k] + _STEP_MM / 2.0, high[k], _STEP_MM) for k in (0, 1)]
    cells: Points = np.stack(np.meshgrid(*raster, indexing="ij"), axis=-1).reshape(-1, 2)
    cells = cells[in_outline(flat, cells)]
    places = one.outline_mm[0] + cells @ axes
    near = np.abs(other.plane.distance_mm(places)) < _SAME_HEIGHT_MM
    theirs = (other.outline_mm - one.outline_mm[0]) @ axes.T
    return float((in_outline(theirs, cells) & near).sum() * _STEP_MM**2)


def _twins(cage: Cage, fitted: Sequence[FittedLanding]) -> tuple[Finding, ...]:
    by_end = {(one.bar_id, one.end): one for one in fitted}
    told = []
    for (bar_id, end), one in by_end.items():
        source = cage.member(bar_id).mirror_of if bar_id in cage else None
        twin = by_end.get((source, end)) if source is not None else None
        if twin is None:
            continue
        differs = _differences(twin, one)
        if differs:
            told.append(
                Finding(
                    code="LAND-027",
                    severity=Severity.NOTE,
                    sentence=f"The landings of {twin.bar_id} and {bar_id} at end {end} differ, each fitted to its own "
                    f"side: {'; '.join(differs)}.",
                    todo="Cut each from its own drawing, and mark them left and right.",
                    objects=(twin.bar_id, bar_id),
                )
            )
    return tuple(told)


def _differences(one: FittedLanding, other: FittedLanding) -> list[str]:
    told = []
    for what, a, b in (
        ("length", one.length_mm, other.length_mm),
        ("width", one.width_mm, other.width_mm),
        ("height up the wall", one.wall_mm, other.wall_mm),
        ("leg cut back by", one.cut.shorten_mm, other.cut.shorten_mm),
    ):
        if abs(a - b) > _LENGTH_MM:
            told.append(f"{what} {a:.0f} mm and {b:.0f} mm")
    folds = [[fold.angle_deg for part in each.parts for fold in part.folds] for each in (one, other)]
    for number, (a, b) in enumerate(zip(*folds, strict=False), start=1):
        if abs(abs(a) - abs(b)) > _ANGLE_DEG:
            told.append(f"fold {number} {abs(a):.1f} and {abs(b):.1f} degrees")
    if abs(one.cut.angle_deg - other.cut.angle_deg) > _ANGLE_DEG:
        told.append(f"leg cut at {one.cut.angle_deg:.1f} and {other.cut.angle_deg:.1f} degrees")
    return told
