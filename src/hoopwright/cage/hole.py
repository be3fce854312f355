"""Holes that the fabricator cuts in the shell so that a bar passes, as intent."""

import math
from dataclasses import dataclass

from hoopwright.bars import Node
from hoopwright.findings import Finding, Severity, UserError

HOLE_ROOM_MM = 5.0
"""Room round the tube in a hole that is not typed: common practice, no source."""
HOLE_EDGE_MM = 3.0
"""Room that the tube keeps to the edge of its hole: common practice, no source."""
_FARTHEST_MM = 20_000.0
_WIDEST_MM, _DEEPEST_MM = 300.0, 300.0


@dataclass(frozen=True, kw_only=True)
class Hole:
    """A round hole about a bar's axis.

    Args:
        bar_id: The bar that passes; never a mirrored one, whose holes are those of the bar that it mirrors.
        place_mm: Its middle, on the bar's axis, vehicle frame.
        diameter_mm: How wide it is.
        deep_mm: How far along the axis metal is cut, from the middle each way.
    """

    bar_id: str
    place_mm: Node
    diameter_mm: float
    deep_mm: float


def usual_hole_mm(od_mm: float) -> float:
    """Diameter of the hole for a tube where none is typed."""
    return od_mm + 2.0 * HOLE_ROOM_MM


def check_hole(hole: Hole, od_mm: float) -> None:
    """Stop on a hole that cannot be.

    Args:
        hole: The hole.
        od_mm: Outside diameter of its bar.

    Raises:
        UserError: `HOLE-001`.
    """
    least = od_mm + 2.0 * HOLE_EDGE_MM
    for what, value, low, high in (
        ("a diameter", hole.diameter_mm, least, _WIDEST_MM),
        ("a depth", hole.deep_mm, 1.0, _DEEPEST_MM),
    ):
        # written so that NaN is refused too
        if not low <= value <= high:
            raise _refuse(hole, f"{what} of {value:g} mm is outside {low:g} to {high:g} mm", value, low, high)
    if not all(math.isfinite(x) and abs(x) < _FARTHEST_MM for x in hole.place_mm):
        raise _refuse(hole, "its place is none in a car", None, None, None)


def _refuse(hole: Hole, why: str, value: float | None, low: float | None, high: float | None) -> UserError:
    limit = high if value is not None and high is not None and value > high else low
    return UserError(
        Finding(
            code="HOLE-001",
            severity=Severity.STOP,
            sentence=f"A hole for bar {hole.bar_id} cannot be: {why}.",
            todo=f"A tube keeps {HOLE_EDGE_MM:g} mm to the edge of its hole (common practice, no source). "
            "Check the unit.",
            objects=(hole.bar_id,),
            measured=value,
            limit=limit,
            unit="mm",
        )
    )
