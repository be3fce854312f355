"""A driver as lines to draw: what was measured, and nothing else."""

from dataclasses import dataclass

import numpy as np

from hoopwright.bars import Node
from hoopwright.cage import Driver
from hoopwright.geometry import Capsule, Points

_STEPS = 36


@dataclass(frozen=True, kw_only=True)
class DriverLine:
    """One line or dot of a driver.

    Args:
        places_mm: Along the line, vehicle frame; one alone is a dot.
        words: What it is; empty where another line says it.
    """

    places_mm: tuple[Node, ...]
    words: str = ""


def driver_lines(driver: Driver) -> tuple[DriverLine, ...]:
    """What was measured of a driver: helmet, wheel and body as rings, the belt as a line, the eyes as a dot."""
    lines: list[DriverLine] = []
    named: set[str] = set()
    for body in driver.bodies():
        name = "" if body.name in named else body.name
        named.add(body.name)
        lines += _body(body, name)
    if driver.shoulder_mm is not None and driver.guide_mm is not None:
        lines.append(DriverLine(places_mm=(driver.shoulder_mm, driver.guide_mm), words="shoulder belt"))
    elif driver.guide_mm is not None:
        lines.append(DriverLine(places_mm=(driver.guide_mm,), words="belt guide"))
    if driver.eye_mm is not None:
        lines.append(DriverLine(places_mm=(driver.eye_mm,), words="eyes"))
    return tuple(lines)


def _body(body: Capsule, words: str) -> list[DriverLine]:
    start, end = np.asarray(body.start_mm, dtype=float), np.asarray(body.end_mm, dtype=float)
    if np.linalg.norm(end - start) < 1e-6:
        rings = [_ring(start, body.radius_mm, across) for across in range(3)]
        return [
            DriverLine(places_mm=_nodes(ring), words=words if k == 1 else "") for k, ring in enumerate(rings)
        ]
    return [DriverLine(places_mm=_nodes(np.stack([start, end])), words=words)]


def _ring(middle: Points, radius_mm: float, across: int) -> Points:
    """A closed ring square to one axis of the car, shape (n, 3); the middle of the second is its top, for its words."""
    turned = np.linspace(-0.5 * np.pi, 1.5 * np.pi, _STEPS + 1)
    first, second = ((0, 1), (1, 2), (2, 0))[across]
    ring = np.tile(middle, (len(turned), 1))
    ring[:, first] += radius_mm * np.cos(turned)
    ring[:, second] += radius_mm * np.sin(turned)
    return ring


def _nodes(points: Points) -> tuple[Node, ...]:
    return tuple((float(x), float(y), float(z)) for x, y, z in points)
