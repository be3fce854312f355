"""Typed tape distances held against what can be, before anything is estimated from them."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from hoopwright.bars import Bar, BendTable
from hoopwright.bender.as_bent.bent_bar import laid_on, no_errors, table_with
from hoopwright.bender.as_bent.distances import BarDistance
from hoopwright.findings import Finding, Severity, UserError

BEYOND_ANY_BEND_DEG = 10.0
_SLACK_MM = 5.0
_INCH_MM = 25.4


@dataclass(frozen=True, kw_only=True)
class TapeEntry:
    """A distance as it was taken.

    Args:
        key: Its short name.
        tape_mm: What the tape read.
    """

    key: str
    tape_mm: float


def chosen(
    bar: Bar, table: BendTable, entries: Sequence[TapeEntry], distances: Sequence[BarDistance]
) -> tuple[BarDistance, ...]:
    """The distance that each entry names, in the order of the entries.

    Raises:
        UserError: `ASBENT-001` without any entry, for an unknown name and for one that is typed twice; `ASBENT-003`
            for a value that no bend of this bar could make.
    """
    known = {distance.key.lower(): distance for distance in distances}
    names = [" ".join(entry.key.lower().split()) for entry in entries]
    unknown = [entry.key for entry, name in zip(entries, names, strict=True) if name not in known]
    twice = sorted({name for name in names if names.count(name) > 1})
    if not entries or unknown or twice:
        raise _no_such_name(bar, unknown, twice, [distance.key for distance in distances])
    found = tuple(known[name] for name in names)
    stops = [
        stop
        for entry, distance in zip(entries, found, strict=True)
        if (stop := _impossible(bar, table, entry, distance)) is not None
    ]
    if stops:
        raise UserError(*stops)
    return found


def _impossible(bar: Bar, table: BendTable, entry: TapeEntry, distance: BarDistance) -> Finding | None:
    drawn = distance.measure(bar)
    least, most = range_mm(bar, table, distance)
    if math.isfinite(entry.tape_mm) and least <= entry.tape_mm <= most:
        return None
    value, hint = entry.tape_mm, "Measure it again, between the places that the sheet names."
    if least <= value * _INCH_MM <= most:
        hint = f'It would fit in inches: type {value:g}".'
    elif least <= value / _INCH_MM <= most:
        hint = f"It would fit in mm: type {value / _INCH_MM:g}."
    elif least <= value * 10.0 <= most:
        hint = f"It would fit in cm: type {value:g} cm."
    return Finding(
        code="ASBENT-003",
        severity=Severity.STOP,
        sentence=f"Bar {bar.name}: '{distance.key}' was typed as {value:.1f} mm; drawn it is {drawn:.1f} mm, and with "
        f"every bend off by {BEYOND_ANY_BEND_DEG:g}° it would be between {least:.0f} and {most:.0f} mm.",
        todo=hint,
        objects=(bar.name, distance.key),
        measured=value if math.isfinite(value) else None,
        limit=most if value > most else least,
        unit="mm",
    )


def range_mm(bar: Bar, table: BendTable, distance: BarDistance) -> tuple[float, float]:
    """What a distance could be with each bend off by the limit, the changes of all bends added up."""
    drawn_mm = distance.measure(bar)
    less, more = drawn_mm - _SLACK_MM, drawn_mm + _SLACK_MM
    base = no_errors(table)
    for index, angle in enumerate(table.angles_deg):
        changes = [0.0]
        for off in (-min(BEYOND_ANY_BEND_DEG, angle), BEYOND_ANY_BEND_DEG):
            angles = np.zeros(len(table.angles_deg))
            angles[index] = off
            try:
                made = table_with(table, replace(base, angles_deg=tuple(map(float, angles))))
                changes.append(distance.measure(laid_on(bar, made)) - drawn_mm)
            except (UserError, ValueError, KeyError):
                # so far the bend cannot go; the other direction bounds it
                continue
        reach = max(map(abs, changes))
        less, more = less - reach, more + reach
    return max(0.0, less), more


def _no_such_name(bar: Bar, unknown: Sequence[str], twice: Sequence[str], known: Sequence[str]) -> UserError:
    if unknown:
        what = f"'{unknown[0]}' is no distance of bar {bar.name}"
    elif twice:
        what = f"'{twice[0]}' of bar {bar.name} was typed twice"
    else:
        what = f"no distance of bar {bar.name} was typed"
    return UserError(
        Finding(
            code="ASBENT-001",
            severity=Severity.STOP,
            sentence=f"{what[0].upper()}{what[1:]}.",
            todo=f"Type each at most once: {', '.join(known)}.",
            objects=(bar.name, *unknown, *twice),
        )
    )
