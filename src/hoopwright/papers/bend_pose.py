"""How the tube lies in the bender at one bend, as a line drawing seen from where the operator stands."""

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from hoopwright.bender.step_poses import StepPose
from hoopwright.geometry import Points, unit_vector
from hoopwright.papers.drawing import Box, Circle, Item, Items, Point, Polygon, Polyline, Text
from hoopwright.papers.lettering import height_to_fit
from hoopwright.papers.symbols import numbered_ring

_FROM_THE_TAIL = (0.86, 0.15, -0.50)
"""Along the tube to the die and down on it, a little toward the side to which it swings."""
TAIL_WORDS = "seen from behind the tail, along the tube to the die"
_RING_MM, _CAPTION_MM, _ROOM_MM = 2.3, 4.0, 8.0
_THINNEST_MM, _THICKEST_MM, _SKIN_MM = 1.9, 3.4, 0.5
_DIE_POINTS = 48


@dataclass(frozen=True, kw_only=True)
class OperatorEye:
    """Where the operator looks from.

    Args:
        looking: Direction in which he looks, machine frame: ahead, left, up; from behind the tail without.
        words: Where he stands, as the picture says it.
    """

    looking: tuple[float, float, float] | None = None
    words: str = TAIL_WORDS


class _Sight:
    """Machine millimetres laid on the paper, in parallel sight."""

    def __init__(self, looking: tuple[float, float, float], points_mm: Points, box: Box) -> None:
        self._looking = unit_vector(looking)
        across = np.cross(self._looking, (0.0, 0.0, 1.0))
        steep = float(np.linalg.norm(across)) < 1e-6
        self._across = np.array([0.0, -1.0, 0.0]) if steep else unit_vector(across)
        self._upward = np.cross(self._across, self._looking)
        flat = self._flat(points_mm)
        low, high = flat.min(axis=0), flat.max(axis=0)
        wide, tall = np.maximum(high - low, 1e-6)
        self.scale = float(min(box.width_mm / wide, box.height_mm / tall))
        self._middle, self._paper = (low + high) / 2.0, np.array(box.middle_mm)

    def _flat(self, points_mm: ArrayLike) -> Points:
        points = np.asarray(points_mm, dtype=np.float64).reshape(-1, 3)
        return np.stack([points @ self._across, points @ self._upward], axis=1)

    def points(self, points_mm: ArrayLike) -> tuple[Point, ...]:
        """Points on the paper."""
        flat = (self._flat(points_mm) - self._middle) * (self.scale, -self.scale) + self._paper
        return tuple((float(a), float(b)) for a, b in flat)

    def depth(self, points_mm: Points) -> float:
        """How far away the middle of the points lies."""
        return float((points_mm @ self._looking).mean())


def bend_pose(pose: StepPose, eye: OperatorEye, box: Box) -> Items:
    """The tube ready for the bend, the leading side when it is pulled (dashed), and the way that it swings."""
    room = Box(
        left_mm=box.left_mm + _ROOM_MM,
        top_mm=box.top_mm + _ROOM_MM,
        width_mm=box.width_mm - 2.0 * _ROOM_MM,
        height_mm=box.height_mm - 2.0 * _ROOM_MM - _CAPTION_MM,
    )
    die = _die(pose)
    looking = eye.looking or _from_the_tail(pose)
    sight = _Sight(looking, np.concatenate([pose.lead_mm, pose.tail_mm, pose.swung_mm, die]), room)
    wide = min(_THICKEST_MM, max(_THINNEST_MM, pose.od_mm * sight.scale))
    sides = sorted((pose.lead_mm, pose.tail_mm), key=sight.depth, reverse=True)
    return (
        *_drawn_die(sight.points(die), sight.points(pose.lead_mm[:1])[0]),
        Polyline(points_mm=sight.points(pose.swung_mm), width_mm=0.5, dash_mm=(1.6, 1.0)),
        *_swing(sight.points(pose.sweep_mm)),
        *(item for side in sides for item in _tube(sight, side, wide)),
        *_tail_end(sight, pose, wide),
        *_rings(sight, pose),
        _caption(eye, box),
    )


def _from_the_tail(pose: StepPose) -> tuple[float, float, float]:
    ahead, aside, up = _FROM_THE_TAIL
    return (ahead, -aside if pose.swings == "clockwise" else aside, up)


def _die(pose: StepPose) -> Points:
    """The rim of the die under the tube, shape (n, 3)."""
    turned = np.linspace(0.0, 2.0 * np.pi, _DIE_POINTS, endpoint=False)
    rim = np.stack([np.cos(turned), np.sin(turned), np.zeros(_DIE_POINTS)], axis=1) * pose.clr_mm
    return np.asarray(rim - (0.0, 0.0, pose.od_mm / 2.0), dtype=np.float64)


def _drawn_die(rim: tuple[Point, ...], tube: Point) -> Items:
    """The rim, its middle, and its name on the side away from the tube."""
    points = np.array(rim)
    centre = (float(points[:, 0].mean()), float(points[:, 1].mean()))
    is_right = centre[0] >= tube[0]
    side = float(points[:, 0].max()) + 0.9 if is_right else float(points[:, 0].min()) - 0.9
    return (
        Polygon(points_mm=rim, ink="white"),
        Polyline(points_mm=rim, width_mm=0.6, closed=True),
        Circle(centre_mm=centre, radius_mm=0.7, width_mm=0.0, fill="black"),
        Text(
            at_mm=(side, centre[1] + 0.9), text="die", height_mm=1.9, anchor="left" if is_right else "right"
        ),
    )


def crossed(drawn: Items, box: Box) -> int:
    """How much of a drawing lies in a box, by places about a millimetre apart along its lines."""
    count = 0
    for item in drawn:
        if isinstance(item, Polyline):
            for start, end in pairwise(item.points_mm):
                steps = max(2, int(math.dist(start, end)))
                places = np.linspace(start, end, steps)
                within = (places >= (box.left_mm, box.top_mm)) & (places <= (box.right_mm, box.bottom_mm))
                count += int(within.all(axis=1).sum())
        elif isinstance(item, Circle):
            right, down = item.centre_mm
            grown = item.radius_mm
            count += 5 * (
                box.left_mm - grown <= right <= box.right_mm + grown
                and box.top_mm - grown <= down <= box.bottom_mm + grown
            )
    return count


def _tube(sight: _Sight, side_mm: Points, wide_mm: float) -> Items:
    """A side as an outline."""
    on_paper = sight.points(side_mm)
    return (
        Polyline(points_mm=on_paper, width_mm=wide_mm),
        Polyline(points_mm=on_paper, width_mm=wide_mm - 2.0 * _SKIN_MM, ink="white"),
    )


def _tail_end(sight: _Sight, pose: StepPose, wide_mm: float) -> Items:
    """A wavy stroke where the drawing breaks the tail off."""
    if not pose.is_tail_cut:
        return ()
    inner, end = (np.array(point) for point in sight.points(pose.tail_mm[-2:]))
    along = _unit(end - inner)
    side = np.array([-along[1], along[0]])
    wave = [
        end + side * wide_mm * (t - 0.5) * 2.0 + along * 0.7 * math.sin(2.0 * math.pi * t)
        for t in np.linspace(0.0, 1.0, 13)
    ]
    return (Polyline(points_mm=tuple((float(p[0]), float(p[1])) for p in wave), width_mm=0.6),)


def _swing(sweep: tuple[Point, ...]) -> Items:
    """The way of the leading end, with a head where it stops."""
    tip = np.array(sweep[-1])
    back = next((np.array(p) for p in reversed(sweep) if np.linalg.norm(np.array(p) - tip) > 3.0), None)
    if back is None:
        return ()
    along = _unit(tip - back)
    side = np.array([-along[1], along[0]])
    base = tip - along * 3.2
    corners = (tip, base + side * 1.3, base - side * 1.3)
    return (
        Polyline(points_mm=sweep, width_mm=0.7),
        Polygon(points_mm=tuple((float(p[0]), float(p[1])) for p in corners)),
    )


def _rings(sight: _Sight, pose: StepPose) -> Items:
    """Letters at the ends, numbers at the finished bends."""
    lead, tail = pose.leads, "B" if pose.leads == "A" else "A"
    taken: list[NDArray[np.float64]] = []
    items: list[Item] = []
    for letter, side in ((lead, pose.lead_mm), (tail, pose.tail_mm)):
        inner, end = (np.array(point) for point in sight.points(side[-2:]))
        items += _ring(end, _unit(end - inner), letter, taken, dark=True)
    for placed in pose.made:
        at = np.array(sight.points([placed.at_mm])[0])
        items += _ring(at, np.array([0.0, -1.0]), str(placed.bend), taken, dark=False)
    return tuple(items)


def _ring(
    at: NDArray[np.float64],
    way: NDArray[np.float64],
    words: str,
    taken: list[NDArray[np.float64]],
    *,
    dark: bool,
) -> Items:
    across = np.array([-way[1], way[0]])
    ways = [way, _unit(way + across), _unit(way - across), across, -across, -way]
    spots = [at + one * (_RING_MM + 2.0) for one in ways]
    free = (s for s in spots if all(np.linalg.norm(s - other) > 2.0 * _RING_MM + 0.3 for other in taken))
    spot = next(free, spots[0])
    taken.append(spot)
    return numbered_ring((float(spot[0]), float(spot[1])), words, radius_mm=_RING_MM, dark=dark)


def _caption(eye: OperatorEye, box: Box) -> Text:
    height = height_to_fit(eye.words, box.width_mm - 2.0, 2.2)
    return Text(at_mm=(box.left_mm + 1.0, box.bottom_mm - 1.2), text=eye.words, height_mm=height)


def _unit(way: NDArray[np.float64]) -> NDArray[np.float64]:
    length = float(np.linalg.norm(way))
    return way / length if length > 1e-6 else np.array([0.0, 1.0])
