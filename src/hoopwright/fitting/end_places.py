"""Ends of a bar that was moved, brought back to what they land on: cut or lengthened along their own straight."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hoopwright.bars import Bar, centreline
from hoopwright.cage.meeting import MEETS_MM
from hoopwright.fitting.ends import nearest_straight
from hoopwright.fitting.rigid_shift import Held
from hoopwright.geometry import Vector, unit_vector
from hoopwright.shell.shell import Shell

_WITHIN_MM = 1.5
"""Short of the 2 mm within which ends meet, so that what is rounded or bent a little off still meets."""
_FARTHEST_MM = 80.0
_STEP_MM = 0.25
_ON_METAL_MM = 0.5
_STEEP = 0.1
_FINE_MM = 0.01


@dataclass(frozen=True, kw_only=True)
class EndPlace:
    """What an end of a bar lands on.

    Args:
        header: The bar that it lands on, or None.
        on_shell: Whether it lands on the shell.
    """

    header: Bar | None = None
    on_shell: bool = False


def meets(bar: Bar, index: int, place: EndPlace) -> bool:
    """Whether the end with node 0 or -1 lies on the axis of the bar that it lands on, within 2 mm."""
    return (
        place.header is not None and centreline(place.header).distance_to_mm(bar.nodes_mm[index]) <= MEETS_MM
    )


def held_by(bar: Bar, places: Sequence[EndPlace]) -> tuple[Held, ...]:
    """Directions in which a bar may hardly be shifted, so that its ends still reach the bars that they meet.

    An end may go along its own straight, which is cut or lengthened, and along the straight that it meets.
    """
    held: list[Held] = []
    for index, place in ((0, places[0]), (-1, places[1])):
        if place.header is None or not meets(bar, index, place):
            continue
        line, at, _ = nearest_straight(place.header, bar.nodes_mm[index])
        leg, along = _outward(bar, index), line.direction
        off = bar.nodes[index] - (line.start_mm + at * along)
        across = np.cross(leg, along)
        if float(np.linalg.norm(across)) < _STEEP:
            # an end that runs along the bar it meets can be cut nowhere else: it stays
            held += [_kept(axis, 0.0) for axis in np.eye(3)]
            continue
        across = unit_vector(across)
        held.append(_kept(across, float(off @ across)))
        beside = np.cross(across, leg)
        rate = float(beside @ along)
        held.append(_between(beside / rate, -at, line.length_mm - at))
    return tuple(held)


def settled(shell: Shell, was: Bar, bar: Bar, places: Sequence[EndPlace]) -> Bar | None:
    """A moved bar with its ends on what they lay on before; None when one cannot be brought back.

    Args:
        shell: The scan in the vehicle frame.
        was: The bar before it was moved.
        bar: The moved bar, with as many nodes.
        places: What ends A and B land on.
    """
    nodes = bar.nodes
    for index, place in ((0, places[0]), (-1, places[1])):
        if np.allclose(nodes[index], was.nodes[index], atol=1e-9):
            continue
        outward = _outward(bar, index)
        along: float | None = 0.0
        if meets(was, index, place):
            along = _to_header(bar, index, outward, place)
        elif place.on_shell:
            along = _to_metal(shell, was, bar, index, outward)
        if along is None:
            return None
        nodes[index] = nodes[index] + along * outward
    return bar.with_nodes(nodes)


def on_metal_mm(shell: Shell, bar: Bar, index: int) -> float:
    """Distance of an end to the nearest metal."""
    return float(shell.nearest(bar.nodes[[index]]).distance_mm[0])


def _kept(direction: Vector, off_mm: float) -> Held:
    return _between(direction, min(0.0, -_WITHIN_MM - off_mm), max(0.0, _WITHIN_MM - off_mm))


def _between(direction: Vector, low_mm: float, high_mm: float) -> Held:
    forward, left, up = (float(value) for value in direction)
    return Held(direction=(forward, left, up), low_mm=low_mm, high_mm=high_mm)


def _outward(bar: Bar, index: int) -> Vector:
    nodes = bar.nodes
    return unit_vector(nodes[0] - nodes[1] if index == 0 else nodes[-1] - nodes[-2])


def _steps() -> Vector:
    """Ways along a straight, the shortest first."""
    steps = np.arange(-_FARTHEST_MM, _FARTHEST_MM + _STEP_MM, _STEP_MM)
    return steps[np.argsort(np.abs(steps), kind="stable")]


def _to_header(bar: Bar, index: int, outward: Vector, place: EndPlace) -> float | None:
    assert place.header is not None  # noqa: S101 - asked before
    path = centreline(place.header)
    end = bar.nodes[index]
    steps = np.arange(-_FARTHEST_MM, _FARTHEST_MM + 1.0)
    apart = np.array([path.distance_to_mm(end + step * outward) for step in steps])
    coarse = float(steps[int(np.argmin(apart))])
    fine = coarse + np.arange(-1.0, 1.0 + _FINE_MM, _FINE_MM)
    near = np.array([path.distance_to_mm(end + step * outward) for step in fine])
    best = int(np.argmin(near))
    return float(fine[best]) if near[best] <= MEETS_MM else None


def _to_metal(shell: Shell, was: Bar, bar: Bar, index: int, outward: Vector) -> float | None:
    """The least way along the straight to where the end is as near to metal as it was; 0 where it stood on none."""
    before = on_metal_mm(shell, was, index)
    if before > was.tube.od_mm / 2.0:
        return 0.0
    steps = _steps()
    end = bar.nodes[index]
    apart = shell.nearest(end + np.multiply.outer(steps, outward)).distance_mm
    there = np.flatnonzero(apart <= before + _ON_METAL_MM)
    return float(steps[there[0]]) if len(there) else None
