"""Which limit keeps a bar from holding all that was asked, and by how much."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from hoopwright.bars import Bar, bend_table
from hoopwright.findings import Finding
from hoopwright.fitting.bar_task import BarTask, freedom_of
from hoopwright.fitting.placing import HELD_WITHIN_MM
from hoopwright.fitting.polish import polish
from hoopwright.fitting.tradeoff import Offer, finished
from hoopwright.shell.shell import Shell

_REACH_MM = 200.0
_HALVINGS = 4
_AT_LIMIT_DEG = 0.5
_STEEPEST_DEG = 160.0


@dataclass(frozen=True, kw_only=True)
class _Limit:
    """One limit that may give way: what it is called, what was asked, how far it may go, and the task with it."""

    name: str
    asked: float
    loosest: float
    unit: str
    relaxed: Callable[[float], BarTask]


def what_binds(shell: Shell, task: BarTask, offer: Offer) -> Finding:
    """The finding `FIT-048` for a bar that does not hold: what each limit alone would have to be for all to hold.

    Each limit is loosened by itself and the bar polished again from where it is; what is told is what was reached so.

    Args:
        shell: The scan in the vehicle frame.
        task: What was asked.
        offer: A bar that does not hold it.
    """
    told = []
    if offer.smallest_gap_mm > 0.0:
        told.append(f"a gap of {offer.smallest_gap_mm:.1f} mm instead of {task.gap_mm:g}")
    for limit in _limits(task, offer.bar):
        needed = _needed(shell, offer.bar, limit)
        if needed is not None:
            told.append(f"{limit.name} of {needed:.1f} {limit.unit} instead of {limit.asked:g}")
    if task.keep_clear and _holds(shell, replace(task, keep_clear=()), offer.bar):
        told.append("leaving out the driver's room, which stands in the way")
    alone = (
        f"Each of these alone would do: {'; '.join(told)}"
        if told
        else "No limit that was tried would do alone"
    )
    return Finding(
        code="FIT-048",
        sentence=f"Bar {task.name} with {offer.bends} bends: its limits cannot all hold from the best that was found, "
        f"which keeps {offer.smallest_gap_mm:.1f} of {task.gap_mm:g} mm. {alone}.",
        todo="Loosen the one that can be, allow one more bend, or move an end.",
        objects=(task.name,),
        measured=offer.smallest_gap_mm,
        limit=task.gap_mm,
        unit="mm",
    )


def _limits(task: BarTask, bar: Bar) -> list[_Limit]:
    """Limits that the bar lies at."""
    if not bar.bend_count:
        return []
    table = bend_table(bar)
    limits = [
        _Limit(
            name="a clamp",
            asked=task.clamp_mm,
            loosest=0.0,
            unit="mm",
            relaxed=lambda value: replace(task, clamp_mm=value),
        )
    ]
    if max(table.angles_deg) > task.greatest_bend_deg - _AT_LIMIT_DEG:
        limits.append(
            _Limit(
                name="a greatest bend",
                asked=task.greatest_bend_deg,
                loosest=max(_STEEPEST_DEG, task.greatest_bend_deg),
                unit="degrees",
                relaxed=lambda value: replace(task, greatest_bend_deg=value),
            )
        )
    if min(table.angles_deg) < task.least_bend_deg + _AT_LIMIT_DEG:
        limits.append(
            _Limit(
                name="a least bend",
                asked=task.least_bend_deg,
                loosest=0.0,
                unit="degrees",
                relaxed=lambda value: replace(task, least_bend_deg=value),
            )
        )
    return limits


def _needed(shell: Shell, bar: Bar, limit: _Limit) -> float | None:
    """What a limit would have to be, between what was asked and its loosest; None when that does not do."""
    if not _holds(shell, limit.relaxed(limit.loosest), bar):
        return None
    holds, fails = limit.loosest, limit.asked
    for _ in range(_HALVINGS):
        middle = (holds + fails) / 2.0
        holds, fails = (middle, fails) if _holds(shell, limit.relaxed(middle), bar) else (holds, middle)
    return holds


def _holds(shell: Shell, task: BarTask, bar: Bar) -> bool:
    freedom = freedom_of(task, task.on_plane(bar.nodes), _REACH_MM)
    start = polish(shell, task, freedom, np.zeros(len(freedom.moves)), extra=np.empty(0), rounds=25)
    return finished(shell, task, freedom, start).short_mm <= HELD_WITHIN_MM
