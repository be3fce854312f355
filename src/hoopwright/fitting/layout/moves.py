"""Slides of a bar's nodes, and places along the straights of bars that others end on."""

import numpy as np

from hoopwright.bars import Bar
from hoopwright.fitting.pull import Slide, moves
from hoopwright.geometry import Vector, unit_vector

_CLEAR_OF_BEND_MM = 30.0


def one_axis(count: int, index: int, axis: int, reach_mm: float = 300.0) -> Slide:
    """One node along one axis of the car."""
    return Slide(directions=moves(count, {index: np.eye(3)[axis]}), low_mm=-reach_mm, high_mm=reach_mm)


def setback(bar: Bar, index: int) -> float:
    """Distance from a node to the start of its bend; 0 at an end."""
    nodes = bar.nodes
    if index in (0, len(nodes) - 1):
        return 0.0
    before, after = unit_vector(nodes[index] - nodes[index - 1]), unit_vector(nodes[index + 1] - nodes[index])
    return bar.clr_mm * float(np.tan(np.arccos(np.clip(before @ after, -1.0, 1.0)) / 2.0))


def straight_of(bar: Bar, leg: int) -> tuple[float, float, Vector]:
    """From where to where along a leg from its first node another bar may end, and the leg's direction."""
    nodes = bar.nodes
    direction = unit_vector(nodes[leg + 1] - nodes[leg])
    length = float(np.linalg.norm(nodes[leg + 1] - nodes[leg]))
    low = setback(bar, leg) + _CLEAR_OF_BEND_MM
    high = length - setback(bar, leg + 1) - _CLEAR_OF_BEND_MM
    return low, max(low, high), direction


def along_leg(
    bar: Bar, leg: int, along_mm: float, *, node: int, count: int, low_mm: float, high_mm: float
) -> tuple[Vector, Slide]:
    """A place on a leg, and the slide that keeps a node of another bar on that leg and off its bends."""
    low, high, direction = straight_of(bar, leg)
    along = float(np.clip(along_mm, low, high))
    slide = Slide(
        directions=moves(count, {node: direction}),
        low_mm=max(low_mm, low - along),
        high_mm=min(high_mm, high - along),
    )
    return bar.nodes[leg] + along * direction, slide


def at_height(bar: Bar, up_mm: float, *, node: int, count: int, reach_mm: float) -> tuple[Vector, Slide]:
    """`along_leg` at a height, on the first or second leg of a bar."""
    nodes = bar.nodes
    leg = 0 if up_mm < nodes[1, 2] else 1
    along = (up_mm - nodes[leg, 2]) / straight_of(bar, leg)[2][2]
    return along_leg(bar, leg, along, node=node, count=count, low_mm=-reach_mm, high_mm=reach_mm)


def both_sides(slide: Slide) -> Slide:
    """Of a bar of two nodes from side to side: its second end goes as the first does."""
    way = np.array(slide.directions[0])
    return Slide(
        directions=moves(2, {0: way, 1: way * [1.0, -1.0, 1.0]}), low_mm=slide.low_mm, high_mm=slide.high_mm
    )
