"""The bar from what was read on each released bend."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.bars import Bar, bend_table
from hoopwright.bender.as_bent.bent_bar import BendErrors, TakenFrom, bar_with
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.geometry import wrap_deg

GAUGE_SD_DEG = 0.1
"""A digital gauge held on two legs; common practice, no source."""
ROTATION_SD_DEG = 0.3
FARTHEST_OFF_DEG = 30.0


@dataclass(frozen=True, kw_only=True)
class BendReading:
    """What was read on one bend after release.

    Args:
        bend: Its number from end A, from 1.
        angle_deg: Its angle; None where it was not read.
        rotation_deg: Turn of its plane against the bend before it; None where it was not read.
    """

    bend: int
    angle_deg: float | None = None
    rotation_deg: float | None = None


@dataclass(frozen=True, eq=False, kw_only=True)
class ReadBar:
    """A bar as bent, from readings.

    Args:
        bar: The bar, where the drawn one lies.
        errors: How its bends came out, less the sheet.
        node_sds_mm: Standard deviation of each node, all directions together.
        angle_sds_deg: Of each angle.
        findings: Bends that were not read.
    """

    bar: Bar
    errors: BendErrors
    node_sds_mm: tuple[float, ...]
    angle_sds_deg: tuple[float, ...]
    findings: tuple[Finding, ...]


def bar_from_readings(
    bar: Bar,
    readings: Sequence[BendReading],
    *,
    taken_from: Sequence[TakenFrom] = (),
    unread_sd_deg: float = 1.0,
) -> ReadBar:
    """The bar that the readings say; a bend that was not read is taken as on the sheet.

    Args:
        bar: As drawn, with its finished radius.
        readings: At most one for each bend.
        taken_from: Which straight gives the tube of each bend; see `bent_bar.table_with`.
        unread_sd_deg: Scatter of a bend that was not read.

    Raises:
        UserError: `ASBENT-006` for a bend that is not there, read twice, or off by more than a gauge could be.
    """
    table = bend_table(bar)
    given = _by_bend(bar, readings)
    angles, angle_sds = np.zeros(bar.bend_count), np.full(bar.bend_count, unread_sd_deg)
    turns, turn_sds = np.zeros(bar.bend_count), np.full(bar.bend_count, ROTATION_SD_DEG)
    for bend, reading in given.items():
        if reading.angle_deg is not None:
            angles[bend - 1] = _off(bar, bend, reading.angle_deg, table.angles_deg[bend - 1], "angle")
            angle_sds[bend - 1] = GAUGE_SD_DEG
        if reading.rotation_deg is not None and bend > 1:
            turns[bend - 1] = _off(bar, bend, reading.rotation_deg, table.rotations_deg[bend - 1], "rotation")
    turn_sds[:1] = 0.0
    errors = _errors(angles, turns)
    made = bar_with(bar, errors, taken_from)
    sds = _node_sds(bar, made, angles, turns, angle_sds, turn_sds, taken_from)
    return ReadBar(
        bar=made,
        errors=errors,
        node_sds_mm=sds,
        angle_sds_deg=tuple(map(float, angle_sds)),
        findings=_unread(bar, given, unread_sd_deg),
    )


def _errors(angles: NDArray[np.float64], turns: NDArray[np.float64]) -> BendErrors:
    return BendErrors(
        angles_deg=tuple(map(float, angles)),
        rotations_deg=tuple(map(float, turns)),
        straights_mm=(0.0,) * (len(angles) + 1),
    )


def _node_sds(
    bar: Bar,
    made: Bar,
    angles: NDArray[np.float64],
    turns: NDArray[np.float64],
    angle_sds: NDArray[np.float64],
    turn_sds: NDArray[np.float64],
    taken_from: Sequence[TakenFrom],
) -> tuple[float, ...]:
    """First order, each reading on its own: the nodes moved by one standard deviation of each."""
    total = np.zeros(len(made.nodes))
    for which, sds in ((0, angle_sds), (1, turn_sds)):
        for index, sd in enumerate(sds):
            if sd == 0.0:
                continue
            moved = [angles.copy(), turns.copy()]
            moved[which][index] += sd
            other = bar_with(bar, _errors(*moved), taken_from)
            total += ((other.nodes - made.nodes) ** 2).sum(axis=1)
    return tuple(float(sd) for sd in np.sqrt(total))


def _by_bend(bar: Bar, readings: Sequence[BendReading]) -> Mapping[int, BendReading]:
    given: dict[int, BendReading] = {}
    for reading in readings:
        if not 1 <= reading.bend <= bar.bend_count:
            raise _refuse(
                bar,
                f"there is no bend {reading.bend}; the bar has {bar.bend_count}",
                "Count from 1 at end A.",
            )
        if reading.bend in given:
            raise _refuse(bar, f"bend {reading.bend} is there twice", "Leave the reading that stands.")
        given[reading.bend] = reading
    if not any(one.angle_deg is not None or one.rotation_deg is not None for one in given.values()):
        raise _refuse(bar, "nothing was read on any bend", "Give the angle of at least one bend.")
    return given


def _off(bar: Bar, bend: int, read_deg: float, drawn_deg: float, what: str) -> float:
    off = wrap_deg(read_deg - drawn_deg) if what == "rotation" else read_deg - drawn_deg
    if math.isfinite(read_deg) and abs(off) <= FARTHEST_OFF_DEG:
        return off
    raise _refuse(
        bar,
        f"the {what} of bend {bend} was read as {read_deg:g}°, {abs(off):.0f}° from the {drawn_deg:.1f}° of the sheet",
        "Give the change of direction, not the angle between the legs, with the sign of the sheet."
        if math.isfinite(off)
        else "Type degrees.",
    )


def _unread(bar: Bar, given: Mapping[int, BendReading], sd_deg: float) -> tuple[Finding, ...]:
    missing = [
        bend for bend in range(1, bar.bend_count + 1) if bend not in given or given[bend].angle_deg is None
    ]
    if not missing:
        return ()
    names = ", ".join(map(str, missing))
    return (
        Finding(
            code="ASBENT-013",
            sentence=f"Bar {bar.name}: the angle of bend {names} was not read; it is taken as on the sheet, "
            f"± {sd_deg:g}°.",
            todo="Read it with the gauge.",
            objects=(bar.name,),
            measured=sd_deg,
            unit="deg",
        ),
    )


def _refuse(bar: Bar, what: str, todo: str) -> UserError:
    return UserError(
        Finding(
            code="ASBENT-006",
            severity=Severity.STOP,
            sentence=f"Bar {bar.name}: {what}.",
            todo=todo,
            objects=(bar.name,),
        )
    )
