"""What can be read off the tube at one bend: protractors on finished legs, and whether it slipped in the die."""

import math
from collections.abc import Sequence
from dataclasses import replace

from hoopwright.bars import BendTable
from hoopwright.bender.calibration import BendNumbers, Calibration
from hoopwright.bender.machine import Swing
from hoopwright.bender.order import Feed
from hoopwright.bender.poses import turn_tube_deg
from hoopwright.bender.room.tube_parts import LaidTube, lay_tube
from hoopwright.bender.sheet import LegReading, SlipCheck
from hoopwright.geometry import unit_vector

SCRIBE_SD_MM = 0.7
"""How well a scribed line stands at an edge; common practice, no source."""
STOPPED_SD_DEG = 0.5
"""How well the pull is stopped where nothing better is known; common practice, no source."""
LEAST_SLIP_MM = 2.0
"""Less than this nobody reads off two scribed lines; common practice, no source."""
_STEP_MM = 0.5


def with_trims(table: BendTable, trim_a_mm: float, trim_b_mm: float) -> BendTable:
    """The table with the trims in its end straights, as the tube lies in the bender."""
    first, *others = table.straights_mm
    first, others = first + trim_a_mm, list(others)
    if others:
        others[-1] += trim_b_mm
    return replace(table, straights_mm=(first, *others))


def leg_readings(table: BendTable, feed: Feed, made: Sequence[int], swings: Swing) -> tuple[LegReading, ...]:
    """Readings on bend 1 (before it is bent, on the first bend made) and on the last bend made.

    Args:
        table: Trims in the end straights.
        feed: The bend to be made and the end that leads.
        made: Finished bends in the order in which they were made.
        swings: Which way the leading end swings, bend plane level.

    Returns:
        One reading where both are the same bend; none for the first bend made.
    """
    if not made:
        return ()
    first = 1 if 1 in made else made[0]
    laid = lay_tube(table, feed, made, swings=swings)
    return tuple(
        LegReading(
            bend=bend,
            rotation_deg=turn_tube_deg(feed, bend, table.rotations_total_deg),
            slope_deg=_slope_deg(laid, feed, bend),
        )
        for bend in dict.fromkeys((first, made[-1]))
    )


def _slope_deg(laid: LaidTube, feed: Feed, bend: int) -> float | None:
    """Slope of the straight beyond a bend, away from the die."""
    toward_a = bend < feed.bend
    side = laid.lead if toward_a == (feed.fed_from == "A") else laid.tail
    pieces = (side.parts == 2 * (bend - 1 if toward_a else bend)).nonzero()[0]
    if not len(pieces):
        return None
    along = unit_vector(side.ends_mm[pieces[-1]] - side.starts_mm[pieces[0]])
    return math.degrees(math.asin(max(-1.0, min(1.0, float(along[2]))))) + 0.0


def slip_check(
    angle_deg: float, numbers: BendNumbers, calibration: Calibration, command_sd_deg: float | None
) -> SlipCheck:
    """How far the bend draws the tube past a fixed edge, and how much less says that it slipped."""
    return slip_of(angle_deg, numbers, calibration.used_per_deg_sd_mm, command_sd_deg)


def slip_of(
    angle_deg: float, numbers: BendNumbers, used_per_deg_sd_mm: float | None, command_sd_deg: float | None
) -> SlipCheck:
    """The same from how well the tube used per degree is known; None counts as known for sure.

    The arc keeps its length while it opens, so that it is the same before release and after. The limit is twice
    the standard deviation of two scribed lines, of where the pull stops and of the tube used per degree.
    """
    stopped_deg = math.hypot(STOPPED_SD_DEG, command_sd_deg or 0.0)
    sd_mm = math.hypot(
        math.sqrt(2.0) * SCRIBE_SD_MM,
        stopped_deg * numbers.used_per_deg_mm,
        angle_deg * (used_per_deg_sd_mm or 0.0),
    )
    limit = max(LEAST_SLIP_MM, math.ceil(2.0 * sd_mm / _STEP_MM) * _STEP_MM)
    return SlipCheck(drawn_mm=numbers.used_per_deg_mm * angle_deg, limit_mm=limit)
