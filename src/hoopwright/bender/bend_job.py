"""From what was done at the bender (marks, released angles, turns) to the bar that comes of it."""

import math
from dataclasses import dataclass

import numpy as np

from hoopwright.bars import Bar, BendTable, bend_table
from hoopwright.bars.many import BentTables, Many
from hoopwright.bender.blank import lay_out_blank
from hoopwright.bender.calibration import BendNumbers
from hoopwright.bender.order import Order, check_order
from hoopwright.geometry import Vector, wrap_deg

SMALLEST_BEND_DEG = 1.0
"""Under this a bend has no sure plane; same limit as for nearly straight bends."""


@dataclass(frozen=True, kw_only=True)
class BendJob:
    """One bar on one blank at one bender: what stays the same while it is bent.

    Args:
        bar: As drawn, with the radius that the calibration found.
        feeds: Order of bending.
        numbers: Radius, tube used per degree, start offset.
        blank_mm: Length that was cut.
        trim_a_mm: Tube planned beyond the drawn end A.
        trim_b_mm: The same at end B.
        clamp_mm: Straight that the clamp needs.
        smallest_deg: Smallest bend that is made.
        greatest_deg: Greatest finished angle that the die reaches.
    """

    bar: Bar
    feeds: Order
    numbers: BendNumbers
    blank_mm: float
    trim_a_mm: float
    trim_b_mm: float
    clamp_mm: float = 0.0
    smallest_deg: float = SMALLEST_BEND_DEG
    greatest_deg: float = 175.0


@dataclass(frozen=True, kw_only=True)
class BendSettings:
    """What makes the bends of one bar, each by its number from end A.

    Args:
        angles_deg: Angle of each finished bend.
        totals_deg: Turn of each bend's plane against that of bend 1.
        marks_mm: Mark at the die face, from the end of the tube at A, trim included.
    """

    angles_deg: tuple[float, ...]
    totals_deg: tuple[float, ...]
    marks_mm: tuple[float, ...]


def plan_job(
    bar: Bar,
    numbers: BendNumbers,
    feeds: Order,
    *,
    trim_a_mm: float = 0.0,
    trim_b_mm: float = 0.0,
    clamp_mm: float = 0.0,
    greatest_deg: float = 175.0,
) -> tuple[BendJob, BendSettings]:
    """A job and the settings that make the drawn bar, as its sheet has them.

    Args:
        bar: As drawn, with its finished radius.
        numbers: Of the die with this tube.
        feeds: Order of bending.
        trim_a_mm: Tube left beyond end A.
        trim_b_mm: Tube left beyond end B.
        clamp_mm: Straight that the clamp needs.
        greatest_deg: Greatest finished angle that the die reaches.

    Raises:
        UserError: `SHEET-003` for the order, `BAR-...` for a bar that cannot be.
    """
    check_order(feeds, bar.bend_count)
    table = bend_table(bar)
    layout = lay_out_blank(table, numbers, trim_a_mm=trim_a_mm, trim_b_mm=trim_b_mm)
    leads = {feed.bend: feed.fed_from for feed in feeds}
    both = enumerate(zip(layout.marks_from_a_mm, layout.marks_from_b_mm, strict=True), start=1)
    job = BendJob(
        bar=bar,
        feeds=tuple(feeds),
        numbers=numbers,
        blank_mm=layout.blank_mm,
        trim_a_mm=trim_a_mm,
        trim_b_mm=trim_b_mm,
        clamp_mm=clamp_mm,
        greatest_deg=greatest_deg,
    )
    settings = BendSettings(
        angles_deg=table.angles_deg,
        totals_deg=table.rotations_total_deg,
        marks_mm=tuple(from_a if leads[bend] == "A" else from_b for bend, (from_a, from_b) in both),
    )
    return job, settings


def straights_mm(
    job: BendJob,
    angles_deg: Many,
    marks_mm: Many,
    blank_mm: Many | float,
    numbers: tuple[Many | float, Many | float] | None = None,
) -> Many:
    """Straights from one end of the tube to the other, for many bars; linear in every argument.

    Fed from A a bend starts past its mark by the start offset; fed from B it ends before its mark by it, so
    that an angle which is over takes tube from the side of the tail.

    Args:
        job: The job.
        angles_deg: Shape (..., n).
        marks_mm: Shape (..., n).
        blank_mm: Length of the tube, a number or shape (...).
        numbers: Tube used per degree and start offset as they really are, numbers or shape (..., 1); those of
            the job without.

    Returns:
        Shape (..., n + 1), trims in the first and last; negative where two bends overlap.
    """
    per_deg, offset = numbers or (job.numbers.used_per_deg_mm, job.numbers.start_offset_mm)
    used = per_deg * angles_deg
    by_a = fed_from_a(job)
    starts = np.where(by_a, marks_mm + offset, marks_mm - offset - used)
    ends = starts + used
    before = np.concatenate([np.zeros_like(starts[..., :1]), ends], axis=-1)
    blank = np.broadcast_to(np.asarray(blank_mm, dtype=np.float64)[..., None], (*starts.shape[:-1], 1))
    lengths: Many = np.concatenate([starts, blank], axis=-1) - before
    return lengths


def fed_from_a(job: BendJob) -> np.ndarray:
    """Whether each bend, by its number from end A, is made with end A leading."""
    by_a = np.zeros(len(job.feeds), dtype=bool)
    for feed in job.feeds:
        by_a[feed.bend - 1] = feed.fed_from == "A"
    return by_a


def tube_tables(
    job: BendJob, angles_deg: Many, totals_deg: Many, marks_mm: Many, blank_mm: Many | float | None = None
) -> BentTables:
    """Bend tables from one end of the tube to the other, shapes as in `straights_mm`, at least two axes."""
    blank = job.blank_mm if blank_mm is None else blank_mm
    turns = np.diff(totals_deg, axis=-1, prepend=totals_deg[..., :1])
    return BentTables(
        straights_mm=straights_mm(job, angles_deg, marks_mm, blank),
        rotations_deg=turns,
        angles_deg=angles_deg,
        clr_mm=job.bar.clr_mm,
    )


def cut_tables(tables: BentTables, trim_a_mm: Vector | float, trim_b_mm: Vector | float) -> BentTables:
    """The same bars with their trims cut off; a number, or one for each bar."""
    straights = tables.straights_mm.copy()
    straights[:, 0] -= trim_a_mm
    straights[:, -1] -= trim_b_mm
    return BentTables(
        straights_mm=straights,
        rotations_deg=tables.rotations_deg,
        angles_deg=tables.angles_deg,
        clr_mm=tables.clr_mm,
    )


def bent_table(job: BendJob, settings: BendSettings, trim_a_mm: float, trim_b_mm: float) -> BendTable:
    """The bend table of the bar that settings make, with its trims cut off."""
    tables = cut_tables(
        tube_tables(
            job,
            np.array([settings.angles_deg]),
            np.array([settings.totals_deg]),
            np.array([settings.marks_mm]),
        ),
        trim_a_mm,
        trim_b_mm,
    )
    turns = tuple(wrap_deg(float(turn)) for turn in tables.rotations_deg[0])
    return BendTable(
        straights_mm=tuple(float(straight) for straight in tables.straights_mm[0]),
        rotations_deg=turns,
        angles_deg=settings.angles_deg,
        clr_mm=job.bar.clr_mm,
    )


def lies_flat(totals_deg: Vector, within_deg: float = 0.01) -> bool:
    """Whether every bend plane is that of bend 1, either way up."""
    return all(
        math.isclose(abs(wrap_deg(float(total)) % 180.0 - 90.0), 90.0, abs_tol=within_deg)
        for total in np.atleast_1d(totals_deg)
    )
