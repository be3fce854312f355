"""Bending a bar step by step: readings, corrections and decisions, each kept before it is answered."""

from dataclasses import replace

from hoopwright.bender.rescue.records import Correction, Decision, Reading, Record, Withdrawal
from hoopwright.bender.rescue.refusals import (
    refuse_correction,
    refuse_decision,
    refuse_reading,
    refuse_withdrawal,
)
from hoopwright.bender.rescue.standing import Standing
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.bend_answers import Bending, Sent, look, numbers_of, take_in
from hoopwright.jobs.rescues import rescue_of
from hoopwright.jobs.shop_bends import LoggedStick, log_stick
from hoopwright.jobs.sticks import BendWishes
from hoopwright.progress import Progress, silent
from hoopwright.store import ProjectFolder


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
        return isinstance(had, Reading) and numbers_of(had) == numbers_of(reading)

    return take_in(folder, bar_or_code, wishes, Sent(key=reading.key, make=record, same=same), progress)


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
        return isinstance(had, Correction) and had.of == of and _same_numbers(reading, had.reading)

    return take_in(folder, bar_or_code, wishes, Sent(key=reading.key, make=record, same=same), progress)


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

    return take_in(folder, bar_or_code, wishes, Sent(key=key, make=record, same=same), progress)


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

    return take_in(folder, bar_or_code, wishes, Sent(key=key, make=record, same=same), progress)


def _same_numbers(reading: Reading, had: Reading) -> bool:
    """Whether what is sent again says the same; on which device does not count."""
    return _filled(replace(reading, device=had.device), had) == had


def _filled(reading: Reading, wrong: Reading) -> Reading:
    return replace(
        wrong,
        released_deg=reading.released_deg,
        command_deg=wrong.command_deg if reading.command_deg is None else reading.command_deg,
        turned_deg=wrong.turned_deg if reading.turned_deg is None else reading.turned_deg,
        mark_mm=wrong.mark_mm if reading.mark_mm is None else reading.mark_mm,
        reason=reading.reason or wrong.reason,
        device=reading.device or wrong.device,
    )
