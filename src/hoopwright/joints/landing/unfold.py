"""Unfolding: from panels in space to the flat part that is cut.

A fold takes the sheet off both panels up to where the bend begins (the setback) and gives the length of the neutral
line instead (the bend allowance).
Source: bend allowance and setback as in FAA-H-8083-31, Aviation Maintenance Technician Handbook, Airframe, chapter 4;
DIN 6935 names the same lengths.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from hoopwright.geometry import Points, Vector, unit_vector
from hoopwright.joints.flat import FlatPart, Fold, RoundHole
from hoopwright.joints.folding import bend_allowance_mm
from hoopwright.joints.landing.panels import Panel, Sheet, fold_angle_deg

_SAME_MM = 0.05
"""Corners nearer than this are one: no saw or burner cuts such a step."""


def allowance_mm(angle_deg: float, sheet: Sheet) -> float:
    """Length of the neutral line through a bend of a sheet; see `bend_allowance_mm`."""
    return bend_allowance_mm(
        angle_deg,
        inside_radius_mm=sheet.inside_radius_mm,
        thickness_mm=sheet.thickness_mm,
        k_ratio=sheet.k_ratio,
    )


def setback_mm(angle_deg: float, sheet: Sheet, *, outside: bool) -> float:
    """From where two faces' planes cross to where the bend begins: radius of that side x tan(angle / 2).

    Args:
        angle_deg: Change of direction.
        sheet: The sheet.
        outside: Whether the faces are those on the outside of the bend.
    """
    radius_mm = sheet.inside_radius_mm + (sheet.thickness_mm if outside else 0.0)
    return radius_mm * math.tan(math.radians(abs(angle_deg)) / 2.0)


def is_outside(angle_deg: float, *, metal_is_above: bool) -> bool:
    """Whether panels drawn on one side of the sheet lie on the outside of a fold.

    Args:
        angle_deg: Positive folds toward the normal.
        metal_is_above: Whether the sheet lies on the side of the normal.
    """
    return (angle_deg > 0.0) == metal_is_above


def unfold(
    root: Panel, sheet: Sheet, *, name: str, metal_is_above: bool, notes: tuple[str, ...] = ()
) -> FlatPart:
    """The flat part of a panel and all that hang on it, seen against the root's normal.

    Args:
        root: In space.
        sheet: What it is made of.
        name: What is written on the part.
        metal_is_above: Whether the sheet lies on the side of the panels' normals, or behind them.
        notes: Short lines to print beside it.
    """
    along = unit_vector(root.outline_mm[1] - root.outline_mm[0])
    place = _Placed(
        space_mm=root.outline_mm[0],
        space_axes=np.stack([along, np.cross(root.normal, along)]),
        flat_mm=np.zeros(2),
        flat_axes=np.eye(2),
    )
    work = _Work(sheet=sheet, metal_is_above=metal_is_above, folds=[], holes=[])
    outline = _without_repeats(np.array(list(work.loop(root, place, {}, first=0))))
    low = outline.min(axis=0)
    return FlatPart(
        name=name,
        thickness_mm=sheet.thickness_mm,
        outline_mm=outline - low,
        holes=tuple(_moved_hole(hole, low) for hole in work.holes),
        folds=tuple(_moved_fold(fold, low) for fold in work.folds),
        notes=notes,
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class _Placed:
    """Where a panel lies in the flat."""

    space_mm: Vector
    space_axes: Points
    flat_mm: Vector
    flat_axes: Points

    def flat(self, points_mm: Points) -> Points:
        laid: Points = (points_mm - self.space_mm) @ self.space_axes.T @ self.flat_axes + self.flat_mm
        return laid


@dataclass(frozen=True, kw_only=True, eq=False)
class _Work:
    sheet: Sheet
    metal_is_above: bool
    folds: list[Fold]
    holes: list[RoundHole]

    def loop(
        self, panel: Panel, place: _Placed, taken_mm: dict[int, float], *, first: int
    ) -> Iterator[Vector]:
        """Corners of a panel in the flat with what hangs on it, from corner `first` round to the one before."""
        hung = dict(panel.hung)
        angles = {edge: fold_angle_deg(panel, edge, child) for edge, child in hung.items()}
        back = {edge: self._setback_mm(angle) for edge, angle in angles.items()}
        flat = place.flat(panel.outline_mm)
        corners = inset(flat, {**taken_mm, **back})
        for hole in panel.holes:
            right, up = place.flat(hole.centre_mm[None])[0]
            self.holes.append(RoundHole(centre_mm=(float(right), float(up)), diameter_mm=hole.diameter_mm))
        count = len(corners)
        for step in range(count):
            k = (first + step) % count
            yield corners[k]
            if k in hung:
                ends = corners[[k, (k + 1) % count]]
                yield from self._splice(panel, k, hung[k], angles[k], flat[k], ends)

    def _setback_mm(self, angle_deg: float) -> float:
        outside = is_outside(angle_deg, metal_is_above=self.metal_is_above)
        return setback_mm(angle_deg, self.sheet, outside=outside)

    def _splice(
        self, parent: Panel, edge: int, child: Panel, angle_deg: float, start: Vector, ends: Points
    ) -> Iterator[Vector]:
        """The bend zone of a fold and the panel beyond it, between the two trimmed corners of its edge."""
        back, allowance = self._setback_mm(angle_deg), allowance_mm(angle_deg, self.sheet)
        along = unit_vector(ends[1] - ends[0])
        out = np.array([along[1], -along[0]])
        line = unit_vector(parent.outline_mm[(edge + 1) % len(parent.outline_mm)] - parent.outline_mm[edge])
        place = _Placed(
            space_mm=parent.outline_mm[edge],
            space_axes=np.stack([line, np.cross(child.normal, -line)]),
            flat_mm=start + (allowance - 2.0 * back) * out,
            flat_axes=np.stack([along, out]),
        )
        beyond = inset(place.flat(child.outline_mm), {0: back})
        spans = [sorted(float((p - start) @ along) for p in pair) for pair in (ends, beyond[:2])]
        low, high = max(spans[0][0], spans[1][0]), min(spans[0][1], spans[1][1])
        near, far, middle = -back * out, (allowance - back) * out, (allowance / 2.0 - back) * out
        self.folds.append(
            Fold(
                start_mm=_pair(start + low * along + middle),
                end_mm=_pair(start + high * along + middle),
                angle_deg=angle_deg,
                inside_radius_mm=self.sheet.inside_radius_mm,
                allowance_mm=allowance,
            )
        )
        yield start + low * along + near
        yield start + low * along + far
        yield from self.loop(child, place, {0: back}, first=1)
        yield start + high * along + far
        yield start + high * along + near


def inset(corners_mm: Points, by_mm: dict[int, float]) -> Points:
    """A counterclockwise flat outline, shape (n, 2), with some edges moved inward.

    Args:
        corners_mm: Its corners.
        by_mm: How far, by number of the edge; the others stay.
    """
    count = len(corners_mm)
    directions = np.array([unit_vector(corners_mm[(k + 1) % count] - corners_mm[k]) for k in range(count)])
    inward = np.stack([-directions[:, 1], directions[:, 0]], axis=1)
    starts = corners_mm + inward * np.array([[by_mm.get(k, 0.0)] for k in range(count)])
    found = []
    for k in range(count):
        before = k - 1
        turn = directions[before, 0] * directions[k, 1] - directions[before, 1] * directions[k, 0]
        if abs(turn) < 1e-9:
            found.append(starts[k])
            continue
        gap = starts[before] - starts[k]
        along = (directions[before, 0] * gap[1] - directions[before, 1] * gap[0]) / turn
        found.append(starts[k] + along * directions[k])
    return np.array(found)


def _without_repeats(outline: Points) -> Points:
    apart = np.linalg.norm(outline - np.roll(outline, 1, axis=0), axis=1) > _SAME_MM
    kept = outline[apart]
    before, after = kept - np.roll(kept, 1, axis=0), np.roll(kept, -1, axis=0) - kept
    turns = np.abs(before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0])
    straight = turns <= 1e-6 * np.linalg.norm(before, axis=1) * np.linalg.norm(after, axis=1)
    return np.asarray(kept[~straight])


def _moved_hole(hole: RoundHole, low: Vector) -> RoundHole:
    return RoundHole(centre_mm=_pair(np.array(hole.centre_mm) - low), diameter_mm=hole.diameter_mm)


def _moved_fold(fold: Fold, low: Vector) -> Fold:
    return Fold(
        start_mm=_pair(np.array(fold.start_mm) - low),
        end_mm=_pair(np.array(fold.end_mm) - low),
        angle_deg=fold.angle_deg,
        inside_radius_mm=fold.inside_radius_mm,
        allowance_mm=fold.allowance_mm,
    )


def _pair(point: Vector) -> tuple[float, float]:
    return float(point[0]), float(point[1])
