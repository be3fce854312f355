"""From sample bends to a calibration."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from hoopwright.bender.calibration import Calibration, Matrix
from hoopwright.bender.disagreement import disagreements
from hoopwright.bender.least_squares import Reading, Solution, solve
from hoopwright.bender.samples import Samples
from hoopwright.bender.springback import fit_springback
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.units import format_length

PLAIN_SD_MM = 0.05
"""A number that the person typed as known already is taken nearly as it is."""
ARC_LIMIT = 0.04
"""Tube used for 90 degrees against the centreline arc; common practice, no source."""
FARTHEST_OFF_ARC = 0.25
"""So far off its arc a use of tube is a mistyped number or another unit; common practice, no source."""
UNKNOWNS = ("radius", "start offset", "tube used")
RADIUS, OFFSET, USED = range(3)


@dataclass(frozen=True, kw_only=True)
class TubeUsedPrior:
    """Tube used over centreline arc, taken only where the samples leave a number open.

    Args:
        ratio: Mean.
        sd: Standard deviation.
        source: Where it comes from.
    """

    ratio: float = 0.99
    sd: float = 0.012
    source: str = "common practice, no source"


LEAST_OFFSET_MM, MOST_OFFSET_MM = 0.0, 60.0
"""Usual distance from die face to real start: about an inch, seldom over two (common practice, no source)."""


def fit_calibration(samples: Samples, *, tube_used: TubeUsedPrior | None = None) -> Calibration:
    """Radius, start offset, tube used per degree and springback from sample bends.

    With stock S, mark m, diameter D, radius R, offset o and w tube used for 90 degrees: legs
    a = m + o + R + D/2 and b = S - m - o - w + R + D/2; U: 2 R + D. Weighted least squares, with no prior
    where the samples fix all three.

    Args:
        samples: The sample bends.
        tube_used: Prior for what the samples leave open.

    Returns:
        The calibration; numbers that stay open even so are None.

    Raises:
        UserError: `CAL-027` when the samples give a radius or a use of tube that cannot be.

    Source: square-and-rule method of trade instructions; equations derived.
    """
    prior = tube_used or TubeUsedPrior()
    readings = shape_readings(samples)
    alone = solve(readings, 3)
    belief = _prior_reading(readings, alone, prior)
    solution = solve([*readings, *belief], 3)
    _refuse_impossible(samples, solution)
    line, line_prior, line_findings = fit_springback(samples)
    values, sds = _per_degree(solution)
    return Calibration(
        name=samples.name or _plain_name(samples),
        die=samples.die,
        batch=samples.batch,
        date=samples.date,
        tube=samples.tube,
        clr_mm=values[RADIUS],
        clr_sd_mm=sds[RADIUS],
        used_per_deg_mm=values[USED],
        used_per_deg_sd_mm=sds[USED],
        start_offset_mm=values[OFFSET],
        start_offset_sd_mm=sds[OFFSET],
        covariance=_covariance(solution),
        springback=line,
        prior=(*(_prior_text(prior) for _ in belief), *line_prior),
        samples=samples,
        findings=(
            *_open_numbers(samples, solution),
            *_hanging(samples, alone, solution, prior),
            *_off_the_arc(samples, solution, belief),
            *_odd_offset(samples, values[OFFSET]),
            *disagreements(readings, 3, keep=belief, unit="mm", code_one="CAL-022", code_many="CAL-023"),
            *line_findings,
        ),
    )


def _odd_offset(samples: Samples, offset_mm: float | None) -> tuple[Finding, ...]:
    """A start offset that machines do not have: most often the two legs of a sample are exchanged."""
    if offset_mm is None or not samples.legs or LEAST_OFFSET_MM - 0.5 <= offset_mm <= MOST_OFFSET_MM + 0.5:
        return ()
    return (
        Finding(
            code="CAL-029",
            sentence=f"The start offset comes out at {offset_mm:.1f} mm; usual is {LEAST_OFFSET_MM:g} to "
            f"{MOST_OFFSET_MM:g} mm beyond the die face (common practice, no source).",
            todo="Are the two legs exchanged? Leg A goes from end A, which the mark was measured from, to the far side "
            "of the other leg. Check the mark and the radius too.",
            measured=offset_mm,
            limit=MOST_OFFSET_MM if offset_mm > MOST_OFFSET_MM else LEAST_OFFSET_MM,
            unit="mm",
        ),
    )


def shape_readings(samples: Samples) -> list[Reading]:
    """The equations of legs, U samples and plain numbers in radius, start offset, tube used for 90."""
    half, tape = samples.tube.od_mm / 2.0, samples.tape_sd_mm
    readings = []
    for number, leg in enumerate(samples.legs, start=1):
        name = f"leg sample {number}"
        a = leg.leg_a_mm - leg.mark_mm - half
        b = leg.leg_b_mm - leg.cut_mm + leg.mark_mm - half
        readings.append(Reading(sample=name, coefficients=(1.0, 1.0, 0.0), value=a, sd=tape))
        readings.append(Reading(sample=name, coefficients=(1.0, -1.0, -1.0), value=b, sd=tape))
    for number, u in enumerate(samples.us, start=1):
        value = u.outside_mm - samples.tube.od_mm
        name = f"U sample {number}"
        readings.append(Reading(sample=name, coefficients=(2.0, 0.0, 0.0), value=value, sd=tape))
    for number, plain in enumerate(samples.plains, start=1):
        name = f"plain numbers {number}"
        known = (plain.clr_mm, plain.start_offset_mm, plain.used_per_deg_mm)
        for index, (number_given, factor) in enumerate(zip(known, (1.0, 1.0, 90.0), strict=True)):
            if number_given is not None:
                row = tuple(float(index == column) for column in range(3))
                value = number_given * factor
                readings.append(Reading(sample=name, coefficients=row, value=value, sd=PLAIN_SD_MM))
    return readings


def prior_reading(radius_mm: float, prior: TubeUsedPrior) -> Reading:
    """Tube used for 90 degrees is about its centreline arc, at a radius near `radius_mm`."""
    quarter = math.pi / 2.0
    return Reading(
        sample="prior",
        coefficients=(-prior.ratio * quarter, 0.0, 1.0),
        value=0.0,
        sd=prior.sd * quarter * radius_mm,
    )


def _prior_reading(readings: Sequence[Reading], alone: Solution, prior: TubeUsedPrior) -> list[Reading]:
    """The prior as a reading, if it fixes a number that the samples leave open."""
    if alone.all_fixed or not readings:
        return []
    with_it = solve([*readings, prior_reading(1.0, prior)], 3)
    radius = float(with_it.values[RADIUS])
    if int(with_it.fixed.sum()) <= int(alone.fixed.sum()) or radius <= 0.0:
        return []
    return [prior_reading(radius, prior)]


def _per_degree(solution: Solution) -> tuple[list[float | None], list[float | None]]:
    """Values and standard deviations, tube used per degree; None for what is not fixed."""
    factors = (1.0, 1.0, 1.0 / 90.0)
    sds = np.sqrt(np.diag(solution.scaled_covariance))
    values = [
        float(v) * k if ok else None
        for v, k, ok in zip(solution.values, factors, solution.fixed, strict=True)
    ]
    return values, [
        float(s) * k if ok else None for s, k, ok in zip(sds, factors, solution.fixed, strict=True)
    ]


def _covariance(solution: Solution) -> Matrix | None:
    if not solution.all_fixed:
        return None
    factors = np.array([1.0, 1.0, 1.0 / 90.0])
    scaled = solution.scaled_covariance * np.outer(factors, factors)
    return tuple(tuple(float(value) for value in row) for row in scaled)


def _plain_name(samples: Samples) -> str:
    parts = (samples.die, str(samples.tube), samples.batch, samples.date)
    return ", ".join(part for part in parts if part)


def _prior_text(prior: TubeUsedPrior) -> str:
    return (
        f"tube used is {prior.ratio:.3f} ± {prior.sd:.3f} of the centreline arc ({prior.source}), "
        "because the samples leave a number open"
    )


def _refuse_impossible(samples: Samples, solution: Solution) -> None:
    radius, _, used = (float(value) for value in solution.values)
    least = samples.tube.od_mm / 2.0
    problem = None
    if solution.fixed[RADIUS] and radius <= least:
        problem = (
            f"a radius of {format_length(radius)}, inside the tube (over {least:g} mm needed)",
            radius,
            least,
        )
    elif solution.fixed[USED] and used <= 0.0:
        problem = (f"{used:.1f} mm of tube used for 90°, which must be more than 0", used, 0.0)
    elif solution.fixed[RADIUS] and solution.fixed[USED]:
        arc = math.pi / 2.0 * radius
        if not abs(used / arc - 1.0) <= FARTHEST_OFF_ARC:
            problem = (
                f"{used:.0f} mm of tube used for 90°, {used / arc - 1.0:+.0%} off the arc of {arc:.0f} mm, which no "
                f"bend is (limit {FARTHEST_OFF_ARC:.0%}, common practice, no source)",
                used,
                arc * (1.0 + FARTHEST_OFF_ARC),
            )
    if problem is not None:
        raise UserError(
            Finding(
                code="CAL-027",
                severity=Severity.STOP,
                sentence=f"The samples together give {problem[0]}.",
                todo="A number or its unit is mistyped, or two are exchanged: check cut length, mark, legs and the U.",
                measured=problem[1],
                limit=problem[2],
                unit="mm",
            )
        )


def _open_numbers(samples: Samples, solution: Solution) -> Iterator[Finding]:
    open_names = [name for name, ok in zip(UNKNOWNS, solution.fixed, strict=True) if not ok]
    if open_names:
        yield Finding(
            code="CAL-026",
            sentence=f"The samples do not tell the {' and the '.join(open_names)}; no sheet can be made yet.",
            todo="Bend a 90 with a mark at the die face and measure both legs, and a U.",
            objects=(samples.name,) if samples.name else (),
        )


def _hanging(
    samples: Samples, alone: Solution, solution: Solution, prior: TubeUsedPrior
) -> Iterator[Finding]:
    """Which numbers hang on the prior, and why."""
    hanging = np.flatnonzero(solution.fixed & ~alone.fixed)
    if len(hanging) == 0:
        return
    why = (
        "A 90 sample alone cannot give the radius: its two legs are two equations for three numbers, and "
        "1 mm in the legs is over 2 mm of radius. "
        if samples.legs and not samples.us
        else ""
    )
    sds = np.sqrt(np.diag(solution.scaled_covariance))
    numbers = ", ".join(
        f"{UNKNOWNS[index]}{' for 90°' if index == USED else ''} {solution.values[index]:.1f} "
        f"± {sds[index]:.1f} mm"
        for index in hanging
    )
    yield Finding(
        code="CAL-020",
        sentence=f"{why}Taken beside the samples: {_prior_text(prior)}. On it hang {numbers}.",
        todo="Bend a U and measure over both legs: 1 mm there is 0.5 mm of radius."
        if samples.legs
        else "Bend a 90 with a mark at the die face and measure both legs.",
        measured=float(sds[RADIUS]) if solution.fixed[RADIUS] else None,
        unit="mm",
    )


def _off_the_arc(samples: Samples, solution: Solution, belief: Sequence[Reading]) -> Iterator[Finding]:
    if belief or not (solution.fixed[RADIUS] and solution.fixed[USED]):
        return
    arc = float(solution.values[RADIUS]) * math.pi / 2.0
    used = float(solution.values[USED])
    off = used / arc - 1.0
    if abs(off) <= ARC_LIMIT:
        return
    involved = [*(f"leg sample {n + 1}" for n in range(len(samples.legs)))]
    involved += [f"U sample {n + 1}" for n in range(len(samples.us))]
    yield Finding(
        code="CAL-021",
        sentence=f"The tube used for 90° comes out as {used:.1f} mm, {abs(off):.1%} "
        f"{'under' if off < 0 else 'over'} the centreline arc of {arc:.1f} mm (limit {ARC_LIMIT:.0%}, common "
        "practice, no source).",
        todo="A leg, the cut length or the U is mistyped or mismeasured, or the mark slipped: "
        "measure again, or bend the sample again.",
        objects=tuple(involved),
        measured=abs(off) * 100.0,
        limit=ARC_LIMIT * 100.0,
        unit="%",
    )
