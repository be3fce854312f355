"""Searching the orders of a bar in a full room.

python -m benchmarks.order
"""

from dataclasses import replace
from functools import partial

from benchmarks.timing import best_of, line
from hoopwright.bars import BendTable
from hoopwright.bender.room.files import EXAMPLE, room_from_text
from hoopwright.bender.room.search import find_order
from hoopwright.bender.room.solids import post, rail
from hoopwright.bender.room.standing import StandingBender
from hoopwright.bender.room.step_check import BendingTask
from hoopwright.bender.room.ways_out import ways_out

_TWO_PLANES = BendTable(
    straights_mm=(520.0, 400.0, 800.0, 400.0, 520.0),
    rotations_deg=(0.0, 20.0, -20.0, 10.0),
    angles_deg=(18.0, 71.0, 71.0, 18.0),
    clr_mm=137.5,
)
_SIX = BendTable(
    straights_mm=(420.0, 300.0, 400.0, 500.0, 400.0, 300.0, 420.0),
    rotations_deg=(0.0, 20.0, -20.0, 90.0, 15.0, -60.0),
    angles_deg=(18.0, 71.0, 45.0, 30.0, 71.0, 18.0),
    clr_mm=137.5,
)


def main() -> None:
    """Measure and print."""
    room = _full_room()
    two_ways = replace(room, swings=("clockwise", "anticlockwise"))
    narrow = replace(room, ahead_mm=900.0, right_mm=900.0)
    for name, bender in (("goes", room), ("two ways to swing", two_ways), ("goes in no order", narrow)):
        _measure(f"four bends, {name}", _TWO_PLANES, bender, "under 2 s")
    task = _task(_TWO_PLANES, narrow)
    orders = find_order(task, narrow).orders
    line(
        "four bends: ways out, tried",
        best_of(partial(ways_out, task, narrow, orders), runs=3),
        "s",
        "under 5 s",
    )
    _measure("six bends, goes in no order", _SIX, narrow, "under 20 s")


def _measure(name: str, table: BendTable, bender: StandingBender, target: str) -> None:
    task = _task(table, bender)
    found = find_order(task, bender)
    chosen = "none" if found.chosen is None else found.chosen.name
    line(f"{name} (chosen: {chosen})", best_of(partial(find_order, task, bender), runs=3), "s", target)


def _full_room() -> StandingBender:
    """The example room with two more posts, a beam and a pipe."""
    bender = room_from_text(EXAMPLE, "example")
    more = (
        post("post 2", "room", (1500.0, -1900.0, 300.0), diameter_mm=150.0, height_mm=2400.0),
        post("post 3", "room", (-2500.0, -1500.0, 300.0), diameter_mm=150.0, height_mm=2400.0),
        rail("beam", "room", (-3000.0, 900.0, 1300.0), (3000.0, 900.0, 1300.0), radius_mm=80.0),
        rail("pipe", "room", (2500.0, -2500.0, 400.0), (2500.0, 1800.0, 400.0), radius_mm=30.0),
    )
    return replace(bender, solids=(*bender.solids, *more))


def _task(table: BendTable, bender: StandingBender) -> BendingTask:
    return BendingTask(
        name="bar",
        table=table,
        od_mm=45.0,
        kg_per_m=2.62,
        swings_deg=table.angles_deg,
        clamp_mm=bender.clamp_mm,
        tail_mm=bender.tail_needed_mm,
        keep_clear_mm=bender.keep_clear_mm,
    )


if __name__ == "__main__":
    main()
