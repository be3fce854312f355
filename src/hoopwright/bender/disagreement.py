"""Samples that do not agree with one another."""

from collections.abc import Sequence

from hoopwright.bender.least_squares import LeftOut, Reading, left_out
from hoopwright.findings import Finding

LIMIT_SCORE = 3.0
"""Standardised residual from which a sample is flagged."""
_AS_BAD = 0.9


def disagreements(
    readings: Sequence[Reading],
    unknowns: int,
    *,
    keep: Sequence[Reading] = (),
    unit: str,
    code_one: str,
    code_many: str,
) -> tuple[Finding, ...]:
    """Samples that lie more than three standard deviations off what the others say.

    With just enough spare readings every sample looks equally wrong; then all of them are named.

    Args:
        readings: The readings of all samples.
        unknowns: How many unknowns.
        keep: Readings that are never left out (priors).
        unit: Unit of the readings.
        code_one: Code where one sample stands out.
        code_many: Code where it cannot be told which.
    """
    found: list[Finding] = []
    remaining = list(readings)
    while True:
        scores = left_out(remaining, unknowns, keep)
        if not scores or scores[0].score <= LIMIT_SCORE:
            return tuple(found)
        as_bad = [one for one in scores if one.score >= _AS_BAD * scores[0].score]
        if len(as_bad) > 1:
            return (*found, _contradiction(as_bad, unit, code_many))
        found.append(_outlier(scores[0], unit, code_one))
        remaining = [reading for reading in remaining if reading.sample != scores[0].sample]


def _outlier(one: LeftOut, unit: str, code: str) -> Finding:
    sign = "°" if unit == "deg" else f" {unit}"
    return Finding(
        code=code,
        sentence=f"{one.sample[:1].upper()}{one.sample[1:]} does not fit the others: it is off by "
        f"{one.off:+.2f}{sign}, {one.score:.1f} times its standard deviation (limit {LIMIT_SCORE:g}).",
        todo="Measure it again; if it stays, leave it out or bend it again (did the mark slip?).",
        objects=(one.sample,),
        measured=one.score,
        limit=LIMIT_SCORE,
        unit="sd",
    )


def _contradiction(several: Sequence[LeftOut], unit: str, code: str) -> Finding:
    sign = "°" if unit == "deg" else f" {unit}"
    names = tuple(one.sample for one in several)
    worst = max(several, key=lambda one: one.score)
    return Finding(
        code=code,
        sentence=f"{', '.join(names)} contradict one another by up to {max(abs(o.off) for o in several):.2f}"
        f"{sign}, {worst.score:.1f} times the standard deviation (limit {LIMIT_SCORE:g}); it cannot be told "
        "which of them is wrong.",
        todo="Measure them again, or bend one more sample.",
        objects=names,
        measured=worst.score,
        limit=LIMIT_SCORE,
        unit="sd",
    )
