"""A folded gusset: one sheet bent into a U, two sides on the tubes' flanks and a web between their tips.

Its surface is swept by straight lines that run parallel to the web's long edges. Each line ends where it meets the
skins of the two tubes, so the flat shape has no approximation in it but the neutral line of the folds.
"""

import itertools
import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.cage import USUAL_K_RATIO, Gusset
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.geometry import Points, Vector
from hoopwright.joints.flat import FlatPart, Fold
from hoopwright.joints.folding import bend_allowance_mm
from hoopwright.joints.gusset.corner import Corner
from hoopwright.joints.gusset.limits import check_room, check_sheet
from hoopwright.joints.gusset.made import FoldedShape, MadeGusset
from hoopwright.joints.gusset.plain import RELIEF_MM

FLANK_SHARE = 0.7
"""Half the width of the U as a share of the smaller tube's radius: its sides stand on the tubes' flanks, where a
torch still reaches the weld. Common practice, no source."""
_STEPS = 24
_WEB_STEPS = 12
"""The web's ends follow the round of the tubes: straight from its middle to its fold they would cut into them."""


@dataclass(frozen=True, kw_only=True, eq=False)
class _Sweep:
    """The U across its lines: where each line lies, in the flat and in its place.

    Args:
        flat_mm: Distance in the flat from the middle of the web; shape (n,).
        outer_mm: Depth from the web's outer face toward the corner, and height across, of the outer face;
            shape (n, 2).
        inner_mm: The same of the inner face.
        neutral_mm: The same of the neutral line.
    """

    flat_mm: Vector
    outer_mm: Points
    inner_mm: Points
    neutral_mm: Points


def folded_gusset(gusset: Gusset, corner: Corner) -> MadeGusset:
    """The true shape of a folded gusset, flat and in its place.

    Args:
        gusset: As it is meant; its inside radius is the sheet's thickness.
        corner: The corner that it fills.

    Returns:
        The part with x along the web and y across it, from the web's middle.

    Raises:
        UserError: `GUSSET-001`, `GUSSET-004`; `GUSSET-006` where the tubes are too small for the U.
    """
    check_sheet(gusset)
    check_room(gusset, corner)
    half = FLANK_SHARE * min(corner.radius_a_mm, corner.radius_b_mm) - abs(corner.apart_mm) / 2.0
    start, along, inward = _web(gusset, corner)
    depth = float((corner.point_mm - start) @ inward) - RELIEF_MM
    least = 2.0 * gusset.thickness_mm + 1.0
    if min(half, depth) < least:
        raise _too_small(gusset, min(half, depth), least)
    sweep = _swept(gusset.thickness_mm, half, depth)
    ends, gap_mm = _ends(corner, sweep, start, along, inward)
    flat = np.concatenate(
        [np.column_stack([ends[:, 0], sweep.flat_mm]), np.column_stack([ends[:, 1], sweep.flat_mm])[::-1]]
    )
    flat, kept = _without_straights(flat)
    part = FlatPart(
        name=f"{gusset.name} {gusset.kind}",
        thickness_mm=gusset.thickness_mm,
        outline_mm=flat,
        folds=_folds(gusset.thickness_mm, half, ends, sweep),
        notes=(
            f"{gusset.bar_id} at the left, {gusset.other} at the right; both sides fold up",
            f"{2.0 * half:.1f} wide outside when folded, inside radius {gusset.thickness_mm:g}",
        ),
    )
    neutral = np.concatenate([sweep.neutral_mm, sweep.neutral_mm[::-1]])[kept]
    in_plane = start + np.outer(flat[:, 0], along) + np.outer(neutral[:, 0], inward)
    return MadeGusset(
        gusset=gusset,
        part=part,
        outline_mm=corner.to_vehicle(np.column_stack([in_plane, neutral[:, 1]])),
        angle_deg=corner.angle_deg,
        gap_mm=gap_mm,
        mass_kg=part.mass_kg,
        folded=_folded_shape(corner, sweep, ends, start, along, inward),
    )


def _folded_shape(
    corner: Corner, sweep: _Sweep, ends: Points, start: Vector, along: Vector, inward: Vector
) -> FoldedShape:
    corners = []
    for face, side in ((sweep.outer_mm, 0), (sweep.outer_mm, 1), (sweep.inner_mm, 1), (sweep.inner_mm, 0)):
        in_plane = start + np.outer(ends[:, side], along) + np.outer(face[:, 0], inward)
        corners.append(corner.to_vehicle(np.column_stack([in_plane, face[:, 1]])))
    last = len(ends) - 1
    breaks = [0, 1, _STEPS, last - _STEPS, last - 1, last]
    return FoldedShape(corners_mm=np.stack(corners, axis=1), pieces=tuple(itertools.pairwise(breaks)))


def _web(gusset: Gusset, corner: Corner) -> tuple[Vector, Vector, Vector]:
    """Middle of the web's outer face in the corner's plane, its direction from a to b, and the way to the corner."""
    tip_a = corner.point_mm + gusset.leg_mm * np.array([1.0, 0.0])
    tip_b = corner.point_mm + gusset.leg_mm * corner.leg_b
    along = (tip_b - tip_a) / np.linalg.norm(tip_b - tip_a)
    return (tip_a + tip_b) / 2.0, along, np.array([-along[1], along[0]])


def _fold_mm(thickness: float) -> float:
    """Length of the neutral line through one of the two folds: 90 over an inside radius of the thickness."""
    return bend_allowance_mm(90.0, inside_radius_mm=thickness, thickness_mm=thickness, k_ratio=USUAL_K_RATIO)


def _swept(thickness: float, half: float, depth: float) -> _Sweep:
    """Across the U: side, fold, web, fold, side; symmetric about the middle of the web."""
    radius = 2.0 * thickness  # outside, with an inside radius of the thickness
    fold = _fold_mm(thickness)
    web_half = half - radius
    turn = np.linspace(0.0, math.pi / 2.0, _STEPS)
    web = np.linspace(0.0, web_half, _WEB_STEPS, endpoint=False)
    flat = np.concatenate([web, web_half + fold * turn / (math.pi / 2.0), [web_half + fold + depth - radius]])

    def face(from_outside: float) -> Points:
        bend = radius - from_outside
        across = np.concatenate([web, web_half + bend * np.sin(turn), [half - from_outside]])
        down = np.concatenate([np.full(_WEB_STEPS, from_outside), radius - bend * np.cos(turn), [depth]])
        one_half = np.column_stack([down, across])
        return np.concatenate([one_half[:0:-1] * [1.0, -1.0], one_half])

    return _Sweep(
        flat_mm=np.concatenate([-flat[:0:-1], flat]),
        outer_mm=face(0.0),
        inner_mm=face(thickness),
        neutral_mm=face(thickness * (1.0 - USUAL_K_RATIO)),
    )


def _ends(
    corner: Corner, sweep: _Sweep, start: Vector, along: Vector, inward: Vector
) -> tuple[Points, float]:
    """Where each line of the U meets the two skins, from the web's middle, shape (n, 2); and the widest gap left.

    The sheet is cut square through its thickness: the layer that meets the tube first sets the cut.
    """
    to_a = np.array([0.0, 1.0])  # from each axis into the corner
    to_b = np.array([corner.leg_b[1], -corner.leg_b[0]])
    ends, gaps = [], []
    for way, off_mm, centre_mm, radius_mm in (
        (to_a, corner.off_a_mm, -corner.apart_mm / 2.0, corner.radius_a_mm),
        (to_b, corner.off_b_mm, corner.apart_mm / 2.0, corner.radius_b_mm),
    ):
        sinks = float(inward @ way)
        most, least = _through_the_sheet(sweep, off_mm, centre_mm, radius_mm, sinks)
        scale = float(along @ way)
        ends.append((most - float(start @ way)) / scale)
        gaps.append(float((most - least).max()) / abs(scale))
    return np.column_stack(ends), max(gaps)


def _through_the_sheet(
    sweep: _Sweep, off_mm: Callable[[Vector], Vector], centre_mm: float, radius_mm: float, sinks: float
) -> tuple[Vector, Vector]:
    """Greatest and least room that a skin takes of each line, over the thickness of the sheet; shape (n,) each.

    From face to face both depth and height change evenly and a skin is round, so the room rises and falls once: it is
    least at a face, and greatest where the skin's slope is that of the sheet, or at a face.
    """
    depth, height = sweep.outer_mm.T
    more_depth, more_height = (sweep.inner_mm - sweep.outer_mm).T

    def room(share: Vector) -> Vector:
        taken: Vector = off_mm(height + share * more_height) - sinks * (depth + share * more_depth)
        return taken

    slope = np.divide(
        sinks * more_depth, more_height, out=np.zeros_like(depth), where=np.abs(more_height) > 1e-12
    )
    crest = centre_mm - radius_mm * slope / np.sqrt(1.0 + slope**2)
    at = np.divide(crest - height, more_height, out=np.zeros_like(depth), where=np.abs(more_height) > 1e-12)
    faces = room(np.zeros_like(depth)), room(np.ones_like(depth))
    return np.maximum.reduce([*faces, room(at.clip(0.0, 1.0))]), np.minimum(*faces)


def _folds(thickness: float, half: float, ends: Points, sweep: _Sweep) -> tuple[Fold, ...]:
    fold = _fold_mm(thickness)
    middle = half - 2.0 * thickness + fold / 2.0
    made = []
    for side in (-1.0, 1.0):
        left, right = (float(np.interp(side * middle, sweep.flat_mm, ends[:, k])) for k in (0, 1))
        made.append(
            Fold(
                start_mm=(left, side * middle),
                end_mm=(right, side * middle),
                angle_deg=90.0,
                inside_radius_mm=thickness,
                allowance_mm=fold,
            )
        )
    return tuple(made)


def _without_straights(outline: Points) -> tuple[Points, NDArray[np.int64]]:
    """The outline counterclockwise from its first point, without points in the middle of straights; and which stay."""
    before, after = np.roll(outline, 1, axis=0), np.roll(outline, -1, axis=0)
    one, two = outline - before, after - outline
    turn = one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]
    kept: NDArray[np.int64] = np.flatnonzero(
        np.abs(turn) > 1e-9 * np.linalg.norm(one, axis=1) * np.linalg.norm(two, axis=1)
    )
    kept = kept[::-1]  # left edge upward first is clockwise
    return outline[kept], kept


def _too_small(gusset: Gusset, got: float, least: float) -> UserError:
    return UserError(
        Finding(
            code="GUSSET-006",
            severity=Severity.STOP,
            sentence=f"Gusset {gusset.name} cannot be folded: {got:.1f} mm is left for a side or half the web, and "
            f"sheet of {gusset.thickness_mm:g} mm needs {least:g} mm.",
            todo="Use longer legs, thinner sheet, or a flat gusset.",
            objects=(gusset.name,),
            measured=got,
            limit=least,
            unit="mm",
        )
    )
