"""Distances that a tape can take on a finished bar, by short names; the values are those of its bar sheet."""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial

import numpy as np

from hoopwright.bars import Bar, centreline
from hoopwright.bender.checks import ON_CENTRE_MM, arcs_of, farthest_back_mm, middle_of, piece_reach_mm
from hoopwright.bender.order import is_hoop
from hoopwright.geometry import Vector, unit_vector

TAPE_SD_MM = 1.0
"""A tape over round tube, laid by one person; common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class BarDistance:
    """A distance on a finished bar.

    Args:
        key: What a person types: `feet`, `knees`.
        words: Where the tape goes.
        measure: The distance in mm on a bar of the same bends, wherever that lies.
        sd_mm: Scatter of the tape there.
    """

    key: str
    words: str
    measure: Callable[[Bar], float]
    sd_mm: float = TAPE_SD_MM


def bar_distances(bar: Bar) -> tuple[BarDistance, ...]:
    """The distances of a drawn bar: widths, height and diagonals of a hoop; reach, backs and twist of any other."""
    return tuple(_on_a_hoop(bar) if is_hoop(bar) else _on_any(bar))


def _on_a_hoop(bar: Bar) -> Iterator[BarDistance]:
    yield BarDistance(key="feet", words="outside width over the feet, at the trim marks", measure=_feet_mm)
    if _knees_mm(bar) > _feet_mm(bar) + 0.01:
        yield BarDistance(key="knees", words="greatest outside width over the knees", measure=_knees_mm)
    yield BarDistance(
        key="height", words="height over the metal, from the line between the trim marks", measure=_height_mm
    )
    upward = _upward(bar)
    arcs = {number: middle_of(arc) for number, arc in arcs_of(bar).items()}
    across = unit_vector(bar.nodes[-1] - bar.nodes[0])
    centre = (bar.nodes[0] + bar.nodes[-1]) / 2.0
    for key, from_b, way in (("diagonal A", False, 1.0), ("diagonal B", True, -1.0)):
        far = [n for n, middle in arcs.items() if way * float((middle - centre) @ across) > ON_CENTRE_MM]
        if far:
            bend = max(far, key=lambda number: float(arcs[number] @ upward))
            yield BarDistance(
                key=key,
                words=f"outside of foot {key[-1]} at its trim mark to the back of bend {bend}, the greatest reading",
                measure=partial(_diagonal_mm, from_b=from_b, bend=bend),
            )


def _on_any(bar: Bar) -> Iterator[BarDistance]:
    yield BarDistance(
        key="reach", words="centre of end A to centre of end B, at the trim marks", measure=_reach_mm
    )
    for bend in arcs_of(bar):
        for key, end in ((f"back {bend}", "A"), (f"back {bend} from B", "B")):
            yield BarDistance(
                key=key,
                words=f"centre of end {end} to the back of bend {bend}, at its middle",
                measure=partial(_back_mm, bend=bend, from_b=end == "B"),
            )
    if bar.bend_count > 1:
        yield BarDistance(
            key="twist",
            words="straights 1 and 2 flat on the floor: centre of end B over the floor",
            measure=_twist_mm,
        )


def _feet_mm(bar: Bar) -> float:
    return float(np.linalg.norm(bar.nodes[-1] - bar.nodes[0])) + bar.tube.od_mm


def _knees_mm(bar: Bar) -> float:
    across = unit_vector(bar.nodes[-1] - bar.nodes[0])
    return _farthest_mm(bar, across) + _farthest_mm(bar, -across) + bar.tube.od_mm


def _height_mm(bar: Bar) -> float:
    upward = _upward(bar)
    return _farthest_mm(bar, upward) - float(bar.nodes[0] @ upward) + bar.tube.od_mm / 2.0


def _diagonal_mm(bar: Bar, *, from_b: bool, bend: int) -> float:
    half = bar.tube.od_mm / 2.0
    foot, other = (bar.nodes[-1], bar.nodes[0]) if from_b else (bar.nodes[0], bar.nodes[-1])
    corner = foot + half * unit_vector(foot - other)
    return farthest_back_mm(corner, arcs_of(bar)[bend], half)


def _reach_mm(bar: Bar) -> float:
    return float(np.linalg.norm(bar.nodes[-1] - bar.nodes[0]))


def _back_mm(bar: Bar, *, bend: int, from_b: bool) -> float:
    arc = arcs_of(bar)[bend]
    back = middle_of(arc) + bar.tube.od_mm / 2.0 * unit_vector(middle_of(arc) - arc.centre_mm)
    return float(np.linalg.norm(back - bar.nodes[-1 if from_b else 0]))


def _twist_mm(bar: Bar) -> float:
    normal = unit_vector(np.cross(bar.nodes[1] - bar.nodes[0], bar.nodes[2] - bar.nodes[1]))
    return abs(float((bar.nodes[-1] - bar.nodes[0]) @ normal)) + bar.tube.od_mm / 2.0


def _upward(bar: Bar) -> Vector:
    """Square to the line between the feet, towards the middle of the bar."""
    across = unit_vector(bar.nodes[-1] - bar.nodes[0])
    middle = bar.nodes.mean(axis=0) - (bar.nodes[0] + bar.nodes[-1]) / 2.0
    square: Vector = middle - across * float(middle @ across)
    length = math.sqrt(float(square @ square))
    return square / length if length > 0.0 else across


def _farthest_mm(bar: Bar, direction: Vector) -> float:
    return max(piece_reach_mm(piece, direction) for piece in centreline(bar).pieces)
