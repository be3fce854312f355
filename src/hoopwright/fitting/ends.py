"""Ends and planes of bars to fit, from what a person says of them."""

import math

import numpy as np

from hoopwright.bars import Bar, Node, as_node, centreline
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.fitting.bar_task import FitEnd
from hoopwright.geometry import Line

_SYMMETRIC_MM = 1.0
_FARTHEST_OFF_MM = 250.0


def end_at(place_mm: Node, landing_mm: float, slide_mm: float, header: Bar | None) -> FitEnd:
    """An end at a place, on another bar's axis where there is one.

    Args:
        place_mm: Where, vehicle frame.
        landing_mm: Length that is not judged.
        slide_mm: How far it may slide both ways: along the straight of the bar that it lands on, else across the car.
        header: The bar that it lands on.

    Raises:
        UserError: `FIT-033` when the place is far from that bar.
    """
    if header is None:
        slide = (0.0, 1.0, 0.0) if slide_mm > 0.0 else None
        return FitEnd(
            place_mm=place_mm, slide=slide, low_mm=-slide_mm, high_mm=slide_mm, landing_mm=landing_mm
        )
    line, at, off = nearest_straight(header, place_mm)
    if off > _FARTHEST_OFF_MM:
        raise UserError(
            Finding(
                code="FIT-033",
                severity=Severity.STOP,
                sentence=f"The end at {place_mm[0]:.0f}, {place_mm[1]:.0f}, {place_mm[2]:.0f} lies {off:.0f} mm from "
                f"{header.name}, on which it is to land.",
                todo=f"Give a place within {_FARTHEST_OFF_MM:.0f} mm of that bar, or another bar.",
                objects=(header.name,),
                point_mm=place_mm,
                measured=off,
                limit=_FARTHEST_OFF_MM,
                unit="mm",
            )
        )
    return FitEnd(
        place_mm=as_node(line.start_mm + at * line.direction),
        slide=as_node(line.direction) if slide_mm > 0.0 else None,
        low_mm=-min(slide_mm, at),
        high_mm=min(slide_mm, line.length_mm - at),
        landing_mm=landing_mm,
    )


def nearest_straight(header: Bar, place_mm: Node) -> tuple[Line, float, float]:
    """The straight of a bar that comes nearest to a place, how far along it that is, and how far off."""
    point = np.array(place_mm)
    found = []
    for piece in centreline(header).pieces:
        if isinstance(piece, Line) and piece.length_mm > 0.0:
            at = piece.nearest_mm(point)
            found.append((piece, at, float(np.linalg.norm(piece.start_mm + at * piece.direction - point))))
    return min(found, key=lambda one: one[2])


def lean_of_deg(bar: Bar) -> float:
    """Lean of a symmetric bar's plane from upright, top rearward positive."""
    nodes = bar.nodes
    top, foot = nodes[int(np.argmax(nodes[:, 2]))], nodes[0]
    return math.degrees(math.atan2(foot[0] - top[0], max(1e-6, top[2] - foot[2])))


def plane_through(a_mm: Node, b_mm: Node, third_mm: Node) -> tuple[Node, Node]:
    """A place and the normal of the plane through three places.

    Raises:
        UserError: `FIT-034` when they lie on one line.
    """
    a, b, c = np.array(a_mm), np.array(b_mm), np.array(third_mm)
    normal = np.cross(b - a, c - a)
    size = float(np.linalg.norm(normal))
    if not size > 1e-3 * float(np.linalg.norm(b - a)) * max(1.0, float(np.linalg.norm(c - a))):
        raise UserError(
            Finding(
                code="FIT-034",
                severity=Severity.STOP,
                sentence="The bar's plane is not given: both ends and the third place lie on one line.",
                todo="Give a place off the line between the ends.",
                point_mm=third_mm,
            )
        )
    return a_mm, as_node(normal / size)


def is_symmetric(bar: Bar) -> bool:
    """Whether a bar is its own mirror image in the centre plane, within 1 mm."""
    nodes = bar.nodes
    return bool(np.abs(nodes - nodes[::-1] * [1.0, -1.0, 1.0]).max() <= _SYMMETRIC_MM)
