"""How a bar may be changed on its own side: its inner nodes, and its ends along what they land on."""

from collections.abc import Sequence

import numpy as np

from hoopwright.bars import Bar
from hoopwright.cage.meeting import MEETS_MM
from hoopwright.fitting.end_places import EndPlace, meets
from hoopwright.fitting.ends import nearest_straight
from hoopwright.fitting.pull import Slide, moves
from hoopwright.geometry import Vector
from hoopwright.geometry.planes import fit_plane

_NODE_REACH_MM = 60.0
_ALONG_BAR_MM = 40.0
_ACROSS_MM = 10.0
_IN_PLANE_MM = 0.1
_IN_PLANE = 1e-6


def slides_of(bar: Bar, places: Sequence[EndPlace]) -> list[Slide]:
    """Inner nodes go any way; an end along the straight that it meets, or across the car where it meets no bar.

    A bar whose bends lie in one plane, two or more of them, keeps to that plane with all its nodes.
    """
    count = len(bar.nodes_mm)
    normal = plane_normal(bar)
    axes = _axes(normal)
    slides = [
        _slide(count, index, axis, -_NODE_REACH_MM, _NODE_REACH_MM)
        for index in range(1, count - 1)
        for axis in axes
    ]
    for index, place in ((0, places[0]), (count - 1, places[1])):
        if place.header is None:
            across = np.array([0.0, 1.0, 0.0])
            if normal is not None:
                across -= normal * float(normal @ across)
            if np.linalg.norm(across) > 0.5:
                slides.append(_slide(count, index, across, -_ACROSS_MM, _ACROSS_MM))
            continue
        line, at, _ = nearest_straight(place.header, bar.nodes_mm[index])
        off_plane = 0.0 if normal is None else abs(float(normal @ line.direction))
        on_arc = float(np.linalg.norm(line.start_mm + at * line.direction - bar.nodes[index])) > MEETS_MM
        # an end on an arc, one that was loosened on purpose, or one that would leave the plane stays where it is
        if meets(bar, index if index == 0 else -1, place) and not on_arc and off_plane < _IN_PLANE:
            low, high = -min(_ALONG_BAR_MM, at), min(_ALONG_BAR_MM, line.length_mm - at)
            slides.append(_slide(count, index, line.direction, low, high))
    return slides


def plane_normal(bar: Bar) -> Vector | None:
    """Normal of the plane that all nodes of a bar with two or more bends lie in, or None."""
    if bar.bend_count < 2:
        return None
    plane, off_mm = fit_plane(bar.nodes)
    return plane.normal if off_mm <= _IN_PLANE_MM else None


def _axes(normal: Vector | None) -> list[Vector]:
    if normal is None:
        return list(np.eye(3))
    first = np.cross(normal, np.eye(3)[int(np.argmin(np.abs(normal)))])
    first /= np.linalg.norm(first)
    return [first, np.cross(normal, first)]


def _slide(count: int, index: int, along: Vector, low_mm: float, high_mm: float) -> Slide:
    return Slide(directions=moves(count, {index: along}), low_mm=low_mm, high_mm=high_mm)
