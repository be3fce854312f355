"""What would help where no order goes through the room, each tried before it is named."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from hoopwright.bender.machine import Swing
from hoopwright.bender.room.changed_tasks import (
    on_die,
    parts,
    short_straights,
    smaller_die_mm,
    with_table,
)
from hoopwright.bender.room.found import FoundOrder
from hoopwright.bender.room.search import find_order
from hoopwright.bender.room.standing import StandingBender
from hoopwright.bender.room.step_check import BendingTask

_ROUNDED_UP_MM = 5.0
_FARTHEST_MOVE_MM = 1500.0


@dataclass(frozen=True, kw_only=True)
class WayOut:
    """One thing that would help.

    Args:
        what: What to do, in words, with its number.
        order: The order that then works.
    """

    what: str
    order: str


@dataclass(frozen=True, eq=False, kw_only=True)
class _Try:
    kind: str
    what: str
    jobs: tuple[tuple[BendingTask, StandingBender], ...]
    mixed: bool = False


def ways_out(task: BendingTask, bender: StandingBender, orders: Sequence[FoundOrder]) -> tuple[WayOut, ...]:
    """What makes a bar that fits in no order go through, each by a search of the usual orders.

    Args:
        task: The bar.
        bender: The bender in its room.
        orders: The orders that were checked, none of which works.
    """
    helpful: dict[str, WayOut] = {}
    for one in _tries(task, bender, orders):
        if one.kind in helpful:
            continue
        searches = [
            find_order(*job, mixed=one.mixed).chosen if job[0].bend_count else "cut" for job in one.jobs
        ]
        if all(found is not None for found in searches):
            names = [in_short(found) for found in searches if isinstance(found, FoundOrder)]
            helpful[one.kind] = WayOut(what=one.what, order=", then ".join(names))
    return tuple(helpful.values())


def _tries(task: BendingTask, bender: StandingBender, orders: Sequence[FoundOrder]) -> Iterator[_Try]:
    if any(not step.check.held for order in orders for step in order.steps):
        yield from _longer_straights(task, bender)
        yield from _other_grip(task, bender)
    yield from _other_set_up(task, bender)
    yield from _moved_bender(task, bender, orders)
    yield from _moved_several_ways(task, bender, orders)
    yield from _shorter_ends(task, bender, orders)
    yield from _in_two_parts(task, bender)


def _longer_straights(task: BendingTask, bender: StandingBender) -> Iterator[_Try]:
    needed = max(task.clamp_mm, task.tail_mm)
    straights, short = task.table.straights_mm, short_straights(task)
    if not short:
        return
    names = ", ".join(f"straight {k + 1} by {needed - straights[k]:.1f} mm" for k in short)
    longer = tuple(max(straight, needed) for straight in straights)
    yield _Try(
        kind="longer", what=f"lengthen {names}", jobs=((with_table(task, straights_mm=longer), bender),)
    )


def _other_grip(task: BendingTask, bender: StandingBender) -> Iterator[_Try]:
    short = short_straights(task)
    if not short:
        return
    least = min(task.table.straights_mm[k] for k in short)
    if least > 0.0:
        yield _Try(
            kind="clamp",
            what=f"use a clamp that needs {least:.1f} mm or less, instead of {task.clamp_mm:g} mm",
            jobs=(
                (replace(task, clamp_mm=min(least, task.clamp_mm), tail_mm=min(least, task.tail_mm)), bender),
            ),
        )
        if task.tail_mm >= task.clamp_mm:
            yield _Try(
                kind="tail",
                what=f"hold the tail by {least:.1f} mm (tail_mm in the room file), and mix the order",
                jobs=((replace(task, tail_mm=least), bender),),
                mixed=True,
            )
    smaller = smaller_die_mm(task)
    if smaller is not None:
        yield _Try(
            kind="die",
            what=f"use a die of radius {smaller:.1f} mm or less, instead of {task.table.clr_mm:g} mm",
            jobs=((on_die(task, smaller), bender),),
        )


def _other_set_up(task: BendingTask, bender: StandingBender) -> Iterator[_Try]:
    if len(bender.swings) == 1:
        other: Swing = "anticlockwise" if bender.swings[0] == "clockwise" else "clockwise"
        yield _Try(
            kind="swing",
            what=f"bend it on a bender that swings {other}",
            jobs=((task, replace(bender, swings=(other,))),),
        )
    for tilt, side in ((90.0, "right"), (-90.0, "left")):
        if tilt not in bender.tilts_deg:
            yield _Try(
                kind=f"tilt {tilt:g}",
                what=f"stand the bender upright, its {side} side up (tilt_deg = {tilt:g})",
                jobs=((task, replace(bender, tilts_deg=(tilt,))),),
            )


def _moved_bender(task: BendingTask, bender: StandingBender, orders: Sequence[FoundOrder]) -> Iterator[_Try]:
    """Moved by what the orders lack toward the floor, the ceiling or a wall, the least first."""
    for lift in _lacks(orders, "floor"):
        yield _Try(
            kind="lift", what=f"lift the bender by {lift:g} mm", jobs=_moved(task, bender, "lift", lift)
        )
    for drop in _lacks(orders, "ceiling"):
        yield _Try(
            kind="drop", what=f"lower the bender by {drop:g} mm", jobs=_moved(task, bender, "lift", -drop)
        )
    for side in bender.walls:
        for by in _lacks(orders, f"wall {side}"):
            yield _Try(
                kind=f"wall {side}",
                what=f"move the bender {by:g} mm away from the wall {side}",
                jobs=_moved(task, bender, side, by),
            )


def _moved_several_ways(
    task: BendingTask, bender: StandingBender, orders: Sequence[FoundOrder]
) -> Iterator[_Try]:
    """Moved from every wall, the floor and the ceiling at once by what one order lacks."""
    for order in orders:
        moved, said = bender, []
        for to, word in (("floor", "up"), ("ceiling", "down")):
            for by in _lacks([order], to):
                moved = _moved(task, moved, "lift", by if word == "up" else -by)[0][1]
                said.append(f"{by:g} mm {word}")
        for side in bender.walls:
            for by in _lacks([order], f"wall {side}"):
                moved = _moved(task, moved, side, by)[0][1]
                said.append(f"{by:g} mm away from the wall {side}")
        if len(said) > 1:
            yield _Try(
                kind="several ways", what=f"move the bender {' and '.join(said)}", jobs=((task, moved),)
            )


def _moved(
    task: BendingTask, bender: StandingBender, way: str, by_mm: float
) -> tuple[tuple[BendingTask, StandingBender], ...]:
    low = bender.axis_height_mm + by_mm <= 0.0 or abs(by_mm) > _FARTHEST_MOVE_MM
    if way == "lift":
        high = bender.ceiling_mm is not None and bender.axis_height_mm + by_mm >= bender.ceiling_mm
        return ((task, bender if low or high else bender.lifted(by_mm)),)
    moved = bender.shifted(way, by_mm)
    return ((task, bender if moved is None else moved),)


def _lacks(orders: Sequence[FoundOrder], to: str) -> list[float]:
    """By how much each order misses what is wanted to one thing, rounded up, the least first."""
    lacking = {
        max(
            step.check.keep_clear_mm - one.proven_mm
            for step in order.steps
            for one in step.check.hits
            if one.to == to
        )
        for order in orders
        if any(one.to == to for step in order.steps for one in step.check.hits)
    }
    return sorted({math.ceil(lack / _ROUNDED_UP_MM) * _ROUNDED_UP_MM for lack in lacking})[:2]


def _shorter_ends(task: BendingTask, bender: StandingBender, orders: Sequence[FoundOrder]) -> Iterator[_Try]:
    """Each end straight cut so that what it lacks is gone; the piece is welded on after bending."""
    last = len(task.table.straights_mm) - 1
    for end, straight in (("A", 0), ("B", last)):
        lacking = [
            step.check.keep_clear_mm - one.proven_mm
            for order in orders
            for step in order.steps
            for one in step.check.hits
            if one.part == 2 * straight
        ]
        length = task.table.straights_mm[straight]
        for share in (1.0, 1.5):
            cut = math.ceil(share * min(lacking, default=0.0) / _ROUNDED_UP_MM) * _ROUNDED_UP_MM
            if 0.0 < cut <= length - max(task.clamp_mm, task.tail_mm):
                straights = list(task.table.straights_mm)
                straights[straight] = length - cut
                yield _Try(
                    kind=f"end {end}",
                    what=f"leave {cut:g} mm off end {end} and join it on after bending",
                    jobs=((with_table(task, straights_mm=tuple(straights)), bender),),
                )


def _in_two_parts(task: BendingTask, bender: StandingBender) -> Iterator[_Try]:
    """Joined in the middle of an inner straight, the longest first."""
    inner = range(1, len(task.table.straights_mm) - 1)
    for straight in sorted(inner, key=lambda k: -task.table.straights_mm[k]):
        half = task.table.straights_mm[straight] / 2.0
        what = f"bend it in two parts, joined in the middle of straight {straight + 1} ({half:.0f} mm from its ends)"
        yield _Try(kind="two parts", what=what, jobs=tuple((part, bender) for part in parts(task, straight)))


def in_short(order: FoundOrder) -> str:
    """An order's name, and for a mixed one its bends."""
    listed = ", ".join(f"{feed.bend} from {feed.fed_from}" for feed in order.feeds)
    return f"{order.name}: {listed}" if order.name == "mixed" else order.name
