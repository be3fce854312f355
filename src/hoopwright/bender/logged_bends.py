"""One bend as it was made: what was wanted, what was commanded, what was left after release."""

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from hoopwright.bender.samples import LARGEST_COMMAND_DEG
from hoopwright.bender.sheet import TubeEnd
from hoopwright.bender.shop_records import ShopDie, TubeBatch, not_of_one, over_reach
from hoopwright.bender.shop_values import (
    LONGEST_NAME,
    LONGEST_NOTE,
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
        device: What it was read on, as the person called it; empty where nobody said.
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
    device: str = ""
    counts: bool = True
    corrects: str = ""
    sequence: int = field(default=0, compare=False)

    @classmethod
    def from_kept(cls, values: Mapping[str, object]) -> "LoggedBend":
        """The bend of a kept row that has every field, held to the same rules.

        A log of many thousands is read by this: the usual way in sets each frozen field by itself, which takes
        longer than all the rest.
        """
        bend = object.__new__(cls)
        vars(bend).update(values)
        bend.__post_init__()
        return bend

    def __post_init__(self) -> None:
        if not self._is_plainly_good():
            refuse_if_any(self._faults())

    def _is_plainly_good(self) -> bool:
        """Whether nothing can be wrong, seen at a glance: a log of many thousands is read by this.

        It may say no to what is good, never yes to what `_faults` would name.
        """
        numbers = (self.wanted_deg, self.command_deg, self.released_deg)
        names = (self.key, self.bender, self.die, self.batch)
        texts = (*names, self.project, self.bar, self.corrects, self.device)
        if {*map(type, numbers)} != {float} or {*map(type, texts)} != {str}:
            return False
        joined = "".join(texts)
        return (
            0.0 <= self.released_deg <= self.command_deg <= LARGEST_COMMAND_DEG
            and 0.0 <= self.wanted_deg <= LARGEST_COMMAND_DEG
            and (self.rotation_deg is None or self._is_rotation_good())
            and type(self.bend_number) is int
            and 1 <= self.bend_number <= MOST_BENDS_OF_A_BAR
            and self.fed_from in ("A", "B")
            and type(self.counts) is bool
            and all(names)
            and joined.isprintable()
            and (" " not in joined or tuple(map(str.strip, texts)) == texts)
            and max(map(len, texts)) <= LONGEST_NAME
            and (self.note == "" or self._is_note_good())
            and type(self.time) is dt.datetime
            and self.time.tzinfo is dt.UTC
            and 1990 <= self.time.year <= 9000
        )

    def _is_rotation_good(self) -> bool:
        return type(self.rotation_deg) is float and -360.0 <= self.rotation_deg <= 360.0

    def _is_note_good(self) -> bool:
        return type(self.note) is str and self.note.isprintable() and len(self.note) <= LONGEST_NOTE

    def _faults(self) -> Iterator[Finding]:
        yield from text_faults("a bend", "key", self.key, needed=True)
        what = f"bend '{self.key}'"
        for key in ("bender", "die", "batch"):
            yield from text_faults(what, key, getattr(self, key), needed=True)
        for key in ("project", "bar", "corrects", "device"):
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
