"""Sample bends: what was bent and measured to get to know one die, one tube and one batch."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.tubes import TubeSize

DEFAULT_TAPE_SD_MM = 0.5
"""How well a length on a sample is read; common practice, no source."""
DEFAULT_GAUGE_SD_DEG = 0.25
"""How well an angle is read; common practice, no source."""
LEG_SAMPLE_DEG = 90.0
LEG_SAMPLE_BAND_DEG = 0.5
LONGEST_MM = 100_000.0
LARGEST_COMMAND_DEG = 200.0
HARDEST_YIELD_MPA = 2_000.0


@dataclass(frozen=True, kw_only=True)
class AngleSample:
    """One bend read under load and after release.

    Args:
        command_deg: What the gauge read under load.
        released_deg: Change of direction that was left after release.
    """

    command_deg: float
    released_deg: float


@dataclass(frozen=True, kw_only=True)
class LegSample:
    """A 90 degree bend whose legs were measured, each from its end to the far side of the other leg.

    Args:
        cut_mm: Length before bending.
        mark_mm: From end A, which leads, to the mark that sat at the die face.
        leg_a_mm: End A to the far side of the other leg.
        leg_b_mm: End B to the far side of the other leg.
        released_deg: Angle after release; 90 within 0.5.
    """

    cut_mm: float
    mark_mm: float
    leg_a_mm: float
    leg_b_mm: float
    released_deg: float = LEG_SAMPLE_DEG


@dataclass(frozen=True, kw_only=True)
class USample:
    """Two parallel legs.

    Args:
        outside_mm: Over both legs, outside to outside.
    """

    outside_mm: float


@dataclass(frozen=True, kw_only=True)
class PlainNumbers:
    """Numbers known already; each may be missing.

    Args:
        clr_mm: Centreline radius of the finished bend.
        start_offset_mm: From the mark at the die face to the start of the bend.
        used_per_deg_mm: Tube used per degree of the finished bend.
        constant_deg: Constant part of the springback.
        per_command_deg: Springback per degree of command.
    """

    clr_mm: float | None = None
    start_offset_mm: float | None = None
    used_per_deg_mm: float | None = None
    constant_deg: float | None = None
    per_command_deg: float | None = None


@dataclass(frozen=True, kw_only=True)
class Samples:
    """All sample bends of one die with one tube.

    Args:
        tube: Tube size.
        angles: Bends read under load and after release.
        legs: 90 degree bends with measured legs.
        us: U bends.
        plains: Numbers known already.
        name: What the calibration shall be called.
        die: Name of the die.
        batch: Tube batch or heat number.
        date: Day of the samples, ISO 8601.
        gauge_sd_deg: Standard deviation of an angle reading.
        tape_sd_mm: Standard deviation of a length reading.
        yield_mpa: Yield stress of the batch, from its certificate, if known.
        steel: Family of steel, if known.

    Raises:
        UserError: `CAL-005` to `CAL-008` for numbers that cannot be, naming the sample.
    """

    tube: TubeSize
    angles: tuple[AngleSample, ...] = ()
    legs: tuple[LegSample, ...] = ()
    us: tuple[USample, ...] = ()
    plains: tuple[PlainNumbers, ...] = ()
    name: str = ""
    die: str = ""
    batch: str = ""
    date: str = ""
    gauge_sd_deg: float = DEFAULT_GAUGE_SD_DEG
    tape_sd_mm: float = DEFAULT_TAPE_SD_MM
    yield_mpa: float | None = None
    steel: str = ""

    def __post_init__(self) -> None:
        problems = (*_no_sample(self), *_scatter(self), *_angles(self), *_legs(self), *_us(self))
        problems = (*problems, *_plains(self))
        if problems:
            raise UserError(*problems)


def _no_sample(samples: Samples) -> Iterator[Finding]:
    if not (samples.angles or samples.legs or samples.us or samples.plains):
        yield Finding(
            code="CAL-008",
            severity=Severity.STOP,
            sentence="There is no sample bend at all.",
            todo="Bend a 90 and measure both legs, bend a U and measure over it, and read two or more angles "
            "under load and after release: [[leg]], [[u]], [[angle]].",
        )


def _scatter(samples: Samples) -> Iterator[Finding]:
    yield from _range("the samples", "gauge_sd_deg", samples.gauge_sd_deg, 10.0, "deg")
    yield from _range("the samples", "tape_sd_mm", samples.tape_sd_mm, 50.0, "mm")
    if samples.yield_mpa is not None:
        yield from _range("the samples", "yield_mpa", samples.yield_mpa, HARDEST_YIELD_MPA, "MPa")


def _angles(samples: Samples) -> Iterator[Finding]:
    for number, sample in enumerate(samples.angles, start=1):
        where = f"angle sample {number}"
        broken = [
            *_range(where, "command_deg", sample.command_deg, LARGEST_COMMAND_DEG, "deg"),
            *_range(where, "released_deg", sample.released_deg, LARGEST_COMMAND_DEG, "deg"),
        ]
        yield from broken
        if not broken and sample.released_deg > sample.command_deg:
            yield Finding(
                code="CAL-007",
                severity=Severity.STOP,
                sentence=f"{_upper(where)}: {sample.released_deg:g}° after release is more than the "
                f"{sample.command_deg:g}° under load; a tube springs back, never on.",
                todo="Are the two numbers exchanged? Was the gauge zeroed before the slack was taken up?",
                objects=(where,),
                measured=sample.command_deg - sample.released_deg,
                limit=0.0,
                unit="deg",
            )


def _legs(samples: Samples) -> Iterator[Finding]:
    for number, sample in enumerate(samples.legs, start=1):
        where = f"leg sample {number}"
        lengths = {key: getattr(sample, key) for key in ("cut_mm", "mark_mm", "leg_a_mm", "leg_b_mm")}
        broken = [f for key, value in lengths.items() for f in _range(where, key, value, LONGEST_MM, "mm")]
        yield from broken
        if not abs(sample.released_deg - LEG_SAMPLE_DEG) <= LEG_SAMPLE_BAND_DEG:
            yield Finding(
                code="CAL-006",
                severity=Severity.STOP,
                sentence=f"{_upper(where)} is at {sample.released_deg:g}°; the legs are defined for "
                f"{LEG_SAMPLE_DEG:g}° within {LEG_SAMPLE_BAND_DEG:g}°.",
                todo="Bring the sample to 90° and measure the legs again, or leave it out.",
                objects=(where,),
                measured=sample.released_deg,
                limit=LEG_SAMPLE_DEG,
                unit="deg",
            )
        if broken:
            continue
        for key in ("mark_mm", "leg_a_mm", "leg_b_mm"):
            if lengths[key] >= sample.cut_mm:
                yield _impossible(
                    where, key, lengths[key], sample.cut_mm, "mm", "it is beyond the cut length"
                )


def _us(samples: Samples) -> Iterator[Finding]:
    for number, sample in enumerate(samples.us, start=1):
        where = f"U sample {number}"
        broken = [*_range(where, "outside_mm", sample.outside_mm, LONGEST_MM, "mm")]
        yield from broken
        least = 2.0 * samples.tube.od_mm
        if not broken and sample.outside_mm <= least:
            yield _impossible(
                where, "outside_mm", sample.outside_mm, least, "mm", "two legs side by side are wider"
            )


def _plains(samples: Samples) -> Iterator[Finding]:
    for number, plain in enumerate(samples.plains, start=1):
        where = f"plain numbers {number}"
        if all(value is None for value in vars(plain).values()):
            yield Finding(
                code="CAL-008",
                severity=Severity.STOP,
                sentence=f"{_upper(where)} hold no number.",
                todo=f"Give at least one of {', '.join(vars(plain))}.",
                objects=(where,),
            )
        for key, unit, most in (("clr_mm", "mm", LONGEST_MM), ("used_per_deg_mm", "mm/deg", 1000.0)):
            value = getattr(plain, key)
            if value is not None:
                yield from _range(where, key, value, most, unit)
        for key, unit, most in (
            ("start_offset_mm", "mm", 1000.0),
            ("constant_deg", "deg", 30.0),
            ("per_command_deg", "deg/deg", 0.5),
        ):
            value = getattr(plain, key)
            if value is not None and not abs(value) <= most:
                yield _impossible(where, key, value, most, unit, "that is out of all reason")
        if plain.clr_mm is not None and plain.clr_mm <= samples.tube.od_mm / 2.0:
            least = samples.tube.od_mm / 2.0
            yield _impossible(where, "clr_mm", plain.clr_mm, least, "mm", "the radius is inside the tube")


def _range(where: str, key: str, value: float, most: float, unit: str) -> Iterator[Finding]:
    if not math.isfinite(value):
        yield _impossible(where, key, value, most, unit, "it is not a number")
    elif value <= 0.0:
        yield _impossible(where, key, value, 0.0, unit, "it must be more than 0")
    elif value > most:
        yield _impossible(where, key, value, most, unit, f"it must be at most {most:g} {unit}")


def _impossible(where: str, key: str, value: float, limit: float, unit: str, why: str) -> Finding:
    return Finding(
        code="CAL-005",
        severity=Severity.STOP,
        sentence=f"{_upper(where)}: {key} = {value:g} {unit} cannot be: {why} (limit {limit:g} {unit}).",
        todo="Check the number and its unit; bare lengths are mm.",
        objects=(where, key),
        measured=value if math.isfinite(value) else None,
        limit=limit,
        unit=unit,
    )


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]
