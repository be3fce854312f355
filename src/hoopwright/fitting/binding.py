"""Which limit keeps a bar from holding all that was asked, and by how much."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from hoopwright.bars import Bar, bend_table
from hoopwright.findings import Finding
from hoopwright.fitting.bar_task import BarTask
from hoopwright.fitting.offers import Offer
from hoopwright.fitting.tradeoff import fit_bar
from hoopwright.fitting.warm import refit_bar
from hoopwright.shell.shell import Shell

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

    Each limit is loosened by itself, the bar found anew, and the limit drawn in again as far as that bar goes along.

    Args:
        shell: The scan in the vehicle frame.
        task: What was asked.
        offer: A bar that does not hold it.
    """
    told = []
    if offer.smallest_gap_mm > 0.0:
        told.append(f"a gap of {offer.smallest_gap_mm:.1f} mm instead of {task.gap_mm:g} mm")
    for limit in _limits(task, offer.bar):
        needed = _needed(shell, offer, limit)
        if needed is not None:
            told.append(f"{limit.name} of {needed:.1f} {limit.unit} instead of {limit.asked:g} {limit.unit}")
    if task.keep_clear and _holding(shell, replace(task, keep_clear=()), offer.bends):
        told.append("leaving out the driver's room, which stands in the way")
    alone = (
        f"Each of these alone would do: {'; '.join(told)}"
        if told
        else "No limit that was tried would do alone"
    )
    return Finding(
        code="FIT-048",
        sentence=f"Bar {task.name} with {offer.bends} bends: its limits cannot all hold from the best that was found, "
        f"which keeps {offer.smallest_gap_mm:.1f} mm of the {task.gap_mm:g} mm asked. {alone}.",
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


def _needed(shell: Shell, offer: Offer, limit: _Limit) -> float | None:
    """What a limit would have to be, between what was asked and its loosest; None when that does not do."""
    bar = _holding(shell, limit.relaxed(limit.loosest), offer.bends)
    if bar is None:
        return None
    holds, fails = limit.loosest, limit.asked
    for _ in range(_HALVINGS):
        middle = (holds + fails) / 2.0
        tried = refit_bar(shell, limit.relaxed(middle), bar).offers
        if tried and tried[0].holds:
            holds, bar = middle, tried[0].bar
        else:
            fails = middle
    return holds


def _holding(shell: Shell, task: BarTask, bends: int) -> Bar | None:
    """A bar that holds all of a task, found anew, or None."""
    offers = fit_bar(shell, task, [bends]).offers
    return offers[0].bar if offers and offers[0].holds else None
