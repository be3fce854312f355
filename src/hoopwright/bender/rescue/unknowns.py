"""The numbers that are still open while a bar is bent, and where they put the bar."""

from dataclasses import dataclass

import numpy as np
from scipy.spatial.transform import Rotation

from hoopwright.bars import bend_table
from hoopwright.bars.many import BentTables, Many, bend_all
from hoopwright.bender.bend_job import BendJob, BendSettings, cut_tables, lies_flat, straights_mm, tube_tables
from hoopwright.bender.rescue.goal import Target
from hoopwright.geometry import Vector, best_rigid_motion

_POSE = 6
_TRIMS = 2


@dataclass(frozen=True, eq=False, kw_only=True)
class Open:
    """What is open: bends still to be made, both trims, and how the bar lies in the car.

    The unknowns are, in this order: angles, then (unless the bar stays flat) totals, then marks of the open
    bends; the two trims; a small turn of the whole bar, as mm at half its length; a shift in mm.

    Args:
        job: The job.
        settings: What was done, and for open bends where the search begins.
        bends: Open bends, counted from 0.
        turns: Whether the planes of open bends may turn out of that of bend 1.
        shares: Places along each piece, from the target.
        turn_to_car: Rotation that lays the bar in the car to begin with, shape (3, 3).
        shift_to_car_mm: Shift that goes with it.
        middle_mm: Place that the small turn is about.
        half_mm: Half the bar's length.
    """

    job: BendJob
    settings: BendSettings
    bends: tuple[int, ...]
    turns: bool
    shares: tuple[Vector, ...]
    turn_to_car: Many
    shift_to_car_mm: Vector
    middle_mm: Vector
    half_mm: float

    @property
    def start(self) -> Vector:
        """The unknowns where the search begins."""
        at = list(self.bends)
        parts = [
            np.array(self.settings.angles_deg)[at],
            *([np.array(self.settings.totals_deg)[at]] if self.turns else []),
            np.array(self.settings.marks_mm)[at],
            np.array([self.job.trim_a_mm, self.job.trim_b_mm]),
            np.zeros(_POSE),
        ]
        return np.concatenate(parts)


def open_numbers(job: BendJob, target: Target, settings: BendSettings, bends: tuple[int, ...]) -> Open:
    """What is open when these bends (from 0) are still to be made.

    A bar that is drawn flat and flat so far stays flat: no plane is turned to make up for an angle.
    """
    done = [total for bend, total in enumerate(settings.totals_deg) if bend not in bends]
    drawn_flat = lies_flat(np.array(settings.totals_deg)[list(bends)]) if bends else True
    tables = cut_tables(_tables(job, settings), job.trim_a_mm, job.trim_b_mm)
    laid = bend_all(tables, target.drawn.shares)[0]
    motion = best_rigid_motion(laid, target.drawn.points_mm)
    drawn = target.drawn
    return Open(
        job=job,
        settings=settings,
        bends=bends,
        turns=not (drawn_flat and lies_flat(np.array(done))),
        shares=drawn.shares,
        turn_to_car=motion[0],
        shift_to_car_mm=motion[1],
        middle_mm=drawn.points_mm.mean(axis=0),
        half_mm=float(drawn.along_mm[-1]) / 2.0,
    )


def _tables(job: BendJob, settings: BendSettings) -> BentTables:
    return tube_tables(
        job,
        np.array([settings.angles_deg]),
        np.array([settings.totals_deg]),
        np.array([settings.marks_mm]),
    )


def settings_at(found: Open, unknowns: Vector) -> tuple[BendSettings, float, float]:
    """Settings and both trims for a set of unknowns."""
    angles, totals, marks, trims, _ = _spread(found, unknowns[None])
    settings = BendSettings(
        angles_deg=tuple(float(angle) for angle in angles[0]),
        totals_deg=tuple(float(total) for total in totals[0]),
        marks_mm=tuple(float(mark) for mark in marks[0]),
    )
    return settings, float(trims[0, 0]), float(trims[0, 1])


def places_at(found: Open, unknowns: Many, shares: tuple[Vector, ...] | None = None) -> Many:
    """Places along the bars in the car, for unknowns of shape (n, k): shape (n, p, 3).

    They are those of the target unless other shares are given.
    """
    angles, totals, marks, trims, _ = _spread(found, unknowns)
    tables = cut_tables(tube_tables(found.job, angles, totals, marks), trims[:, 0], trims[:, 1])
    return to_car(found, unknowns, bend_all(tables, shares or found.shares))


def to_car(found: Open, unknowns: Many, points_mm: Many) -> Many:
    """Points of bars as they come from their bend tables, shape (n, p, 3), laid in the car."""
    pose = unknowns[:, -_POSE:]
    turns = Rotation.from_rotvec(pose[:, :3] / found.half_mm).as_matrix()
    laid = points_mm @ found.turn_to_car.T + found.shift_to_car_mm - found.middle_mm
    placed: Many = laid @ np.swapaxes(turns, 1, 2) + found.middle_mm + pose[:, None, 3:]
    return placed


def limits(found: Open) -> tuple[Many, Vector]:
    """Rows and bounds of all that must hold: rows @ unknowns >= bounds. Every limit is linear.

    Straights hold the clamp, angles are within smallest and greatest, marks are on the tube, trims are not
    under 0. What the drawn bar does not hold itself is not asked of another.
    """
    job, count = found.job, len(found.start)
    lengths = _lengths(found, np.vstack([np.zeros(count), np.eye(count)]))
    rows, fixed = (lengths[1:] - lengths[0]).T, lengths[0]
    drawn = np.array(bend_table(job.bar).straights_mm)
    drawn[0], drawn[-1] = drawn[0] + job.trim_a_mm, drawn[-1] + job.trim_b_mm
    wanted = np.concatenate([np.minimum(job.clamp_mm, drawn), [0.0, 0.0]])
    moved = np.abs(rows).max(axis=1) > 0.0
    each, bounds = _simple_limits(found)
    return np.vstack([rows[moved], each]), np.concatenate([(wanted - fixed)[moved], bounds])


def _lengths(found: Open, unknowns: Many) -> Many:
    """Straights of the tube, and the two end straights without trim, shape (n, bends + 3)."""
    angles, _, marks, trims, _ = _spread(found, unknowns)
    straights = straights_mm(found.job, angles, marks, found.job.blank_mm)
    return np.concatenate([straights, straights[:, (0, -1)] - trims], axis=1)


def _simple_limits(found: Open) -> tuple[Many, Vector]:
    """Bounds of single unknowns as rows."""
    job, size, unit = found.job, len(found.bends), np.eye(len(found.start))
    marks_at = size * (2 if found.turns else 1)
    angles, marks = unit[:size], unit[marks_at : marks_at + size]
    trims = unit[-_POSE - _TRIMS : -_POSE]
    smallest = np.minimum(job.smallest_deg, np.array(found.settings.angles_deg)[list(found.bends)])
    rows = np.vstack([angles, -angles, marks, -marks, trims])
    bounds = (smallest, [-job.greatest_deg] * size, [0.0] * size, [-job.blank_mm] * size, [0.0] * _TRIMS)
    return rows, np.concatenate(bounds)


def _spread(found: Open, unknowns: Many) -> tuple[Many, Many, Many, Many, Many]:
    """Angles, totals and marks of every bend, trims and pose, for unknowns of shape (n, k)."""
    rows, size, at = len(unknowns), len(found.bends), list(found.bends)
    every = [
        np.tile(np.array(values, dtype=np.float64), (rows, 1))
        for values in (found.settings.angles_deg, found.settings.totals_deg, found.settings.marks_mm)
    ]
    place = 0
    for values, is_open in zip(every, (True, found.turns, True), strict=True):
        if is_open:
            values[:, at] = unknowns[:, place : place + size]
            place += size
    angles, totals, marks = every
    return angles, totals, marks, unknowns[:, place : place + _TRIMS], unknowns[:, place + _TRIMS :]
