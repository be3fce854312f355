"""Numbers round a picture, each with a leader to what it names; no two leaders cross, no two numbers touch."""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import linear_sum_assignment

from hoopwright.geometry import Points
from hoopwright.papers.drawing import Box, Circle, Items, Point, line
from hoopwright.papers.symbols import numbered_ring

RING_MM = 2.6
RIM_MM = 2.0 * RING_MM + 5.0
"""Between the picture and the edge of its cell: a ring, and room for leaders to part."""
_APART_MM = 0.7
_DOT_MM = 0.55
_LEADER_MM = 0.25
_IN_THE_WAY_MM = 60.0
_TRIES = 60


@dataclass(frozen=True, kw_only=True)
class Label:
    """A number and its leader.

    Args:
        words: What stands in the ring.
        centre_mm: Middle of the ring.
        place_mm: Where the leader ends.
    """

    words: str
    centre_mm: Point
    place_mm: Point


def most_labels(cell: Box, taken: Box | None = None) -> int:
    """How many numbers go round a cell, off what is taken of it."""
    return len(_rim(cell, taken))


def place_labels(
    places: Sequence[tuple[str, ArrayLike]], cell: Box, taken: Box | None = None
) -> tuple[Label, ...]:
    """Put the numbers on the rim of a cell so that all leaders together are shortest.

    Leaders of which the sum is least never cross: two that did could swap their rings and be shorter. A leader
    that would run over another ring or dot is made dearer until none does.

    Args:
        places: What each number says, and the places on the page that its leader may end at, shape (n, 2); the places
            lie `RIM_MM` or more inside the cell.
        cell: Where the rings go, just inside its edge.
        taken: Where no ring may be, since something else stands there.

    Raises:
        ValueError: Where there is no room for so many numbers.
    """
    if not places:
        return ()
    rim = _rim(cell, taken)
    if len(rim) < len(places):
        msg = f"{len(places)} numbers do not go round a picture of {len(rim)}"
        raise ValueError(msg)
    spots = [np.asarray(points, dtype=np.float64).reshape(-1, 2) for _, points in places]
    lengths = [np.linalg.norm(points[:, None] - rim[None], axis=2) for points in spots]
    costs = np.stack([one.min(axis=0) for one in lengths])
    for _ in range(_TRIES):
        _, slots = linear_sum_assignment(costs)
        labels = tuple(
            _label(words, points, one, rim, int(slot))
            for (words, _), points, one, slot in zip(places, spots, lengths, slots, strict=True)
        )
        faults = faulty_labels(labels)
        if not faults:
            break
        for number in faults:
            costs[number, slots[number]] += _IN_THE_WAY_MM
    return labels


def faulty_labels(labels: Sequence[Label]) -> tuple[int, ...]:
    """Numbers of those whose leader crosses another or runs over another's ring or dot; none is what is wanted."""
    faults: set[int] = set()
    for (i, one), (k, other) in itertools.combinations(enumerate(labels), 2):
        if _crossing(_leader(one), _leader(other)):
            faults |= {i, k}
        if _from_segment_mm(other.centre_mm, _leader(one)) < RING_MM + _APART_MM:
            faults.add(i)
        if _from_segment_mm(one.centre_mm, _leader(other)) < RING_MM + _APART_MM:
            faults.add(k)
        if _from_segment_mm(other.place_mm, _leader(one)) < 2.0 * _DOT_MM:
            faults.add(i)
        if _from_segment_mm(one.place_mm, _leader(other)) < 2.0 * _DOT_MM:
            faults.add(k)
    return tuple(sorted(faults))


def label_items(label: Label) -> Items:
    """The ring, the leader and the dot at its end.

    Source: a leader that ends within the outline of what it names ends in a dot: ISO 128, from memory.
    """
    return (
        line(*_leader(label), width_mm=_LEADER_MM),
        Circle(centre_mm=label.place_mm, radius_mm=_DOT_MM, width_mm=0.0, fill="black"),
        *numbered_ring(label.centre_mm, label.words, radius_mm=RING_MM),
    )


def _label(words: str, points: Points, lengths: NDArray[np.float64], rim: Points, slot: int) -> Label:
    place = points[int(np.argmin(lengths[:, slot]))]
    return Label(
        words=words,
        centre_mm=(float(rim[slot, 0]), float(rim[slot, 1])),
        place_mm=(float(place[0]), float(place[1])),
    )


def _rim(cell: Box, taken: Box | None) -> Points:
    """Middles of the rings that go round a cell, shape (n, 2)."""
    inner = cell.inset(RING_MM + 0.3)
    step = 2.0 * RING_MM + _APART_MM
    wide, high = (max(1, int(side // step)) for side in (inner.width_mm, inner.height_mm))
    across = np.linspace(inner.left_mm, inner.right_mm, wide + 1)
    down = np.linspace(inner.top_mm, inner.bottom_mm, high + 1)[1:-1]
    every = np.array(
        [
            *((right, edge) for edge in (inner.top_mm, inner.bottom_mm) for right in across),
            *((edge, low) for edge in (inner.left_mm, inner.right_mm) for low in down),
        ]
    )
    if taken is None:
        return every
    grown = taken.inset(-RING_MM - _APART_MM)
    corners = np.array([(grown.left_mm, grown.top_mm), (grown.right_mm, grown.bottom_mm)])
    outside: NDArray[np.bool_] = np.any((every < corners[0]) | (every > corners[1]), axis=1)
    return every[outside]


def _leader(label: Label) -> tuple[Point, Point]:
    """From the ring's edge to the place."""
    (right, down), (at, low) = label.centre_mm, label.place_mm
    long = math.dist(label.centre_mm, label.place_mm)
    share = min(1.0, RING_MM / long) if long else 0.0
    return (right + (at - right) * share, down + (low - down) * share), label.place_mm


def _from_segment_mm(place: Point, segment: tuple[Point, Point]) -> float:
    (x0, y0), (x1, y1) = segment
    wide, high = x1 - x0, y1 - y0
    square = wide * wide + high * high
    share = 0.0 if square == 0.0 else ((place[0] - x0) * wide + (place[1] - y0) * high) / square
    share = min(1.0, max(0.0, share))
    return math.dist(place, (x0 + share * wide, y0 + share * high))


def _crossing(one: tuple[Point, Point], other: tuple[Point, Point]) -> bool:
    def turn(a: Point, b: Point, c: Point) -> float:
        return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])

    (a, b), (c, d) = one, other
    return turn(a, b, c) * turn(a, b, d) <= 0.0 and turn(c, d, a) * turn(c, d, b) <= 0.0
