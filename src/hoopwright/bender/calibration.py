"""What is known of one die with one tube: radius, tube used, start offset, springback."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from hoopwright.bender.samples import Samples
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.tubes import TubeSize

SAME_TUBE_MM = 0.01
Matrix = tuple[tuple[float, ...], ...]


@dataclass(frozen=True, kw_only=True)
class Springback:
    """The line springback = constant_deg + per_command_deg x command.

    Args:
        constant_deg: Springback that does not grow with the angle (slack, end zones).
        per_command_deg: Springback per degree of command.
        covariance: Of the two, shape (2, 2), deg2.
        scatter_sd_deg: How far one bend may lie off the line: the scatter of the samples about it, at least
            the standard deviation of one reading.
        smallest_deg: Smallest command among the samples; None for typed numbers.
        largest_deg: Largest command among the samples; None for typed numbers.
    """

    constant_deg: float
    per_command_deg: float
    covariance: Matrix
    scatter_sd_deg: float
    smallest_deg: float | None = None
    largest_deg: float | None = None


@dataclass(frozen=True, kw_only=True)
class Calibration:
    """Numbers of one die with one tube and batch, with what they rest on.

    A number that no sample fixes is None, never a guess; `bend_numbers` refuses then.

    Args:
        name: Name of the calibration.
        die: Name of the die.
        batch: Tube batch or heat number.
        date: Day of the samples, ISO 8601.
        tube: Tube size.
        clr_mm: Centreline radius of the finished bend.
        clr_sd_mm: Its standard deviation.
        used_per_deg_mm: Tube that a bend uses per degree of its finished angle.
        used_per_deg_sd_mm: Its standard deviation.
        start_offset_mm: From the mark at the die face to the real start of the bend, away from the end
            that leads.
        start_offset_sd_mm: Its standard deviation.
        covariance: Of radius, start offset and tube used per degree, shape (3, 3); None when not all are
            known.
        springback: The springback line, or None.
        prior: What was assumed beside the samples, in words; empty when nothing was.
        calibrated: False for a placeholder.
        samples: What it was fitted to, if known.
        findings: What a person must know about it.
    """

    name: str
    die: str
    batch: str
    date: str
    tube: TubeSize
    clr_mm: float | None
    clr_sd_mm: float | None
    used_per_deg_mm: float | None
    used_per_deg_sd_mm: float | None
    start_offset_mm: float | None
    start_offset_sd_mm: float | None
    covariance: Matrix | None = None
    springback: Springback | None = None
    prior: tuple[str, ...] = ()
    calibrated: bool = True
    samples: Samples | None = None
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, kw_only=True)
class BendNumbers:
    """The three numbers that place a bend on the tube.

    Args:
        clr_mm: Centreline radius of the finished bend.
        used_per_deg_mm: Tube used per degree of the finished angle.
        start_offset_mm: From the mark to the start of the bend.
    """

    clr_mm: float
    used_per_deg_mm: float
    start_offset_mm: float


def bend_numbers(calibration: Calibration) -> BendNumbers:
    """The three numbers that a sheet needs.

    Raises:
        UserError: `CAL-010` naming those that the samples did not fix.
    """
    clr, used, offset = calibration.clr_mm, calibration.used_per_deg_mm, calibration.start_offset_mm
    if clr is None or used is None or offset is None:
        names = {"radius": clr, "tube used per degree": used, "start offset": offset}
        missing = " and ".join(name for name, value in names.items() if value is None)
        raise UserError(
            Finding(
                code="CAL-010",
                severity=Severity.STOP,
                sentence=f"Calibration '{calibration.name}' has no {missing}; no sheet can be made with it.",
                todo="Bend a 90 with a mark at the die face and measure both legs, and a U.",
                objects=(calibration.name,),
            )
        )
    return BendNumbers(clr_mm=clr, used_per_deg_mm=used, start_offset_mm=offset)


def placeholder_calibration(tube: TubeSize, die_clr_mm: float, *, die: str = "") -> Calibration:
    """Numbers to plan with before any sample was bent; its sheets are stamped "not calibrated".

    Args:
        tube: Tube size.
        die_clr_mm: Centreline radius written on the die.
        die: Name of the die.

    Raises:
        UserError: `CAL-005` when the radius cannot be.
    """
    if not (math.isfinite(die_clr_mm) and tube.od_mm / 2.0 < die_clr_mm):
        raise UserError(
            Finding(
                code="CAL-005",
                severity=Severity.STOP,
                sentence=f"A die radius of {die_clr_mm:g} mm cannot bend a tube of {tube.od_mm:g} mm outside "
                "diameter.",
                todo="Give the centreline radius of the die.",
                measured=die_clr_mm if math.isfinite(die_clr_mm) else None,
                limit=tube.od_mm / 2.0,
                unit="mm",
            )
        )
    return Calibration(
        name="not calibrated",
        die=die,
        batch="",
        date="",
        tube=tube,
        clr_mm=die_clr_mm,
        clr_sd_mm=None,
        used_per_deg_mm=math.radians(die_clr_mm),
        used_per_deg_sd_mm=None,
        start_offset_mm=0.0,
        start_offset_sd_mm=None,
        prior=("the die's own radius, tube used as its centreline arc, no start offset, no springback",),
        calibrated=False,
    )


def match_calibration(
    calibrations: Iterable[Calibration], *, tube: TubeSize, die: str, batch: str | None = None
) -> Calibration:
    """The newest calibration for that die and tube, and for that batch where one is named.

    Raises:
        UserError: `CAL-010` naming what is missing.
    """
    real = [calibration for calibration in calibrations if calibration.calibrated]
    of_die = [calibration for calibration in real if calibration.die == die]
    of_tube = [calibration for calibration in of_die if same_tube(calibration.tube, tube)]
    of_batch = [calibration for calibration in of_tube if batch is None or calibration.batch == batch]
    if of_batch:
        return max(of_batch, key=lambda calibration: calibration.date)
    if of_tube:
        others = ", ".join(sorted({calibration.batch or "no batch named" for calibration in of_tube}))
        missing = f"die '{die}' with tube {tube} has none for batch '{batch}', only for {others}"
    elif of_die:
        others = ", ".join(sorted({str(calibration.tube) for calibration in of_die}))
        missing = f"die '{die}' has none for tube {tube}, only for {others}"
    else:
        same = sorted(
            {calibration.die or "no die named" for calibration in real if same_tube(calibration.tube, tube)}
        )
        others = f"; with that tube there is one for {', '.join(same)}" if same else ""
        missing = f"there is none for die '{die}' (tube {tube}){others}"
    raise UserError(
        Finding(
            code="CAL-010",
            severity=Severity.STOP,
            sentence=f"No calibration: {missing}.",
            todo=f'Put die = "{die}" in the sample file if that is the one, or bend samples with this die, tube and '
            "batch: a 90 with measured legs, a U, and two or more angles read under load and after release.",
            objects=(die, str(tube)),
        )
    )


def same_tube(first: TubeSize, second: TubeSize) -> bool:
    """Whether two sizes are the same, whichever unit they were typed in."""
    return (
        abs(first.od_mm - second.od_mm) <= SAME_TUBE_MM
        and abs(first.wall_mm - second.wall_mm) <= SAME_TUBE_MM
    )
