"""How the tube is handled from one bend to the next."""

from collections.abc import Sequence
from dataclasses import dataclass

from hoopwright.bender.order import Feed
from hoopwright.bender.poses import leg_clock, reference_bend
from hoopwright.bender.room.standing import SetUp
from hoopwright.bender.room.step_check import StepCheck
from hoopwright.geometry import wrap_deg


@dataclass(frozen=True, kw_only=True)
class PlannedStep:
    """One bend of an order, with how the tube comes to lie for it.

    Args:
        step: Place in the order, from 1.
        check: The bend in the room.
        turn_end_for_end: Whether the tube is turned end for end before it.
        change_set_up: Whether the bender is set up otherwise before it.
        turn_tube_deg: How far to turn the tube from where bend `turn_from_bend` lies as just bent, clockwise
            positive as seen from the tail looking to the die; None for the first bend made.
        turn_from_bend: The finished bend that the turn counts from.
        leg_clock: Hour to which the leg beyond that bend points, seen from the tail; None where it is in the tail.
        turned_deg: How far the tube is turned since the bend before; 0 after turning end for end, when it is laid in
            anew.
    """

    step: int
    check: StepCheck
    turn_end_for_end: bool
    change_set_up: bool
    turn_tube_deg: float | None
    turn_from_bend: int | None
    leg_clock: float | None
    turned_deg: float


def lie_deg(feed: Feed, set_up: SetUp, totals_deg: Sequence[float]) -> float:
    """How the tube lies about the feed with a bend in the bend plane, the same zero for all bends of one leading end.

    Args:
        feed: The bend and the end that leads.
        set_up: How the bender is set up.
        totals_deg: Running rotation of each bend against bend 1.

    Returns:
        Clockwise positive as seen from the tail, in (-180, 180].
    """
    plane = (180.0 if set_up.swings == "clockwise" else 0.0) - set_up.tilt_deg
    total = totals_deg[feed.bend - 1]
    return wrap_deg(plane + (total if feed.fed_from == "A" else -total))


def planned(checks: Sequence[StepCheck], totals_deg: Sequence[float]) -> tuple[PlannedStep, ...]:
    """The steps of an order with turns and where the leg points."""
    steps = []
    for place, check in enumerate(checks):
        before = checks[place - 1] if place else None
        by_bend = {one.feed.bend: one.set_up for one in checks[:place]}
        reference, leads = reference_bend(check.feed, list(by_bend))
        turn = hour = None
        if reference is not None:
            bent_at = by_bend[reference]
            turn = turn_between_deg(
                (Feed(bend=reference, fed_from=check.feed.fed_from), bent_at),
                (check.feed, check.set_up),
                totals_deg,
            )
            hour = leg_clock(turn - bent_at.tilt_deg, bent_at.swings) if leads else None
        same_end = before is not None and before.feed.fed_from == check.feed.fed_from
        steps.append(
            PlannedStep(
                step=place + 1,
                check=check,
                turn_end_for_end=before is not None and not same_end,
                change_set_up=before is not None and before.set_up != check.set_up,
                turn_tube_deg=turn,
                turn_from_bend=reference,
                leg_clock=hour,
                turned_deg=abs(
                    turn_between_deg((before.feed, before.set_up), (check.feed, check.set_up), totals_deg)
                )
                if before is not None and same_end
                else 0.0,
            )
        )
    return tuple(steps)


def turn_between_deg(
    before: tuple[Feed, SetUp], after: tuple[Feed, SetUp], totals_deg: Sequence[float]
) -> float:
    """Turn of the tube from one bend to another with the same end leading, clockwise positive seen from the tail."""
    return wrap_deg(lie_deg(*after, totals_deg) - lie_deg(*before, totals_deg)) + 0.0
