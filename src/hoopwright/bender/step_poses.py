"""How the tube lies in the bender at each bend of a sheet, as lines to draw it by.

Machine frame: origin on the die's axis at the level of the tube's axis, ahead is the way in which the tube is
fed, left and up as seen from the tail; the bend plane is level.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hoopwright.bars import BendTable
from hoopwright.bender.machine import Swing
from hoopwright.bender.order import Feed
from hoopwright.bender.room.tube_parts import LaidTube, Side, lay_tube
from hoopwright.bender.sheet import BarSheet, BendStep, TubeEnd
from hoopwright.bender.step_checks import with_trims
from hoopwright.geometry import Points, rotation_about

SHOWN_TAIL_MM = 600.0
"""So much of a tail that is straight to its end is drawn; common practice, no source."""
_ARC_POINTS = 19


@dataclass(frozen=True, kw_only=True)
class PlacedBend:
    """A finished bend as it hangs in front of the die.

    Args:
        bend: Its number from end A.
        at_mm: Middle of its arc, machine frame.
    """

    bend: int
    at_mm: tuple[float, float, float]


@dataclass(frozen=True, eq=False, kw_only=True)
class StepPose:
    """The tube in the die, ready for one bend.

    Args:
        step: The bend.
        swings: Which way the leading end swings, seen from above.
        leads: The end that leads.
        lead_mm: Axis from the die along the leading side to its end, shape (n, 3).
        tail_mm: Axis from the die to the end of the tail, or to where the drawing breaks it off, shape (n, 3).
        is_tail_cut: Whether the drawing breaks the tail off.
        swung_mm: The leading side when the bend is pulled, from the die round the arc, shape (n, 3).
        sweep_mm: Path of the place on the leading side that is farthest from the die's axis, shape (n, 3).
        made: Finished bends that are shown.
        clr_mm: Radius of the bend.
        od_mm: Outside diameter.
    """

    step: BendStep
    swings: Swing
    leads: TubeEnd
    lead_mm: Points
    tail_mm: Points
    is_tail_cut: bool
    swung_mm: Points
    sweep_mm: Points
    made: tuple[PlacedBend, ...]
    clr_mm: float
    od_mm: float


def step_poses(sheet: BarSheet) -> tuple[StepPose, ...]:
    """The pose of each bend of a sheet, in the order of bending; clockwise where the sheet names no swing."""
    table = with_trims(sheet.table, sheet.trim_a_mm, sheet.trim_b_mm)
    return poses_of(sheet.steps, table, sheet.swings or "clockwise", sheet.bar.tube.od_mm)


def poses_of(
    steps: Sequence[BendStep], table: BendTable, swings: Swing, od_mm: float
) -> tuple[StepPose, ...]:
    """The pose of each of these steps.

    Args:
        steps: In the order of bending.
        table: Bend table of the whole tube, trims in its end straights.
        swings: Which way the leading end swings, seen from above.
        od_mm: Outside diameter.
    """
    poses, made = [], list[int]()
    for step in steps:
        laid = lay_tube(table, Feed(bend=step.bend, fed_from=step.fed_from), made, swings=swings)
        poses.append(_pose(step, laid, swings, made, od_mm))
        made.append(step.bend)
    return tuple(poses)


def _pose(step: BendStep, laid: LaidTube, swings: Swing, made: Sequence[int], od_mm: float) -> StepPose:
    die = np.array([0.0, -laid.sense * laid.clr_mm, 0.0])
    back = np.array([-laid.drawn_mm, 0.0, 0.0])
    lead = np.concatenate([die[None], laid.lead.ends_mm])
    tail = np.concatenate([die[None], laid.tail.starts_mm[:1] + back, laid.tail.ends_mm + back])
    is_cut = not laid.tail.beyond.any() and float(-tail[-1, 0]) > SHOWN_TAIL_MM
    if is_cut:
        tail = np.array([die, die - (SHOWN_TAIL_MM, 0.0, 0.0)])
    farthest = lead[int(np.argmax(np.hypot(lead[:, 0], lead[:, 1])))]
    turns = [
        rotation_about((0.0, 0.0, 1.0), laid.sense * angle)
        for angle in np.linspace(0.0, step.target_deg, _ARC_POINTS)
    ]
    arc = np.array([turn @ die for turn in turns])
    return StepPose(
        step=step,
        swings=swings,
        leads=step.fed_from,
        lead_mm=lead,
        tail_mm=tail,
        is_tail_cut=is_cut,
        swung_mm=np.concatenate([arc, lead[1:] @ turns[-1].T]),
        sweep_mm=np.array([turn @ farthest for turn in turns]),
        made=(*_placed(laid.lead, made, np.zeros(3)), *_placed(laid.tail, made, back)),
        clr_mm=laid.clr_mm,
        od_mm=od_mm,
    )


def _placed(side: Side, made: Sequence[int], moved: Points) -> list[PlacedBend]:
    """The finished bends of one side."""
    placed = []
    for bend in made:
        pieces = np.flatnonzero((side.parts == 2 * bend - 1) & side.curved)
        if len(pieces):
            middle = side.starts_mm[pieces[len(pieces) // 2]] + moved
            placed.append(PlacedBend(bend=bend, at_mm=(float(middle[0]), float(middle[1]), float(middle[2]))))
    return placed
