"""Bending a bar step by step: what is asked, what was read, and what a bend that is off costs."""

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass, replace

from hoopwright.bender.rescue.records import Correction, Decision, Reading, Record, Withdrawal
from hoopwright.bender.rescue.refusals import (
    refuse_correction,
    refuse_decision,
    refuse_reading,
    refuse_stale,
    refuse_withdrawal,
)
from hoopwright.bender.rescue.session import standing
from hoopwright.bender.rescue.solve_again import Rescue
from hoopwright.bender.rescue.standing import Asked, Standing, asked, strays
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.bend_log import as_log
from hoopwright.jobs.rescues import rescue_of
from hoopwright.jobs.shop_bends import LoggedStick, into_shop, log_stick
from hoopwright.jobs.sticks import BendWishes, begun, open_stick, refuse_wishes
from hoopwright.progress import Progress, silent
from hoopwright.store import ProjectFolder
from hoopwright.store.bending import Stick, add_record, bending_locked

_AT_ONCE_S = 120.0


@dataclass(frozen=True, kw_only=True)
class Bending:
    """A bar at the bender.

    Args:
        standing: Where it stands.
        asked: The bend that is asked for; None where none is.
        stick: Its records.
        strays: In words, turn and mark of the last bend that were off, while a decision is awaited.
        rescue: What the bends made cost, and what those to come can save; None while all is well.
        counted_before: Whether what was sent had been counted already.
        findings: What a person should know.
    """

    standing: Standing
    asked: Asked | None
    stick: Stick
    strays: tuple[str, ...]
    rescue: Rescue | None
    counted_before: bool
    findings: tuple[Finding, ...]

    @property
    def is_old(self) -> bool:
        """Whether the sheet that the stick was begun from is old."""
        return any(finding.code == "BEND-007" for finding in self.findings)

    @property
    def log(self) -> tuple[dict[str, object], ...]:
        """The bends as records that a shop log can take, each with a key of its own."""
        return tuple(as_log(self.standing, one) for one in self.standing.taken)


def look(
    folder: ProjectFolder, bar_or_code: str, wishes: BendWishes, *, progress: Progress = silent
) -> Bending:
    """Where a bar stands. Nothing is written, unless another stick is asked for.

    Raises:
        UserError: `BEND-006` for another sheet's code, `BEND-010` to `BEND-012` when no stick can be begun,
            `STORE-009` for damaged records.
    """
    refuse_wishes(wishes)
    folder.open()
    with bending_locked(folder):
        stick, findings = open_stick(folder, bar_or_code, wishes)
        if wishes.again:
            stick = begun(stick)
    return _bending(folder, stick, wishes, False, findings, progress)


def log_bar(
    folder: ProjectFolder, bar: str, *, shop: str | None = None, batch: str = "", at: str
) -> LoggedStick:
    """Put the finished bends of a bar's last stick into the shop's log.

    Args:
        folder: The project.
        bar: The bar.
        shop: The shop; the usual one without.
        batch: Tube batch, where the calibration names none.
        at: Now, ISO 8601.

    Raises:
        UserError: `BEND-010` to `BEND-012`, `BEND-015` where nothing is bent; `SHOP-...`.
    """
    made = look(folder, bar, BendWishes(at=at))
    if not made.standing.finished:
        raise UserError(
            Finding(
                code="BEND-015",
                severity=Severity.STOP,
                sentence=f"No bend of {bar} is finished, so there is nothing to log.",
                todo="Bend it step by step: 'hoopwright bend'.",
                objects=(bar,),
            )
        )
    return log_stick(shop, made.standing, made.stick.records, folder.open().project.name, batch=batch)


def take_reading(
    folder: ProjectFolder,
    bar_or_code: str,
    reading: Reading,
    wishes: BendWishes,
    *,
    progress: Progress = silent,
) -> Bending:
    """Take a reading of the bend that is asked for; its step is filled in.

    Raises:
        UserError: As `look`; `BEND-001` to `BEND-005` for a reading that is not taken. Nothing is written then.
    """

    def record(now: Standing, _: tuple[Record, ...]) -> Record:
        placed = replace(reading, step=now.step)
        refuse_reading(now, placed)
        return placed

    def same(had: Record) -> bool:
        return isinstance(had, Reading) and _numbers(had) == _numbers(reading)

    return _add(folder, bar_or_code, wishes, _Sent(key=reading.key, make=record, same=same), progress)


def correct_reading(
    folder: ProjectFolder,
    bar_or_code: str,
    of: int,
    reading: Reading,
    wishes: BendWishes,
    *,
    progress: Progress = silent,
) -> Bending:
    """Put a reading right by a further record; numbers that are not given stay as they were read.

    Raises:
        UserError: As `look`; `BEND-008` when that record is no reading that counts, `BEND-001`, `BEND-003`.
    """

    def record(now: Standing, _: tuple[Record, ...]) -> Record:
        wrong = next((one.reading for one in now.taken if one.record == of), None)
        mended = reading if wrong is None else _filled(reading, wrong)
        correction = Correction(of=of, reading=mended, reason=reading.reason, at=reading.at, key=reading.key)
        refuse_correction(now, correction)
        return correction

    def same(had: Record) -> bool:
        return isinstance(had, Correction) and had.of == of and _filled(reading, had.reading) == had.reading

    return _add(folder, bar_or_code, wishes, _Sent(key=reading.key, make=record, same=same), progress)


def take_back(
    folder: ProjectFolder,
    bar_or_code: str,
    of: int,
    *,
    reason: str,
    key: str,
    wishes: BendWishes,
    progress: Progress = silent,
) -> Bending:
    """Take the last reading back, such as one that was sent twice: it stays on record and does not count.

    Raises:
        UserError: As `look`; `BEND-008` when that record is not the last reading, `BEND-003`, `BEND-005`.
    """

    def record(now: Standing, records: tuple[Record, ...]) -> Record:
        refuse_withdrawal(now, of, records)
        return Withdrawal(of=of, reason=reason, at=wishes.at, key=key)

    def same(had: Record) -> bool:
        return isinstance(had, Withdrawal) and had.of == of

    return _add(folder, bar_or_code, wishes, _Sent(key=key, make=record, same=same), progress)


def decide(
    folder: ProjectFolder,
    bar_or_code: str,
    *,
    go_on: bool,
    key: str,
    wishes: BendWishes,
    as_planned: bool = False,
    progress: Progress = silent,
) -> Bending:
    """Go on with the bends as solved again, or as planned, or scrap the stick.

    Args:
        folder: The project.
        bar_or_code: The bar, or the code on its sheet.
        go_on: Go on; else the stick is scrapped.
        key: Key of the record.
        wishes: How the bar is bent.
        as_planned: Go on with the numbers that were in force, as a device does that cannot ask for others.
        progress: Told how far it is.

    Raises:
        UserError: As `look`; `BEND-004` when nothing is to be decided, `BEND-003`, `BEND-005`.
    """

    def record(now: Standing, _records: tuple[Record, ...]) -> Record:
        refuse_decision(now, go_on=go_on)
        rescue, _ = rescue_of(folder, now, now.made_so_far, wishes, progress)
        solved = rescue.carried_on if as_planned else rescue.solved
        return Decision(
            choice="go on" if go_on else "scrap",
            plan=solved.settings if go_on else None,
            worst_miss_mm=solved.worst_miss_mm,
            least_gap_mm=None if solved.least is None else solved.least.gap_mm,
            at=wishes.at,
            key=key,
        )

    def same(had: Record) -> bool:
        return isinstance(had, Decision) and (had.choice == "go on") == go_on

    return _add(folder, bar_or_code, wishes, _Sent(key=key, make=record, same=same), progress)


@dataclass(frozen=True, kw_only=True)
class _Sent:
    """What a device sent: its key, the record that it makes, and whether a kept record is the same."""

    key: str
    make: Callable[[Standing, tuple[Record, ...]], Record]
    same: Callable[[Record], bool]


def _add(
    folder: ProjectFolder, bar_or_code: str, wishes: BendWishes, sent: _Sent, progress: Progress
) -> Bending:
    refuse_wishes(wishes)
    folder.open()
    with bending_locked(folder):
        stick, findings = open_stick(folder, bar_or_code, wishes)
        had = next((one for one in stick.records if one.key == sent.key), None)
        if had is None:
            now = standing(stick.records)
            refuse_stale(now, wishes.shown, wishes.stick)
            record = sent.make(now, stick.records)
            stick = add_record(begun(stick), record)
        else:
            _refuse_key(stick, had, sent.key, sent.same(had))
    made = _bending(folder, stick, wishes, had is not None, findings, progress)
    told = into_shop(made.standing, made.stick.records, folder.open().project.name)
    twice = () if had is not None or wishes.shown is not None else _like_the_last(made.standing)
    return replace(made, findings=(*made.findings, *twice, *told))


def _like_the_last(now: Standing) -> tuple[Finding, ...]:
    """A word on two readings that are the same and came at once: one of them may have been sent twice."""
    if len(now.taken) < 2 or now.taken[-1].record != now.records:
        return ()
    one, other = now.taken[-2].reading, now.taken[-1].reading
    apart_s = (dt.datetime.fromisoformat(other.at) - dt.datetime.fromisoformat(one.at)).total_seconds()
    if _numbers(one) != _numbers(other) or not 0.0 <= apart_s < _AT_ONCE_S:
        return ()
    return (
        Finding(
            code="BEND-017",
            sentence=f"The same {other.released_deg:g}° was given {apart_s:.0f} s before, for step {one.step}; now it "
            f"counts for step {other.step}.",
            todo=f"If one reading was sent twice, take this one back: --take-back {now.records}.",
            objects=(now.started.bar_id,),
        ),
    )


def _refuse_key(stick: Stick, had: Record, key: str, same: bool) -> None:
    """A key that came before must come with what it came with before."""
    if same:
        return
    raise UserError(
        Finding(
            code="BEND-005",
            severity=Severity.STOP,
            sentence=f"The key '{key}' came before with something else, as record {stick.records.index(had) + 1}.",
            todo="Send every new reading with a key of its own; put a wrong one right with --correct.",
            objects=(key,),
        )
    )


def _numbers(reading: Reading) -> tuple[object, ...]:
    return (reading.released_deg, reading.command_deg, reading.turned_deg, reading.mark_mm, reading.reason)


def _filled(reading: Reading, wrong: Reading) -> Reading:
    return replace(
        wrong,
        released_deg=reading.released_deg,
        command_deg=wrong.command_deg if reading.command_deg is None else reading.command_deg,
        turned_deg=wrong.turned_deg if reading.turned_deg is None else reading.turned_deg,
        mark_mm=wrong.mark_mm if reading.mark_mm is None else reading.mark_mm,
        reason=reading.reason or wrong.reason,
    )


def _bending(
    folder: ProjectFolder,
    stick: Stick,
    wishes: BendWishes,
    counted_before: bool,
    findings: tuple[Finding, ...],
    progress: Progress,
) -> Bending:
    now = standing(stick.records)
    off = wishes.solve and now.phase in ("decide", "done")
    rescue, told = rescue_of(folder, now, now.made, wishes, progress) if off else (None, ())
    return Bending(
        standing=now,
        asked=asked(now) if now.phase in ("bend", "add") else None,
        stick=stick,
        strays=strays(now, now.finished[-1]) if now.phase == "decide" and now.finished else (),
        rescue=rescue,
        counted_before=counted_before,
        findings=(*findings, *told),
    )
