"""Sample bends as the shop keeps them, and what cannot be with their die and batch."""

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, field

from hoopwright.bender.calibration import same_tube
from hoopwright.bender.samples import Samples
from hoopwright.bender.shop_records import ShopDie, TubeBatch, not_of_one, over_reach
from hoopwright.bender.shop_values import refuse_if_any, text_faults
from hoopwright.findings import Finding, Severity
from hoopwright.tubes import TubeSize

LONGEST_GIVEN = 1_000_000


@dataclass(frozen=True, kw_only=True)
class CalibrationRecord:
    """Sample bends of one die, tube and batch, kept as they were given; what they say is fitted when it is asked.

    Args:
        key: Its own name among all kept; the same key twice is the same record.
        die: The die.
        bender: The bender; empty where nobody said.
        batch: The tube batch; empty where nobody said.
        samples: The samples.
        given: The sample file's text as it was given; empty where there was none.
        date: Day of the samples, ISO 8601; empty where nobody said.
        corrects: Key of the record whose place it takes; empty for none.
        sequence: Its place in the order of keeping; 0 before it is kept.

    Raises:
        UserError: `SHOP-001`, `SHOP-006` and `SHOP-007`.
    """

    key: str
    die: str
    samples: Samples
    bender: str = ""
    batch: str = ""
    date: str = ""
    given: str = field(default="", repr=False)
    corrects: str = ""
    sequence: int = field(default=0, compare=False)

    def __post_init__(self) -> None:
        refuse_if_any(self._faults())

    def _faults(self) -> Iterator[Finding]:
        yield from text_faults("a calibration", "key", self.key, needed=True)
        what = f"calibration '{self.key}'"
        yield from text_faults(what, "die", self.die, needed=True)
        for key in ("bender", "batch", "corrects"):
            yield from text_faults(what, key, getattr(self, key))
        for key, named in (("die", self.samples.die), ("batch", self.samples.batch)):
            if named and named != getattr(self, key):
                yield not_of_one(what, f"its samples name {key} '{named}', not '{getattr(self, key)}'", key)
        if self.date:
            yield from _day_faults(what, self.date)
        yield from text_faults(what, "given", self.given, note=True, longest=LONGEST_GIVEN)

    @property
    def tube(self) -> TubeSize:
        """The tube of the samples."""
        return self.samples.tube


def check_calibration(
    record: CalibrationRecord, die: ShopDie, batch: TubeBatch | None
) -> tuple[Finding, ...]:
    """What is impossible about samples with their die and batch; each finding stops them from being kept."""
    return tuple(_samples_with_tools(record, die, batch))


def _samples_with_tools(
    record: CalibrationRecord, die: ShopDie, batch: TubeBatch | None
) -> Iterator[Finding]:
    what = f"calibration '{record.key}'"
    if not die.fits(record.tube):
        why = f"its samples are tube {record.tube}, and die '{die.name}' is made for {die.od_mm:g} mm"
        yield not_of_one(what, why, record.key, die.name)
    if batch is not None and not same_tube(record.tube, batch.tube):
        why = f"its samples are tube {record.tube}, and batch '{batch.name}' is {batch.tube}"
        yield not_of_one(what, why, record.key, batch.name)
    if record.bender and record.bender != die.bender:
        why = f"die '{die.name}' belongs to bender '{die.bender}', not to '{record.bender}'"
        yield not_of_one(what, why, record.key, die.name, record.bender)
    for number, sample in enumerate(record.samples.angles, start=1):
        if sample.command_deg > die.reach_deg:
            yield over_reach(f"{what}, angle sample {number}", sample.command_deg, die, record.key)


def _day_faults(what: str, day: str) -> Iterator[Finding]:
    try:
        if dt.date.fromisoformat(day).isoformat() == day:
            return
    except (ValueError, TypeError):
        pass
    yield Finding(
        code="SHOP-007",
        severity=Severity.STOP,
        sentence=f"{what[:1].upper()}{what[1:]}: '{day}' is no day.",
        todo="Write it as year-month-day, such as 2026-03-14.",
        objects=("date",),
    )
