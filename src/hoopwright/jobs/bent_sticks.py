"""What was read at the bender, stick by stick, as the project's records have it."""

from dataclasses import dataclass
from typing import Literal

from hoopwright.bender.rescue.records import Correction, Decision, Reading, Started, Withdrawal
from hoopwright.bender.rescue.refusals import counting, in_words
from hoopwright.bender.rescue.session import standing
from hoopwright.bender.rescue.standing import Standing, Taken
from hoopwright.store import ProjectFolder
from hoopwright.store.bending import Stick, every_stick

ReadingState = Literal["counts", "read again", "taken back"]


@dataclass(frozen=True, kw_only=True)
class StickReading:
    """One reading of a stick.

    Args:
        record: Number of its record, from 1.
        step: Place in the order, from 1.
        bend: Which bend of the bar, from 1 at end A.
        reading: As it was last corrected.
        wanted_deg: Released angle that was wanted; None for one that was taken back.
        load_deg: Angle under load, as read, else as asked; None where neither is known.
        state: `counts`, `read again`, or `taken back`.
        reason: Why it was read so, or taken back; empty where nobody said.
        is_corrected: Whether it was put right since.
        may_be_corrected: Whether it may be put right now.
        may_be_taken_back: Whether it may be taken back now.
    """

    record: int
    step: int
    bend: int
    reading: Reading
    wanted_deg: float | None
    load_deg: float | None
    state: ReadingState
    reason: str
    is_corrected: bool
    may_be_corrected: bool
    may_be_taken_back: bool


@dataclass(frozen=True, kw_only=True)
class BentStick:
    """A stick that was begun.

    Args:
        bar_id: The bar.
        number: Which stick of its sheet, from 1.
        started: What its sheet said.
        records: How many records there are: what is sent back, so that an answer to an older state is refused.
        words: Where it stands.
        is_scrapped: Whether it was scrapped.
        may_be_scrapped: Whether it may be scrapped now.
        readings: In the order in which they were taken.
    """

    bar_id: str
    number: int
    started: Started
    records: int
    words: str
    is_scrapped: bool
    may_be_scrapped: bool
    readings: tuple[StickReading, ...]


def bent_sticks(folder: ProjectFolder) -> tuple[BentStick, ...]:
    """Every stick of the bars of a project that was begun, by bar, the last one of each first.

    Only the last stick of a bar can be changed: it is the one in hand.

    Raises:
        UserError: `STORE-009` for damaged records.
    """
    found: list[BentStick] = []
    for member in folder.open().project.cage.members:
        kept = [stick for stick in every_stick(folder, member.member_id) if stick.records]
        found += [
            _bent(stick, is_last=number == len(kept))
            for number, stick in reversed(list(enumerate(kept, start=1)))
        ]
    return tuple(found)


def _bent(stick: Stick, *, is_last: bool) -> BentStick:
    now = standing(stick.records)
    return BentStick(
        bar_id=now.started.bar_id,
        number=now.started.stick,
        started=now.started,
        records=now.records,
        words=in_words(now),
        is_scrapped=now.scrapped,
        may_be_scrapped=is_last and now.phase in ("bend", "add", "decide"),
        readings=_readings(stick, now, is_last),
    )


def _readings(stick: Stick, now: Standing, is_last: bool) -> tuple[StickReading, ...]:
    taken = {one.record: one for one in now.taken}
    counted = {one.record for one in counting(now)}
    taken_back = {one.of: one.reason for one in stick.records if isinstance(one, Withdrawal)}
    corrected = {one.of for one in stick.records if isinstance(one, Correction)}
    last = now.taken[-1].record if now.taken else None
    decided = last is not None and any(isinstance(one, Decision) for one in stick.records[last:])
    return tuple(
        _reading(
            now,
            number,
            record,
            taken.get(number),
            why_back=taken_back.get(number, ""),
            counts=number in counted,
            is_corrected=number in corrected,
            may=(is_last and number in counted, is_last and number == last and not decided),
        )
        for number, record in enumerate(stick.records, start=1)
        if isinstance(record, Reading)
    )


def _reading(
    now: Standing,
    number: int,
    record: Reading,
    taken: Taken | None,
    *,
    why_back: str,
    counts: bool,
    is_corrected: bool,
    may: tuple[bool, bool],
) -> StickReading:
    reading = record if taken is None else taken.reading
    return StickReading(
        record=number,
        step=reading.step,
        bend=now.started.job.feeds[reading.step - 1].bend,
        reading=reading,
        wanted_deg=None if taken is None else taken.target_deg,
        load_deg=reading.command_deg if taken is None else taken.load_deg,
        state="counts" if counts else "taken back" if taken is None else "read again",
        reason=why_back if taken is None else reading.reason,
        is_corrected=is_corrected,
        may_be_corrected=may[0],
        may_be_taken_back=may[1],
    )
