"""The springback line, and the angle to read under load for a wanted angle."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from hoopwright.bender.calibration import Calibration, Springback
from hoopwright.bender.disagreement import disagreements
from hoopwright.bender.least_squares import Reading, Solution, solve
from hoopwright.bender.samples import Samples
from hoopwright.findings import Finding, Severity, UserError

_ROUNDING_DEG = 1e-9
PLAIN_CONSTANT_SD_DEG = 0.05
PLAIN_PER_COMMAND_SD = 0.001
PRIOR_PER_COMMAND = 0.03
PRIOR_PER_COMMAND_SD = 0.02
"""Springback per degree of command where the samples leave it open; common practice, no source."""
MOST_PER_COMMAND = 0.5
FULL_REACH_DEG = 180.0
BEYOND_SAMPLES = 1.3
_SHALLOW_DEG = 5.0

PRIOR = Reading(sample="prior", coefficients=(0.0, 1.0), value=PRIOR_PER_COMMAND, sd=PRIOR_PER_COMMAND_SD)
PRIOR_TEXT = (
    f"springback grows by {PRIOR_PER_COMMAND:g} ± {PRIOR_PER_COMMAND_SD:g} per degree (common practice, no "
    "source), because the samples hold no two different angles"
)


@dataclass(frozen=True, kw_only=True)
class CommandAngle:
    """What to read under load.

    Args:
        command_deg: The angle.
        sd_deg: Its standard deviation.
        findings: Warnings that go with it.
    """

    command_deg: float
    sd_deg: float
    findings: tuple[Finding, ...] = ()


def command_angle(
    calibration: Calibration, target_deg: float, *, die_reach_deg: float = FULL_REACH_DEG
) -> CommandAngle:
    """The angle to read under load so that the wanted angle is left after release.

    command = (target + c) / (1 - p) for springback = c + p x command. Its standard deviation holds that of
    the line and the scatter of one bend about it.

    Args:
        calibration: With a springback line.
        target_deg: Wanted angle of the finished bend.
        die_reach_deg: Greatest angle that the die reaches under load.

    Raises:
        UserError: `CAL-011` without a line, or when wanted angle or command are outside 0 to the reach.
    """
    line = calibration.springback
    if line is None:
        raise UserError(no_line(calibration))
    if not (math.isfinite(target_deg) and 0.0 < target_deg < die_reach_deg):
        raise outside_reach("The wanted angle", target_deg, die_reach_deg)
    command = (target_deg + line.constant_deg) / (1.0 - line.per_command_deg)
    if not 0.0 < command <= die_reach_deg:
        raise outside_reach(f"For {target_deg:g}° the command", command, die_reach_deg)
    (cc, cp), (_, pp) = line.covariance
    variance = max(0.0, cc + 2.0 * command * cp + command**2 * pp) + line.scatter_sd_deg**2
    return CommandAngle(
        command_deg=command,
        sd_deg=math.sqrt(variance) / (1.0 - line.per_command_deg),
        findings=tuple(_beyond_samples(line, target_deg, command)),
    )


def no_line(calibration: Calibration) -> Finding:
    """The finding that a calibration has no springback line; stops a command, not a sheet."""
    return Finding(
        code="CAL-011",
        severity=Severity.STOP,
        sentence=f"Calibration '{calibration.name}' has no springback line, so there is no angle to read "
        "under load.",
        todo="Bend two or more angles and read each under load and after release: [[angle]].",
        objects=(calibration.name,),
    )


def fit_springback(samples: Samples) -> tuple[Springback | None, tuple[str, ...], tuple[Finding, ...]]:
    """The line through the samples, what was assumed for it, and what was found.

    Raises:
        UserError: `CAL-027` for a line that no tube can have.
    """
    readings = springback_readings(samples)
    alone = solve(readings, 2)
    belief = [] if alone.fixed[1] or not readings else [PRIOR]
    solution = solve([*readings, *belief], 2)
    if not solution.all_fixed:
        return None, (), tuple(_no_samples(samples))
    line = _line(samples, solution, alone)
    _refuse_impossible(line)
    findings = (
        *(_on_the_prior(solution) for _ in belief),
        *disagreements(readings, 2, keep=belief, unit="deg", code_one="CAL-022", code_many="CAL-023"),
        *_negative(line),
    )
    return line, tuple(PRIOR_TEXT for _ in belief), findings


def springback_readings(samples: Samples) -> list[Reading]:
    """For each sample c + p x command = command - released, and plain numbers as they are."""
    readings = [
        Reading(
            sample=f"angle sample {number}",
            coefficients=(1.0, angle.command_deg),
            value=angle.command_deg - angle.released_deg,
            sd=samples.gauge_sd_deg,
        )
        for number, angle in enumerate(samples.angles, start=1)
    ]
    for number, plain in enumerate(samples.plains, start=1):
        name = f"plain numbers {number}"
        known = (
            ((1.0, 0.0), plain.constant_deg, PLAIN_CONSTANT_SD_DEG),
            ((0.0, 1.0), plain.per_command_deg, PLAIN_PER_COMMAND_SD),
        )
        readings += [
            Reading(sample=name, coefficients=row, value=value, sd=sd)
            for row, value, sd in known
            if value is not None
        ]
    return readings


def _line(samples: Samples, solution: Solution, alone: Solution) -> Springback:
    commands = [angle.command_deg for angle in samples.angles]
    constant, slope = (float(value) for value in solution.values)
    scatter = samples.gauge_sd_deg * max(1.0, alone.misfit)
    return Springback(
        constant_deg=constant,
        per_command_deg=slope,
        covariance=tuple(tuple(float(v) for v in row) for row in solution.scaled_covariance),
        scatter_sd_deg=scatter,
        smallest_deg=min(commands, default=None),
        largest_deg=max(commands, default=None),
    )


def _refuse_impossible(line: Springback) -> None:
    if line.per_command_deg < MOST_PER_COMMAND:
        return
    raise UserError(
        Finding(
            code="CAL-027",
            severity=Severity.STOP,
            sentence=f"The angle samples give a springback of {line.per_command_deg:.2f}° per degree; no "
            "tube does that.",
            todo="Check the command and released angles; is one the included angle, not the bend angle?",
            measured=line.per_command_deg,
            limit=MOST_PER_COMMAND,
            unit="deg/deg",
        )
    )


def _no_samples(samples: Samples) -> Iterator[Finding]:
    yield Finding(
        code="CAL-028",
        sentence="No angle was read under load and after release, so there is no springback line and no "
        "command angle.",
        todo="Bend about 20, 45 and 90 degrees and read each under load and after release.",
        objects=(samples.name,) if samples.name else (),
    )


def _on_the_prior(solution: Solution) -> Finding:
    return Finding(
        code="CAL-025",
        sentence=f"Assumed beside the samples: {PRIOR_TEXT}. The constant "
        f"({solution.values[0]:.2f}°) hangs on it, and every command far from the sampled angle.",
        todo="Read one more angle well away from the first, such as 20 or 90 degrees.",
    )


def _negative(line: Springback) -> Iterator[Finding]:
    angles: Sequence[float] = (_SHALLOW_DEG, line.smallest_deg or 10.0, line.largest_deg or 90.0)
    lowest = min(angles, key=lambda angle: line.constant_deg + line.per_command_deg * angle)
    springback = line.constant_deg + line.per_command_deg * lowest
    if springback < -_ROUNDING_DEG:
        yield Finding(
            code="CAL-024",
            sentence=f"The springback line is negative, {springback:.2f}° at {lowest:g}°; a tube never "
            "springs on.",
            todo="Was the gauge zeroed before the slack was taken up? Read the shallow samples again.",
            measured=springback,
            limit=0.0,
            unit="deg",
        )


def _beyond_samples(line: Springback, target_deg: float, command_deg: float) -> Iterator[Finding]:
    if line.smallest_deg is None or line.largest_deg is None:
        return
    lowest, highest = line.smallest_deg / BEYOND_SAMPLES, line.largest_deg * BEYOND_SAMPLES
    if lowest <= command_deg <= highest:
        return
    yield Finding(
        code="CAL-012",
        sentence=f"The command {command_deg:.1f}° for {target_deg:.1f}° lies outside what was sampled "
        f"({line.smallest_deg:g}° to {line.largest_deg:g}°, and a factor {BEYOND_SAMPLES:g} beyond).",
        todo="Sneak up on it, or read a sample near this angle.",
        measured=command_deg,
        limit=highest if command_deg > highest else lowest,
        unit="deg",
    )


def outside_reach(what: str, angle_deg: float, reach_deg: float) -> UserError:
    """The error that an angle is none that the die bends."""
    return UserError(
        Finding(
            code="CAL-011",
            severity=Severity.STOP,
            sentence=f"{what} is {angle_deg:.2f}°; the die bends from above 0° to {reach_deg:g}°.",
            todo="Split the bend into two, or use a die that reaches farther."
            if angle_deg > 0.0
            else "Type an angle above 0.",
            measured=angle_deg if math.isfinite(angle_deg) else None,
            limit=reach_deg,
            unit="deg",
        )
    )
