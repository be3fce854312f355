"""Which distance to measure on a bent bar to know best where its end will land."""

import itertools
from dataclasses import dataclass

import numpy as np

from hoopwright.bars.many import BentTables, Many, bend_all
from hoopwright.bender.bend_job import SMALLEST_BEND_DEG, BendJob, BendSettings
from hoopwright.bender.tolerance.sources import Sources, tables_with
from hoopwright.geometry import Vector

TAPE_SD_MM = 1.0
"""Standard deviation of one tape reading; common practice, no source."""
TWIST = "twist: straights 1 and 2 flat on the floor: centre of end B over the floor"
_STEP = 0.01


@dataclass(frozen=True, kw_only=True)
class TapeGain:
    """A distance, and what is known of the far end once it is measured.

    Args:
        name: What to measure, in words.
        drawn_mm: What it is as drawn.
        sd_mm: How far it may be off before it is measured.
        end_before_mm: Usual miss of end B with end A held, before.
        end_after_mm: The same once it is measured.
    """

    name: str
    drawn_mm: float
    sd_mm: float
    end_before_mm: float
    end_after_mm: float


def tape_gains(
    job: BendJob, settings: BendSettings, sources: Sources, end_slopes: Many, tape_sd_mm: float = TAPE_SD_MM
) -> tuple[TapeGain, ...]:
    """Distances that can be taped on the bench, the one that tells most first.

    Args:
        job: The job.
        settings: As wanted.
        sources: The errors.
        end_slopes: How end B moves with end A held, shape (3, errors).
        tape_sd_mm: Standard deviation of a tape reading.

    The errors are normal and small, so that a reading takes its share of the covariance away:
    C - (C d)(C d)' / (d' C d + s2), with C = 1 for errors in standard deviations.
    """
    count = len(sources.named)
    steps = _STEP * np.eye(count)
    names, drawn = _distances(job, tables_with(job, settings, sources, np.zeros((1, count))))
    _, both = _distances(job, tables_with(job, settings, sources, np.concatenate([steps, -steps])))
    rises = (both[:count] - both[count:]) / (2.0 * _STEP)
    before = float(np.sum(end_slopes**2))
    gains = []
    for place, name in enumerate(names):
        rise: Vector = rises[:, place]
        told = end_slopes @ rise
        after = before - float(told @ told) / (float(rise @ rise) + tape_sd_mm**2)
        gains.append(
            TapeGain(
                name=name,
                drawn_mm=float(drawn[0, place]),
                sd_mm=float(np.linalg.norm(rise)),
                end_before_mm=float(np.sqrt(before)),
                end_after_mm=float(np.sqrt(max(0.0, after))),
            )
        )
    return tuple(sorted(gains, key=lambda gain: gain.end_after_mm))


def _distances(job: BendJob, tables: BentTables) -> tuple[tuple[str, ...], Many]:
    """Names, and distances of every bar between its ends and the backs of its bends, shape (m, distances)."""
    names, places = _places(job, tables)
    pairs = list(itertools.combinations(range(len(names)), 2))
    apart = np.stack(
        [np.linalg.norm(places[:, one] - places[:, other], axis=1) for one, other in pairs], axis=1
    )
    told = [f"{names[one]} to {names[other]}" for one, other in pairs]
    first_deg = float(np.abs(tables.angles_deg[:, 0]).min())
    if first_deg < SMALLEST_BEND_DEG:
        return tuple(told), apart
    # bars come with straights 1 and 2 in the plane up = 0
    over = places[:, -1, 2:]
    way = -1.0 if float(over.mean()) < 0.0 else 1.0
    return (*told, TWIST), np.concatenate([apart, way * over + job.bar.tube.od_mm / 2.0], axis=1)


def _places(job: BendJob, tables: BentTables) -> tuple[tuple[str, ...], Many]:
    """Centre of end A, the back of each bend at its middle, centre of end B; shape (m, places, 3)."""
    bends, half = len(job.feeds), job.bar.tube.od_mm / 2.0
    ends, middle = np.array([0.0, 1.0]), np.array([0.0, 0.5, 1.0])
    points = bend_all(tables, tuple(middle if k % 2 else ends for k in range(2 * bends + 1)))
    found, names = [points[:, 0]], ["centre of end A"]
    for bend in range(bends):
        start, back, end = (points[:, 5 * bend + 2 + k] for k in range(3))
        outward = back - (start + end) / 2.0
        size = np.linalg.norm(outward, axis=1, keepdims=True)
        found.append(back + half * outward / np.maximum(size, 1e-9))
        names.append(f"the back of bend {bend + 1}, at its middle")
    return (*names, "centre of end B"), np.stack([*found, points[:, -1]], axis=1)
