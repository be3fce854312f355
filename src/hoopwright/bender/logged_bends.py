"""One bend as it was made: what was wanted, what was commanded, what was left after release."""

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, field

from hoopwright.bender.samples import LARGEST_COMMAND_DEG
from hoopwright.bender.sheet import TubeEnd
from hoopwright.bender.shop_records import ShopDie, TubeBatch, not_of_one, over_reach
from hoopwright.bender.shop_values import (
    choice_faults,
    flag_faults,
    number_faults,
    refuse_if_any,
    text_faults,
)
from hoopwright.findings import Finding, Severity

MOST_BENDS_OF_A_BAR = 999


@dataclass(frozen=True, kw_only=True)
class LoggedBend:
    """A bend that was made. It is never edited; a correction is a further record that names this one.

    Args:
        key: Given by whoever writes it, so that the same reading sent twice is kept once.
        time: When it was made, with its time zone.
        bender: Name of the bender.
        die: Name of the die.
        batch: Name of the tube batch.
        wanted_deg: Angle that the finished bend should have.
        command_deg: What the gauge read under load.
        released_deg: Change of direction that was left after release.
        fed_from: End of the bar that went through the die first.
        project: The project; empty for a trial.
        bar: The bar; empty for a trial.
        bend_number: Which bend of the bar, from 1 at end A.
        rotation_deg: Rotation read before the bend, from the bend before; None where it was not read.
        note: Anything else.
        counts: Whether the reading is to be used; a correction without it takes a reading back.
        corrects: Key of the record whose place it takes; empty for none.
        sequence: Its place in the order of keeping; 0 before it is kept.

    Raises:
        UserError: `SHOP-001` to `SHOP-003`, `SHOP-007`, `SHOP-008`.
    """

    key: str
    time: dt.datetime
    bender: str
    die: str
    batch: str
    wanted_deg: float
    command_deg: float
    released_deg: float
    fed_from: TubeEnd
    project: str = ""
    bar: str = ""
    bend_number: int = 1
    rotation_deg: float | None = None
    note: str = ""
    counts: bool = True
    corrects: str = ""
    sequence: int = field(default=0, compare=False)

    def __post_init__(self) -> None:
        refuse_if_any(self._faults())

    def _faults(self) -> Iterator[Finding]:
        yield from text_faults("a bend", "key", self.key, needed=True)
        what = f"bend '{self.key}'"
        for key in ("bender", "die", "batch"):
            yield from text_faults(what, key, getattr(self, key), needed=True)
        for key in ("project", "bar", "corrects"):
            yield from text_faults(what, key, getattr(self, key))
        yield from text_faults(what, "note", self.note, note=True)
        for key in ("wanted_deg", "command_deg", "released_deg"):
            yield from number_faults(what, key, getattr(self, key), 0.0, LARGEST_COMMAND_DEG, "deg")
        if self.rotation_deg is not None:
            yield from number_faults(what, "rotation_deg", self.rotation_deg, -360.0, 360.0, "deg")
        yield from number_faults(what, "bend_number", self.bend_number, 1, MOST_BENDS_OF_A_BAR, "")
        if not isinstance(self.bend_number, int):
            yield from choice_faults(what, "bend_number", self.bend_number, ("a whole number",))
        yield from choice_faults(what, "fed_from", self.fed_from, ("A", "B"))
        yield from flag_faults(what, "counts", self.counts)
        yield from _time_faults(what, self.time)
        yield from _sprung_on(what, self.command_deg, self.released_deg)


def check_bend(bend: LoggedBend, die: ShopDie, batch: TubeBatch) -> tuple[Finding, ...]:
    """What is impossible about a bend with its die and its batch; each finding stops it from being kept."""
    return tuple(_with_its_tools(bend, die, batch))


def _with_its_tools(bend: LoggedBend, die: ShopDie, batch: TubeBatch) -> Iterator[Finding]:
    what = f"bend '{bend.key}'"
    if bend.command_deg > die.reach_deg:
        yield over_reach(what, bend.command_deg, die, bend.key)
    if not die.fits(batch.tube):
        why = f"batch '{batch.name}' is tube {batch.tube}, and die '{die.name}' is made for {die.od_mm:g} mm"
        yield not_of_one(what, why, bend.key, die.name, batch.name)
    if die.bender != bend.bender:
        why = f"die '{die.name}' belongs to bender '{die.bender}', not to '{bend.bender}'"
        yield not_of_one(what, why, bend.key, die.name, bend.bender)


def _sprung_on(what: str, command_deg: float, released_deg: float) -> Iterator[Finding]:
    both = (command_deg, released_deg)
    if not all(isinstance(one, int | float) for one in both) or not released_deg > command_deg:
        return
    yield Finding(
        code="SHOP-008",
        severity=Severity.STOP,
        sentence=f"{what[:1].upper()}{what[1:]}: {released_deg:g}° after release is more than the {command_deg:g}° "
        "under load; a tube springs back, never on.",
        todo="Are the two numbers exchanged? Was the gauge zeroed before the slack was taken up?",
        objects=("released_deg",),
        measured=released_deg,
        limit=command_deg,
        unit="deg",
    )


def _time_faults(what: str, time: dt.datetime) -> Iterator[Finding]:
    if isinstance(time, dt.datetime) and time.utcoffset() is not None and 1990 <= time.year <= 9000:
        return
    yield Finding(
        code="SHOP-007",
        severity=Severity.STOP,
        sentence=f"{what[:1].upper()}{what[1:]}: '{time}' is no time with a time zone.",
        todo="Write it as 2026-03-14T09:30:00+01:00.",
        objects=("time",),
    )
