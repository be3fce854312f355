"""Which further sample would make the numbers surer, in words."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

from hoopwright.bender.fit import TubeUsedPrior, fit_calibration, prior_reading, shape_readings
from hoopwright.bender.least_squares import Reading, Solution, solve
from hoopwright.bender.samples import Samples
from hoopwright.bender.springback import PRIOR, springback_readings

CANDIDATE_ANGLES_DEG = (15.0, 30.0, 45.0, 60.0, 90.0)
GOOD_MM = 1.0
GOOD_DEG = 0.5
"""What a length and an angle are held against when they are weighed; common practice, no source."""
_UNKNOWN_MM = 50.0
_UNKNOWN_CONSTANT_DEG = 3.0
_WORTH_IT = 0.05

# Nodes stand and the radius moves the marks: a mark lies radius x tan(angle / 2) + offset from its node.
_HALF_45 = math.tan(math.radians(22.5))
_SHAPE_NEEDS = {
    "mark of a 45° bend": (_HALF_45, 1.0, 0.0),
    "blank with a 45° and a 90° bend": (-2.0 * (_HALF_45 + 1.0), 0.0, 1.5),
}
_ANGLE_NEEDS_DEG = (15.0, 45.0, 90.0)


@dataclass(frozen=True, kw_only=True)
class SampleSuggestion:
    """The sample to bend next.

    Args:
        sample: What to bend, in words.
        sentence: What it would do to the numbers, before and after.
        before: Standard deviation now of each thing that a sheet needs, mm and degrees.
        after: The same with the sample.
        worth_it: Whether it makes any of them much surer.
        kind: The table of the sample file that it fills.
        command_deg: What to read under load; None where the released shape decides.
    """

    sample: str
    sentence: str
    before: dict[str, float]
    after: dict[str, float]
    worth_it: bool
    kind: Literal["leg", "u", "angle"]
    command_deg: float | None = None


@dataclass(frozen=True, kw_only=True)
class _Candidate:
    name: str
    kind: Literal["leg", "u", "angle"]
    command_deg: float | None = None
    shape: tuple[Reading, ...] = ()
    springback: tuple[Reading, ...] = ()


def best_next_sample(samples: Samples) -> SampleSuggestion:
    """The one further sample that would cut the variance of marks, blank and commands the most.

    Each standard deviation is held against what a fabricator calls good (1 mm, 0.5 degrees); the candidate
    with the least sum of squares wins.

    Args:
        samples: What was bent so far.

    Raises:
        UserError: `CAL-027` when the samples cannot be as they are.
    """
    calibration = fit_calibration(samples)
    shape = [*shape_readings(samples), *_weak_shape(calibration.clr_mm or 3.0 * samples.tube.od_mm)]
    springback = [*springback_readings(samples), *_weak_springback()]
    before = _needs(solve(shape, 3), solve(springback, 2))
    candidates = {candidate.name: candidate for candidate in _candidates(samples)}
    afters = {
        name: _needs(solve([*shape, *one.shape], 3), solve([*springback, *one.springback], 2))
        for name, one in candidates.items()
    }
    name = min(afters, key=lambda candidate: _cost(afters[candidate]))
    after, chosen = afters[name], candidates[name]
    worth_it = _cost(after) < (1.0 - _WORTH_IT) * _cost(before)
    return SampleSuggestion(
        sample=name,
        sentence=_words(name, before, after, worth_it),
        before=before,
        after=after,
        worth_it=worth_it,
        kind=chosen.kind,
        command_deg=chosen.command_deg,
    )


def _weak_shape(radius_mm: float) -> Iterator[Reading]:
    """What is believed before any sample, so that an open number counts as very unsure."""
    yield prior_reading(radius_mm, TubeUsedPrior())
    for index, value in ((0, radius_mm), (1, 0.0)):
        row = tuple(float(index == column) for column in range(3))
        yield Reading(sample="prior", coefficients=row, value=value, sd=_UNKNOWN_MM)


def _weak_springback() -> Iterator[Reading]:
    yield PRIOR
    yield Reading(sample="prior", coefficients=(1.0, 0.0), value=1.0, sd=_UNKNOWN_CONSTANT_DEG)


def _candidates(samples: Samples) -> Iterator[_Candidate]:
    tape, gauge = samples.tape_sd_mm, samples.gauge_sd_deg
    yield _Candidate(
        name="a U, measured over both legs",
        kind="u",
        shape=(Reading(sample="new", coefficients=(2.0, 0.0, 0.0), value=0.0, sd=tape),),
    )
    legs = ((1.0, 1.0, 0.0), (1.0, -1.0, -1.0))
    yield _Candidate(
        name="a 90 with both legs measured",
        kind="leg",
        shape=tuple(Reading(sample="new", coefficients=row, value=0.0, sd=tape) for row in legs),
    )
    for angle in CANDIDATE_ANGLES_DEG:
        reading = Reading(sample="new", coefficients=(1.0, angle), value=0.0, sd=gauge)
        yield _Candidate(
            name=f"an angle of {angle:g}°, under load and after release",
            kind="angle",
            command_deg=angle,
            springback=(reading,),
        )


def _needs(shape: Solution, springback: Solution) -> dict[str, float]:
    needs = {name: shape.sd_of(row) for name, row in _SHAPE_NEEDS.items()}
    return needs | {f"command at {angle:g}°": springback.sd_of((1.0, angle)) for angle in _ANGLE_NEEDS_DEG}


def _cost(needs: dict[str, float]) -> float:
    good = np.array([GOOD_DEG if name.startswith("command") else GOOD_MM for name in needs])
    return float(np.sum((np.array(list(needs.values())) / good) ** 2))


def _words(name: str, before: dict[str, float], after: dict[str, float], worth_it: bool) -> str:
    if not worth_it:
        return f"No further sample makes much of a difference; the best would be {name}."
    shares = {need: after[need] / before[need] for need in before}
    moved = sorted((need for need in before if shares[need] < 1.0 - _WORTH_IT / 2.0), key=shares.__getitem__)
    return f"Bend {name}: " + "; ".join(_from_to(need, before[need], after[need]) for need in moved) + "."


def _from_to(need: str, before: float, after: float) -> str:
    unit = "°" if need.startswith("command") else " mm"
    decimals = 2 if unit == "°" else 1
    return f"{need} from ±{before:.{decimals}f}{unit} to ±{after:.{decimals}f}{unit}"
