"""Turning the tube in the bender between two bends: whether the bent part goes round, and which way."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from hoopwright.bender.room.found import FoundOrder
from hoopwright.bender.room.handling import PlannedStep, turn_between_deg
from hoopwright.bender.room.moving import MovingTube
from hoopwright.bender.room.obstacles import Surroundings, surroundings
from hoopwright.bender.room.standing import StandingBender, own_solids
from hoopwright.bender.room.step_check import BendingTask, Clearance
from hoopwright.bender.room.steps import clearances_of, moving_tube, room_pairs
from hoopwright.bender.room.sweep import least_clearances
from hoopwright.bender.room.tube_parts import lay_tube
from hoopwright.findings import Finding, Severity

_NO_TURN_DEG = 0.05
# head frame to one whose z is the feed: left is its x, the die's axis its y
_TO_FEED = np.array([[0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [1.0, 0.0, 0.0]])


def turn_findings(task: BendingTask, bender: StandingBender, order: FoundOrder) -> Iterator[Finding]:
    """Turns of an order that do not go in the bender the short way round."""
    for before, after in zip(order.steps, order.steps[1:], strict=False):
        if after.turn_end_for_end or after.change_set_up:
            continue
        turn = turn_between_deg(
            (before.check.feed, before.check.set_up),
            (after.check.feed, after.check.set_up),
            task.table.rotations_total_deg,
        )
        if abs(turn) < _NO_TURN_DEG:
            continue
        tilt_deg = after.check.set_up.tilt_deg
        around = surroundings(bender, own_solids(bender, task.table.clr_mm, tilt_deg), tilt_deg)
        short = nearest_in_turn(task, around, after, turn)
        if short is None or short.proven_mm >= task.keep_clear_mm:
            continue
        long_turn = turn - 360.0 if turn > 0.0 else turn + 360.0
        other = nearest_in_turn(task, around, after, long_turn)
        goes = other is None or other.proven_mm >= task.keep_clear_mm
        yield _told(task, after, short, turn, long_turn if goes else None)


def nearest_in_turn(
    task: BendingTask, around: Surroundings, step: PlannedStep, turn_deg: float
) -> Clearance | None:
    """The least clearance while the tube is turned about the feed, in place for its next bend.

    Args:
        task: The bar.
        around: What it may hit.
        step: The bend that it is turned for.
        turn_deg: Clockwise positive as seen from the tail, not 0; it ends as the tube lies for the bend.
    """
    check = step.check
    laid = lay_tube(task.table, check.feed, check.made, swings=check.set_up.swings, swing_deg=check.swing_deg)
    lying = moving_tube(laid, task.od_mm, check.swing_deg)
    every = np.arange(len(lying.starts_mm))
    on_feed = np.array([0.0, -laid.sense * laid.clr_mm, 0.0])
    turn_rad = np.radians(turn_deg)
    cos, sin = np.cos(turn_rad), np.sin(turn_rad)
    back = np.array([[cos, sin, 0.0], [-sin, cos, 0.0], [0.0, 0.0, 1.0]]) @ _TO_FEED
    starts, ends = lying.placed(every, np.zeros(len(every)))
    tube = MovingTube(
        starts_mm=(starts - on_feed) @ back.T,
        ends_mm=(ends - on_feed) @ back.T,
        swinging=np.ones(len(every), dtype=np.bool_),
        radii_mm=lying.radii_mm,
        sense=1 if turn_deg > 0.0 else -1,
        swing_deg=abs(turn_deg),
        clr_mm=0.0,
    )
    found = least_clearances(
        tube,
        around.obstacles.moved(_TO_FEED, on_feed),
        np.arange(len(around.names)),
        room_pairs(around, laid),
        groups=len(around.names),
    )
    clearances = clearances_of(found, around.names, around.stands, laid)
    return next((one for one in clearances if one.stands != "operator"), None)


def _told(
    task: BendingTask, step: PlannedStep, short: Clearance, turn_deg: float, other_deg: float | None
) -> Finding:
    ways = {True: "clockwise", False: "anticlockwise"}
    bend = step.check.feed.bend
    finding = Finding(
        code="ROOM-013",
        sentence=f"Bar {task.name}, before bend {bend}: turned in the bender {abs(turn_deg):.1f}° "
        f"{ways[turn_deg > 0.0]} (seen from the tail), {short.part_name} comes to {short.clearance_mm:.1f} mm of "
        f"{short.to}.",
        todo="Take the tube out of the bender to turn it.",
        objects=(task.name, f"bend {bend}"),
        measured=short.clearance_mm,
        limit=task.keep_clear_mm,
        unit="mm",
    )
    if other_deg is None:
        return finding
    todo = f"Turn it the other way round: {abs(other_deg):.1f}° {ways[other_deg > 0.0]}."
    return replace(finding, todo=todo, severity=Severity.NOTE)
