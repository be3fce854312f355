"""Everything that a person's scatter does to one bar."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from hoopwright.bars.many import Many
from hoopwright.bender.bend_job import BendJob, BendSettings
from hoopwright.bender.calibration import Calibration
from hoopwright.bender.tolerance.landing import (
    Placing,
    Region,
    land,
    region_of,
    sample,
    share_within,
    slopes,
)
from hoopwright.bender.tolerance.sources import (
    HandScatter,
    Source,
    Sources,
    error_sources,
    tables_with,
)
from hoopwright.bender.tolerance.tape import TAPE_SD_MM, TapeGain, tape_gains
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.geometry import unit_vector

_NORMAL_95_ONE_SIDED = 1.644854
_TRIALS = (100, 1_000_000)
_PLACINGS: tuple[Placing, ...] = ("held", "fitted")


@dataclass(frozen=True, kw_only=True)
class VarianceShare:
    """How much of the ends' summed variance comes from one error.

    Args:
        source: The error.
        held_share: With the other end held, both ends together.
        fitted_share: With the bar laid as well as it goes.
    """

    source: Source
    held_share: float
    fitted_share: float


@dataclass(frozen=True, kw_only=True)
class TrimNeed:
    """Trim with which 95 of 100 ends are long enough.

    Args:
        end: `A` or `B`.
        held_mm: With the other end held.
        fitted_mm: With the bar laid as well as it goes.
        planned_mm: What is planned.
    """

    end: Literal["A", "B"]
    held_mm: float
    fitted_mm: float
    planned_mm: float

    @property
    def needed_mm(self) -> float:
        """The greater of the two."""
        return max(self.held_mm, self.fitted_mm)


@dataclass(frozen=True, kw_only=True)
class LeftForLast:
    """What is left of the ends' miss when one bend is made after a test fit of the rest.

    Args:
        bend: Number from end A.
        miss_mm: Usual miss of both ends, with this bend made last to suit.
    """

    bend: int
    miss_mm: float


@dataclass(frozen=True, kw_only=True)
class Tolerance:
    """What a person's scatter does to one bar.

    Args:
        scatter: What was taken.
        regions: Where each end lands, held and fitted.
        sampled_share: Share of bars drawn at random whose end lies in each region; 0.95 where the linear model
            holds.
        trials: How many bars were drawn.
        seed: Seed of the random numbers.
        shares: What each error contributes, the greatest first by `fitted_share`.
        trims: Trim that each end needs.
        both_ends_miss_mm: Usual miss of both ends together, fitted.
        last: Each bend as the one left for last, the best first; bends at the ends of the bar only.
        tape: Distances to measure, the best first.
    """

    scatter: HandScatter
    regions: tuple[Region, ...]
    sampled_share: tuple[float, ...]
    trials: int
    seed: int
    shares: tuple[VarianceShare, ...]
    trims: tuple[TrimNeed, TrimNeed]
    both_ends_miss_mm: float
    last: tuple[LeftForLast, ...]
    tape: tuple[TapeGain, ...]


def tolerance_of(
    job: BendJob,
    settings: BendSettings,
    scatter: HandScatter,
    *,
    calibration: Calibration | None = None,
    tape_sd_mm: float = TAPE_SD_MM,
    trials: int = 2000,
    seed: int = 1,
) -> Tolerance:
    """What a person's scatter does to one bar: linear, held against bars drawn at random.

    Args:
        job: The job.
        settings: As wanted.
        scatter: The person's.
        calibration: Adds its own uncertainty, shared by all bends.
        tape_sd_mm: Standard deviation of a tape reading.
        trials: How many bars to draw.
        seed: Seed of the random numbers.

    Raises:
        UserError: `TOL-001` for a scatter, `TOL-002` for trials, seed or tape that cannot be, `TOL-003` for a
            straight bar.
    """
    _refuse(job, tape_sd_mm, trials, seed)
    sources = error_sources(job, settings, scatter, calibration)
    moves = {placing: slopes(job, settings, sources, placing) for placing in _PLACINGS}
    regions, shares_seen = _regions(job, settings, sources, moves, trials, seed)
    fitted = np.concatenate(moves["fitted"])
    return Tolerance(
        scatter=scatter,
        regions=regions,
        sampled_share=shares_seen,
        trials=trials,
        seed=seed,
        shares=_shares(sources, np.concatenate(moves["held"]), fitted),
        trims=_trims(job, moves),
        both_ends_miss_mm=float(np.linalg.norm(fitted)),
        last=_last(job, settings, sources),
        tape=tape_gains(job, settings, sources, moves["held"][1], tape_sd_mm),
    )


def _regions(
    job: BendJob,
    settings: BendSettings,
    sources: Sources,
    moves: dict[Placing, tuple[Many, Many]],
    trials: int,
    seed: int,
) -> tuple[tuple[Region, ...], tuple[float, ...]]:
    regions, seen = [], []
    none = tables_with(job, settings, sources, np.zeros((1, len(sources.named))))
    for placing in _PLACINGS:
        drawn, landed = land(job.bar, none, placing), sample(job, settings, sources, placing, trials, seed)
        move_a, move_b = moves[placing]
        for region, ends, place in (
            (region_of("A", placing, move_a @ move_a.T), landed.end_a_mm, drawn.end_a_mm),
            (region_of("B", placing, move_b @ move_b.T), landed.end_b_mm, drawn.end_b_mm),
        ):
            regions.append(region)
            seen.append(share_within(region, ends - place))
    return tuple(regions), tuple(seen)


def _shares(sources: Sources, held: Many, fitted: Many) -> tuple[VarianceShare, ...]:
    parts = [(one**2).sum(axis=0) / max(float((one**2).sum()), 1e-300) for one in (held, fitted)]
    shares = [
        VarianceShare(source=source, held_share=float(parts[0][k]), fitted_share=float(parts[1][k]))
        for k, source in enumerate(sources.named)
    ]
    return tuple(sorted(shares, key=lambda share: -share.fitted_share))


def _trims(job: BendJob, moves: dict[Placing, tuple[Many, Many]]) -> tuple[TrimNeed, TrimNeed]:
    nodes = job.bar.nodes
    outward = (unit_vector(nodes[0] - nodes[1]), unit_vector(nodes[-1] - nodes[-2]))
    planned = (job.trim_a_mm, job.trim_b_mm)

    def need(end: int, placing: Placing) -> float:
        return _NORMAL_95_ONE_SIDED * float(np.linalg.norm(outward[end] @ moves[placing][end]))

    def of(name: Literal["A", "B"], end: int) -> TrimNeed:
        held, fitted = need(end, "held"), need(end, "fitted")
        return TrimNeed(end=name, held_mm=held, fitted_mm=fitted, planned_mm=planned[end])

    return of("A", 0), of("B", 1)


def _last(job: BendJob, settings: BendSettings, sources: Sources) -> tuple[LeftForLast, ...]:
    """The first and the last bend of the bar, the better one first: only there straight tube can still be fed."""
    ends = dict.fromkeys((1, len(job.feeds)))
    left = [LeftForLast(bend=bend, miss_mm=_miss_left(job, settings, sources, bend)) for bend in ends]
    return tuple(sorted(left, key=lambda one: one.miss_mm))


def _miss_left(job: BendJob, settings: BendSettings, sources: Sources, bend: int) -> float:
    """What no choice of this bend's angle, turn and mark makes up for, and this bend's own scatter."""
    moves = np.concatenate(slopes(job, settings, sources, "fitted"))
    own = np.array([source.bend == bend for source in sources.named])
    free = HandScatter(angle_sd_deg=1.0, rotation_sd_deg=1.0, start_sd_mm=1.0, length_sd_mm=0.0)
    chosen = error_sources(job, settings, free)
    columns = [k for k, source in enumerate(chosen.named) if source.bend == bend]
    control = np.concatenate(slopes(job, settings, chosen, "fitted"))[:, columns]
    others = moves[:, ~own]
    kept = others - control @ np.linalg.lstsq(control, others, rcond=1e-9)[0]
    return float(np.hypot(np.linalg.norm(kept), np.linalg.norm(moves[:, own])))


def by_bend(shares: Sequence[VarianceShare]) -> dict[int | None, tuple[float, float]]:
    """Shares summed over each bend, held and fitted; None is what all bends share, and the cut."""
    sums: dict[int | None, tuple[float, float]] = {}
    for share in shares:
        held, fitted = sums.get(share.source.bend, (0.0, 0.0))
        sums[share.source.bend] = (held + share.held_share, fitted + share.fitted_share)
    return sums


def _refuse(job: BendJob, tape_sd_mm: float, trials: int, seed: int) -> None:
    if not job.feeds:
        raise UserError(
            Finding(
                code="TOL-003",
                severity=Severity.STOP,
                sentence=f"Bar {job.bar.name} is straight: there is no bend whose scatter could move its ends.",
                objects=(job.bar.name,),
            )
        )
    least, most = _TRIALS
    for what, value, good in (
        ("bars to draw", float(trials), least <= trials <= most),
        ("seed", float(seed), seed >= 0),
        ("scatter of the tape in mm", tape_sd_mm, 0.0 < tape_sd_mm <= 25.0),
    ):
        if not good:
            raise UserError(
                Finding(
                    code="TOL-002",
                    severity=Severity.STOP,
                    sentence=f"{value:g} cannot be the {what}.",
                    todo=f"Draw {least} to {most} bars, with a seed of 0 or more and a tape scatter up to 25 mm.",
                    objects=(what,),
                    measured=value if math.isfinite(value) else None,
                )
            )
