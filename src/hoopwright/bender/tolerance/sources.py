"""Where a bar's errors come from, as independent numbers of standard deviation 1."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

from hoopwright.bars.many import BentTables, Many
from hoopwright.bender.bend_job import BendJob, BendSettings, cut_tables, straights_mm
from hoopwright.bender.calibration import Calibration
from hoopwright.bender.poses import reference_bend
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.geometry import STRAIGHT_THROUGH_DEG, Vector

Kind = Literal["angle", "rotation", "start", "length", "calibration", "springback line"]

USUAL = "common practice, no source"
_MOST = {
    "angle_sd_deg": (5.0, "deg"),
    "rotation_sd_deg": (10.0, "deg"),
    "start_sd_mm": (25.0, "mm"),
    "length_sd_mm": (25.0, "mm"),
}


@dataclass(frozen=True, kw_only=True)
class HandScatter:
    """How far a person's bends lie off what was wanted; standard deviations.

    Args:
        angle_sd_deg: Of each finished bend angle.
        rotation_sd_deg: Of each turn of the tube between two bends.
        start_sd_mm: Of where each bend starts: the mark, and the tube at the mark.
        length_sd_mm: Of the length to which the blank is cut.
    """

    angle_sd_deg: float = 0.25
    rotation_sd_deg: float = 0.5
    start_sd_mm: float = 1.0
    length_sd_mm: float = 1.0


@dataclass(frozen=True, kw_only=True)
class Source:
    """One independent error.

    Args:
        kind: What is off.
        bend: Number of the bend from end A; None for what all bends share.
    """

    kind: Kind
    bend: int | None


@dataclass(frozen=True, eq=False, kw_only=True)
class Sources:
    """All errors of a bar, and what each does to the numbers that it is bent with.

    Args:
        named: The errors.
        effects: Shape (errors, 3 n + 4): angle, turn and mark of each of n bends, then length of the blank,
            radius, start offset and tube used per degree, when an error is one standard deviation.
    """

    named: tuple[Source, ...]
    effects: Many


def check_hand(scatter: HandScatter) -> tuple[Finding, ...]:
    """`TOL-001` for every scatter that is no number, negative, or more than any hand has."""
    return tuple(
        Finding(
            code="TOL-001",
            severity=Severity.STOP,
            sentence=f"The {name.partition('_')[0]} scatter of {sd:g} {unit} is not between 0 and {most:g} {unit}.",
            todo="Give one standard deviation: about a third of the worst error in a hundred.",
            objects=(f"{name.partition('_')[0]} scatter",),
            measured=sd if math.isfinite(sd) else None,
            limit=most,
            unit=unit,
        )
        for name, (most, unit) in _MOST.items()
        if not 0.0 <= (sd := getattr(scatter, name)) <= most
    )


def error_sources(
    job: BendJob, settings: BendSettings, scatter: HandScatter, calibration: Calibration | None = None
) -> Sources:
    """The errors of a bar.

    The first bend made has no turn before it, and a bend that is straight through has no error.

    Args:
        job: The job.
        settings: As wanted.
        scatter: The person's.
        calibration: Adds its own uncertainty, which all bends of the bar share.

    Raises:
        UserError: `TOL-001` for a scatter that cannot be.
    """
    stops = check_hand(scatter)
    if stops:
        raise UserError(*stops)
    bends = len(job.feeds)
    named: list[Source] = []
    rows: list[Vector] = []
    for source, row in (*_of_bends(job, settings, scatter), *_shared(settings, calibration, bends)):
        named.append(source)
        rows.append(row)
    cut = np.zeros(3 * bends + 4)
    cut[3 * bends] = scatter.length_sd_mm
    return Sources(named=(*named, Source(kind="length", bend=None)), effects=np.array([*rows, cut]))


def tables_with(job: BendJob, settings: BendSettings, sources: Sources, errors: Many) -> BentTables:
    """Bend tables of bars with errors of shape (m, errors), in standard deviations; trims cut off as planned."""
    bends, off = len(job.feeds), errors @ sources.effects
    angles = np.array(settings.angles_deg) + off[:, :bends]
    totals = np.array(settings.totals_deg) + _accumulated(job, off[:, bends : 2 * bends])
    marks = np.array(settings.marks_mm) + off[:, 2 * bends : 3 * bends]
    blank, radius, offset, used = (off[:, 3 * bends + k] for k in range(4))
    numbers = job.numbers
    true = (numbers.used_per_deg_mm + used[:, None], numbers.start_offset_mm + offset[:, None])
    tube = BentTables(
        straights_mm=straights_mm(job, angles, marks, job.blank_mm + blank, true),
        rotations_deg=np.diff(totals, axis=1, prepend=totals[:, :1]),
        angles_deg=angles,
        clr_mm=numbers.clr_mm + radius,
    )
    return cut_tables(tube, job.trim_a_mm, job.trim_b_mm)


def _of_bends(job: BendJob, settings: BendSettings, scatter: HandScatter) -> Iterator[tuple[Source, Vector]]:
    bends = len(job.feeds)
    kinds: tuple[tuple[Kind, float], ...] = (
        ("angle", scatter.angle_sd_deg),
        ("rotation", scatter.rotation_sd_deg),
        ("start", scatter.start_sd_mm),
    )
    for bend in range(1, bends + 1):
        if settings.angles_deg[bend - 1] < STRAIGHT_THROUGH_DEG:
            continue
        for place, (kind, sd) in enumerate(kinds):
            if kind == "rotation" and bend == job.feeds[0].bend:
                continue
            row = np.zeros(3 * bends + 4)
            row[place * bends + bend - 1] = sd
            yield Source(kind=kind, bend=bend), row


def _shared(
    settings: BendSettings, calibration: Calibration | None, bends: int
) -> Iterator[tuple[Source, Vector]]:
    """The calibration's covariances, taken apart into independent errors."""
    if calibration is None:
        return
    if calibration.covariance is not None:
        for root in _roots(np.array(calibration.covariance)):
            row = np.zeros(3 * bends + 4)
            row[3 * bends + 1 :] = root
            yield Source(kind="calibration", bend=None), row
    line = calibration.springback
    if line is not None:
        angles = np.array(settings.angles_deg)
        commands = (angles + line.constant_deg) / (1.0 - line.per_command_deg)
        for constant, slope in _roots(np.array(line.covariance)):
            row = np.zeros(3 * bends + 4)
            row[:bends] = -(constant + slope * commands)
            yield Source(kind="springback line", bend=None), row


def _roots(covariance: Many) -> Many:
    """Rows r with sum of outer(r, r) = covariance; those of nothing are left out."""
    sizes, axes = np.linalg.eigh(covariance)
    rows = (axes * np.sqrt(np.maximum(sizes, 0.0))).T
    kept: Many = rows[sizes > 1e-15 * max(float(sizes.max()), 1e-300)]
    return kept


def _accumulated(job: BendJob, turns_deg: Many) -> Many:
    """Errors of planes against bend 1 from errors of turns, each counted from the bend that its turn counts from."""
    totals = np.zeros_like(turns_deg)
    for place, feed in enumerate(job.feeds):
        reference, _ = reference_bend(feed, [earlier.bend for earlier in job.feeds[:place]])
        base = 0.0 if reference is None else totals[:, reference - 1]
        totals[:, feed.bend - 1] = base + turns_deg[:, feed.bend - 1]
    return totals
