"""The gap that a person can hold: how many bars would clear the shell, bent with that person's scatter."""

import math
from dataclasses import dataclass

import numpy as np

from hoopwright.bars import Bar, bend_table
from hoopwright.bars.many import BentTables, Many, places_along
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.fitting.scattered import Scatter, check_scatter, scatter_tables, scattered_bars
from hoopwright.geometry import Vector
from hoopwright.progress import Progress, silent
from hoopwright.shell.shell import Shell

TARGETS_MM = (0.0, 2.0, 4.0, 6.0, 8.0, 10.0, 12.0, 16.0)
WANTED_SHARE = 0.95
_TRIALS = (20, 20_000)
_SPACING_MM = 2.0
_TOGETHER = 50
_NORMAL_95 = 1.959964
"""Two-sided 95 % of the standard normal distribution."""


@dataclass(frozen=True, kw_only=True)
class ShareThatClears:
    """How many bars clear when they are drawn at a gap.

    Args:
        target_mm: The gap that the bar is drawn at.
        share: Share of bars with a gap over 0.
        low_share: Lower end of the share's 95 % interval, for the number of trials (Wilson).
        high_share: Upper end.
    """

    target_mm: float
    share: float
    low_share: float
    high_share: float


@dataclass(frozen=True, eq=False, kw_only=True)
class HoldableGap:
    """What a person's scatter does to one bar.

    Args:
        bar: Its name.
        scatter: What was simulated.
        trials: How many bars.
        seed: Seed of the random numbers; the same seed gives the same result.
        drawn_gap_mm: Least gap of the bar as drawn, landings not judged.
        gaps_mm: Least gap of each bar as bent and placed, shape (trials,).
        lost_mm: How much nearer each comes than drawn, shape (trials,); infinite where its axis meets metal.
        off_drawn_mm: Greatest distance of each from where it is drawn, matching places along it, shape (trials,).
        at_drawn: Share that clears as drawn.
        at_targets: Share that clears at other gaps.
        holds_95_mm: The gap at which 95 of 100 clear, and the ends of its 95 % interval from the number of
            trials; infinite where no gap gives it.
    """

    bar: str
    scatter: Scatter
    trials: int
    seed: int
    drawn_gap_mm: float
    gaps_mm: Vector
    lost_mm: Vector
    off_drawn_mm: Vector
    at_drawn: ShareThatClears
    at_targets: tuple[ShareThatClears, ...]
    holds_95_mm: tuple[float, float, float]

    @property
    def off_drawn_95_mm(self) -> float:
        """95 of 100 bars lie nowhere farther than this from where they are drawn."""
        return float(np.quantile(self.off_drawn_mm, WANTED_SHARE))

    @property
    def axis_meets_metal(self) -> int:
        """How many bars come so near that how deep they are in the metal is not known."""
        return int(np.isinf(self.lost_mm).sum())


def holdable_gap(
    shell: Shell,
    bar: Bar,
    scatter: Scatter,
    *,
    landings_mm: tuple[float, float] = (0.0, 0.0),
    trials: int = 400,
    seed: int = 1,
    progress: Progress = silent,
) -> HoldableGap:
    """Bend a bar many times with a person's scatter, lay each in the car, and measure it to the shell.

    Each bar is laid on the drawn one by the least squares over its length, as a person shifts and tilts it
    until it sits as well as it goes. At another gap than the drawn one it is taken to come nearer by the same.

    Args:
        shell: The scan in the vehicle frame.
        bar: The bar as drawn.
        scatter: The person's.
        landings_mm: Lengths at A and B that are not judged.
        trials: How many bars.
        seed: Seed of the random numbers.
        progress: Told after every batch.

    Raises:
        UserError: `FIT-020` for a scatter and `FIT-021` for trials or a seed out of range, `BAR-001` to
            `BAR-004` where the bar cannot be bent.
    """
    stops = (*check_scatter(scatter), *_check_trials(trials, seed))
    if stops:
        raise UserError(*stops)
    drawn = places_along(bar, _SPACING_MM)
    judged = _judged(drawn.along_mm, landings_mm)
    half = bar.tube.od_mm / 2.0
    drawn_gaps = shell.nearest(drawn.points_mm).distance_mm[judged] - half
    tables = scatter_tables(bend_table(bar), scatter, trials, seed)
    gaps, off = np.empty(trials), np.empty(trials)
    for start in range(0, trials, _TOGETHER):
        rows = slice(start, min(trials, start + _TOGETHER))
        placed = scattered_bars(drawn, _rows(tables, rows))
        moved = np.linalg.norm(placed - drawn.points_mm, axis=2)
        off[rows] = moved.max(axis=1)
        gaps[rows] = _least_gaps(shell, placed[:, judged], moved[:, judged], drawn_gaps, half)
        progress("bending bars with your scatter", rows.stop / trials)
    return _result(bar, scatter, seed, float(drawn_gaps.min()), gaps, off)


def share_that_clears(lost_mm: Vector, target_mm: float) -> ShareThatClears:
    """Share of bars that clear at a gap, given how much nearer than drawn each comes, shape (n,)."""
    share = float(np.mean(lost_mm < target_mm))
    low, high = wilson_interval(share, len(lost_mm))
    return ShareThatClears(target_mm=target_mm, share=share, low_share=low, high_share=high)


def wilson_interval(share: float, count: int) -> tuple[float, float]:
    """The 95 % interval of a share that was seen in `count` trials.

    Source: E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209.
    """
    z2 = _NORMAL_95**2 / count
    middle = (share + z2 / 2.0) / (1.0 + z2)
    reach = _NORMAL_95 / (1.0 + z2) * math.sqrt(share * (1.0 - share) / count + z2 / (4.0 * count))
    return max(0.0, middle - reach), min(1.0, middle + reach)


def _least_gaps(shell: Shell, placed: Many, moved: Many, drawn_gaps: Vector, half_mm: float) -> Vector:
    """Least gap of each bar. A place's gap changes by no more than it moves: most need no look at the metal."""
    could_be_least = drawn_gaps - moved <= (drawn_gaps + moved).min(axis=1)[:, None]
    gaps = np.full(moved.shape, np.inf)
    gaps[could_be_least] = shell.nearest(placed[could_be_least]).distance_mm - half_mm
    least: Vector = gaps.min(axis=1)
    return least


def _result(bar: Bar, scatter: Scatter, seed: int, drawn_mm: float, gaps: Vector, off: Vector) -> HoldableGap:
    # distances have no sign: once the axis is at the skin, deeper looks like farther
    lost = np.where(gaps <= _SPACING_MM - bar.tube.od_mm / 2.0, np.inf, drawn_mm - gaps)
    levels = (WANTED_SHARE, *wilson_interval(WANTED_SHARE, len(gaps)))
    holds, low, high = (_gap_for(np.sort(lost), level) for level in levels)
    return HoldableGap(
        bar=bar.name,
        scatter=scatter,
        trials=len(gaps),
        seed=seed,
        drawn_gap_mm=drawn_mm,
        gaps_mm=gaps,
        lost_mm=lost,
        off_drawn_mm=off,
        at_drawn=share_that_clears(lost, drawn_mm),
        at_targets=tuple(share_that_clears(lost, target) for target in TARGETS_MM),
        holds_95_mm=(holds, low, high),
    )


def _gap_for(sorted_lost: Vector, share: float) -> float:
    """The least gap, not under 0, at which a share of the bars clears: just over what the last of them loses."""
    last = math.ceil(share * len(sorted_lost) - 1e-9) - 1
    return max(0.0, float(np.nextafter(sorted_lost[last], np.inf)))


def _rows(tables: BentTables, rows: slice) -> BentTables:
    return BentTables(
        straights_mm=tables.straights_mm[rows],
        rotations_deg=tables.rotations_deg[rows],
        angles_deg=tables.angles_deg[rows],
        clr_mm=tables.clr_mm,
    )


def _judged(along: Vector, landings_mm: tuple[float, float]) -> np.ndarray:
    judged = (along >= landings_mm[0]) & (along <= along[-1] - landings_mm[1])
    # a bar that is all landing is judged whole rather than not at all, as in `shell.clearance`
    return judged if judged.any() else np.ones_like(judged)


def _check_trials(trials: int, seed: int) -> tuple[Finding, ...]:
    least, most = _TRIALS
    found = []
    if not least <= trials <= most:
        found.append(("bars to simulate", trials, most, f"between {least} and {most}"))
    if seed < 0:
        found.append(("seed", seed, 0, "0 or more"))
    return tuple(
        Finding(
            code="FIT-021",
            severity=Severity.STOP,
            sentence=f"The number given as {what}, {value}, is not {wanted}.",
            todo=f"Give a whole number {wanted}.",
            objects=(what,),
            measured=float(value),
            limit=float(limit),
        )
        for what, value, limit, wanted in found
    )
