"""From the records of a stick to where it stands."""

from collections.abc import Sequence
from dataclasses import replace

from hoopwright.bender.rescue.records import (
    Correction,
    Decision,
    Reading,
    Record,
    Started,
    Taped,
    Withdrawal,
)
from hoopwright.bender.rescue.standing import Standing, Taken, asked, judge, strays


def standing(records: Sequence[Record]) -> Standing:
    """Where a bar stands after these records, of which the first is a `Started`.

    Raises:
        TypeError: When the first is another record.
    """
    first = records[0]
    if not isinstance(first, Started):
        raise TypeError("the first record of a stick says what its sheet said")
    now = Standing(started=first, plan=first.plan)
    for number, record in enumerate(records[1:], start=2):
        then = _after(now, record, records[: number - 1])
        bent = now.bend_record if isinstance(record, Taped) else number
        now = replace(then, records=number, bend_record=bent)
    return now


def with_reading(now: Standing, reading: Reading) -> Standing:
    """Where a bar stands with one reading more, of the step that is asked for."""
    number = now.records + 1
    return replace(_read(now, reading, number), records=number, bend_record=number)


def with_taped(taped: Sequence[Taped], one: Taped) -> tuple[Taped, ...]:
    """What was taped with one more, which takes the place of an earlier one of its name."""
    return tuple(sorted((*(had for had in taped if had.name != one.name), one), key=lambda had: had.name))


def _after(now: Standing, record: Record, before: Sequence[Record]) -> Standing:
    if isinstance(record, Reading):
        return _read(now, record, now.records + 1)
    if isinstance(record, Decision):
        return _decided(now, record)
    if isinstance(record, Correction):
        return _corrected(now, record, before)
    if isinstance(record, Withdrawal):
        return _taken_back(record, before)
    if isinstance(record, Taped):
        return replace(now, taped=with_taped(now.taped, record))
    raise TypeError("a stick is started once")


def _read(now: Standing, reading: Reading, number: int) -> Standing:
    wanted = asked(now)
    taken = Taken(
        record=number,
        reading=reading,
        asked_deg=wanted.command_deg,
        target_deg=wanted.target_deg,
        again=0 if now.pending is None else now.pending.again + 1,
    )
    # what was taped before was of a bar that is bent further now
    return _settle(replace(now, taken=(*now.taken, taken), pending=taken, taped=()))


def _settle(now: Standing) -> Standing:
    """The bend in the machine is finished, or more is to be added."""
    if now.pending is None:
        return now
    answer = judge(now, now.pending).answer
    if answer == "add":
        return now
    off = answer == "over" or bool(strays(now, now.pending))
    return replace(now, finished=(*now.finished, now.pending), pending=None, must_decide=off)


def _decided(now: Standing, decision: Decision) -> Standing:
    if decision.choice == "scrap" or decision.plan is None:
        return replace(now, scrapped=True)
    finished = now.finished
    if not now.must_decide and now.pending is not None:
        return replace(now, plan=decision.plan, finished=(*finished, now.pending), pending=None)
    return _settle(replace(now, plan=decision.plan, must_decide=False))


def _corrected(now: Standing, correction: Correction, before: Sequence[Record]) -> Standing:
    """The last reading is taken as if it had been typed rightly; an earlier one asks for a decision."""
    if now.taken and now.taken[-1].record == correction.of:
        again = _read(standing(before[: correction.of - 1]), correction.reading, correction.of)
        for record in before[correction.of :]:
            if isinstance(record, Correction) and record.of < correction.of:
                again = _mended(again, record)
        return replace(again, taped=now.taped)
    return _mended(now, correction)


def _taken_back(withdrawal: Withdrawal, before: Sequence[Record]) -> Standing:
    """As it stood before that reading, with what was put right since of the bends before it."""
    put_right = [
        record
        for record in before[withdrawal.of :]
        if isinstance(record, Correction) and record.of < withdrawal.of
    ]
    return standing([*before[: withdrawal.of - 1], *put_right])


def _mended(now: Standing, correction: Correction) -> Standing:
    """A bend before the last was read wrongly: what was decided since has to be decided again."""

    def mended(several: tuple[Taken, ...]) -> tuple[Taken, ...]:
        return tuple(
            replace(one, reading=correction.reading) if one.record == correction.of else one
            for one in several
        )

    return replace(
        now, taken=mended(now.taken), finished=mended(now.finished), must_decide=True, scrapped=False
    )
