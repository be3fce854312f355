"""A bar that was found for some number of bends, finished and judged on exact distances."""

from dataclasses import dataclass, replace

import numpy as np

from hoopwright.bars import Bar, bend_table, centreline, check_bendable, check_shape
from hoopwright.findings import Finding, stopping
from hoopwright.fitting.bar_task import BarTask, Freedom
from hoopwright.fitting.held import least_gap
from hoopwright.fitting.measuring import widest_near
from hoopwright.fitting.placing import HELD_WITHIN_MM
from hoopwright.fitting.polish import SAMPLES, Polished, polish
from hoopwright.shell.shell import Shell

_HOLD_ROUNDS = 6
_NEAR_MM = 0.3
_EXTRA = 60
_HOPELESS_MM = 2.0


@dataclass(frozen=True, eq=False, kw_only=True)
class Offer:
    """The best bar found with some number of bends.

    Args:
        bends: How many.
        bar: The bar.
        mean_gap_mm: Mean gap at 220 even places between the landings.
        p90_gap_mm: Nine tenths of them are at or below it.
        largest_gap_mm: The greatest.
        smallest_gap_mm: The least gap anywhere between the landings, between the places too.
        angles_deg: Bend angles.
        length_mm: Developed length.
        findings: What does not hold.
    """

    bends: int
    bar: Bar
    mean_gap_mm: float
    p90_gap_mm: float
    largest_gap_mm: float
    smallest_gap_mm: float
    angles_deg: tuple[float, ...]
    length_mm: float
    findings: tuple[Finding, ...] = ()

    @property
    def holds(self) -> bool:
        """Whether all that was asked holds."""
        return not self.findings


@dataclass(frozen=True, eq=False, kw_only=True)
class TradeOff:
    """All that was found for one bar.

    Args:
        task: What was asked.
        offers: One for each number of bends, fewest first.
        seed: Of the random numbers: the same seed gives the same bars.
    """

    task: BarTask
    offers: tuple[Offer, ...]
    seed: int


def finished(shell: Shell, task: BarTask, freedom: Freedom, start: Polished) -> Polished:
    """Polish to the end, holding the gap at the places between the samples where it was least too.

    What it falls short of is that of the proven least gap.
    """
    extra = np.empty(0)
    best = start
    for number in range(_HOLD_ROUNDS):
        asked = task if number < _HOLD_ROUNDS // 2 else replace(task, gap_mm=task.gap_mm + HELD_WITHIN_MM)
        best = polish(
            shell, asked, freedom, best.numbers, extra=extra, rounds=30, trust_mm=12.0 if number == 0 else 2.0
        )
        bar = task.bar(freedom.nodes(best.numbers))
        if stopping(check_shape(bar)):
            return replace(best, short_mm=np.inf)
        lows = least_gap(shell, bar, task.landings_mm)
        best = replace(best, short_mm=max(best.short_mm, task.gap_mm - lows.gap_mm))
        if lows.gap_mm >= task.gap_mm - HELD_WITHIN_MM / 2.0 or best.short_mm > _HOPELESS_MM:
            return best
        near = np.flatnonzero(lows.gaps_mm < task.gap_mm + _NEAR_MM)
        lowest = near[np.argsort(lows.gaps_mm[near])[:_EXTRA]]
        extra = np.concatenate([extra, lows.shares[lowest]])
    return best


def judge_offer(shell: Shell, task: BarTask, bar: Bar, bends: int) -> Offer | None:
    """Gaps, angles and what does not hold of a bar; None for one that cannot be."""
    if stopping(check_shape(bar)):
        return None
    path = centreline(bar)
    low, high = task.end_a.landing_mm, path.length_mm - task.end_b.landing_mm
    if high <= low:
        return None
    along, half_od = np.linspace(low, high, SAMPLES), bar.tube.od_mm / 2.0
    gaps = shell.nearest(path.at(along)).distance_mm - half_od
    widest = min(max(widest_near(shell, path, along[gaps.argmax()], along[1] - along[0]), low), high)
    least = least_gap(shell, bar, task.landings_mm)
    offer = Offer(
        bends=bends,
        bar=bar,
        mean_gap_mm=float(gaps.mean()),
        p90_gap_mm=float(np.quantile(gaps, 0.9)),
        largest_gap_mm=max(
            float(gaps.max()), float(shell.nearest(path.at([widest])).distance_mm[0]) - half_od
        ),
        smallest_gap_mm=least.gap_mm,
        angles_deg=tuple(bend_table(bar).angles_deg),
        length_mm=path.length_mm,
    )
    return replace(offer, findings=tuple(_what_fails(task, offer, least.place_mm)))


def _what_fails(task: BarTask, offer: Offer, place_mm: tuple[float, float, float]) -> list[Finding]:
    findings = list(
        stopping(
            check_bendable(
                offer.bar,
                clamp_mm=task.clamp_mm - HELD_WITHIN_MM,
                largest_bend_deg=task.greatest_bend_deg + 0.02,
            )
        )
    )
    if offer.smallest_gap_mm < task.gap_mm - HELD_WITHIN_MM:
        findings.append(
            Finding(
                code="FIT-032",
                sentence=f"Bar {task.name} with {offer.bends} bends: the best found keeps "
                f"{offer.smallest_gap_mm:.1f} mm, "
                f"{task.gap_mm - offer.smallest_gap_mm:.1f} mm short of the {task.gap_mm:g} mm asked.",
                todo="Allow one more bend, a smaller gap or clamp, or move its ends.",
                objects=(task.name,),
                point_mm=place_mm,
                measured=offer.smallest_gap_mm,
                limit=task.gap_mm,
                unit="mm",
            )
        )
    return findings
