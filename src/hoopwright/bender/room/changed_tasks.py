"""A bar made otherwise so that it goes through the room: split, on another die, with other straights."""

import math
from dataclasses import replace

from hoopwright.bars import BendTable
from hoopwright.bender.room.step_check import BendingTask

_SMALLEST_DIE_OD = 1.5


def parts(task: BendingTask, straight: int) -> tuple[BendingTask, BendingTask]:
    """The bar in two, cut in the middle of an inner straight (from 0)."""
    table, half = task.table, task.table.straights_mm[straight] / 2.0
    return (
        replace(
            task,
            table=replace(
                table,
                straights_mm=(*table.straights_mm[:straight], half),
                rotations_deg=table.rotations_deg[:straight],
                angles_deg=table.angles_deg[:straight],
            ),
            swings_deg=task.swings_deg[:straight],
        ),
        replace(
            task,
            table=replace(
                table,
                straights_mm=(half, *table.straights_mm[straight + 1 :]),
                rotations_deg=(0.0, *table.rotations_deg[straight + 1 :]),
                angles_deg=table.angles_deg[straight:],
            ),
            swings_deg=task.swings_deg[straight:],
        ),
    )


def short_straights(task: BendingTask) -> list[int]:
    """Straights (from 0) that are shorter than clamp or tail need."""
    needed = max(task.clamp_mm, task.tail_mm)
    return [k for k, straight in enumerate(task.table.straights_mm) if straight < needed - 1e-6]


def smaller_die_mm(task: BendingTask) -> float | None:
    """Radius at which every short straight is long enough, the nodes left where they are; None where none is."""
    needed = max(task.clamp_mm, task.tail_mm)
    tangents = [math.tan(math.radians(angle) / 2.0) for angle in task.table.angles_deg]
    grows = {k: sum(tangents[max(k - 1, 0) : k + 1]) for k in short_straights(task)}
    if not all(growth > 0.0 for growth in grows.values()):
        return None
    drops = [(needed - task.table.straights_mm[k]) / growth for k, growth in grows.items()]
    radius = math.floor((task.table.clr_mm - max(drops, default=0.0)) * 10.0) / 10.0
    return radius if drops and radius >= _SMALLEST_DIE_OD * task.od_mm else None


def on_die(task: BendingTask, clr_mm: float) -> BendingTask:
    """The same nodes on another radius."""
    drop = task.table.clr_mm - clr_mm
    tangents = [0.0, *(math.tan(math.radians(angle) / 2.0) for angle in task.table.angles_deg), 0.0]
    straights = tuple(
        straight + drop * (tangents[k] + tangents[k + 1])
        for k, straight in enumerate(task.table.straights_mm)
    )
    return replace(task, table=replace(task.table, straights_mm=straights, clr_mm=clr_mm))


def with_table(task: BendingTask, *, straights_mm: tuple[float, ...]) -> BendingTask:
    """The bar with other straights."""
    table: BendTable = replace(task.table, straights_mm=straights_mm)
    return replace(task, table=table)
