"""Bends of a stick at the bender, put into the shop's log."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace

from hoopwright.bender import LoggedBend
from hoopwright.bender.rescue.records import Record
from hoopwright.bender.rescue.standing import Standing, Taken
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.shops import open_shop
from hoopwright.store.shop_place import shop_place


@dataclass(frozen=True, kw_only=True)
class LoggedStick:
    """What came of logging the bends of one stick.

    Args:
        bar_id: The bar.
        stick: Which stick of its sheet, from 1.
        added: Bends that the log did not have.
        known: Bends that it had.
        corrected: Bends that take the place of what was logged before.
        findings: What the shop says of them.
    """

    bar_id: str
    stick: int
    added: int
    known: int
    corrected: int
    findings: tuple[Finding, ...] = ()


def log_stick(
    where: str | None, now: Standing, records: Sequence[Record], project: str, *, batch: str = ""
) -> LoggedStick:
    """Put the finished bends of a stick into the shop's log; what is there already is not doubled.

    A reading that was put right since it was logged is logged again as a correction of the first.

    Args:
        where: The shop; the usual one without.
        now: Where the stick stands.
        records: Its records.
        project: Name of the project.
        batch: Tube batch, where the calibration of the sheet names none.

    Raises:
        UserError: `SHOP-048` without a batch; `SHOP-...`, such as `SHOP-025` when the shop does not have the die.
    """
    batch = batch or now.started.batch
    if not batch:
        raise UserError(_no_batch(now.started.bar_id))
    with open_shop(where) as shop:
        bender = shop.die(now.started.die).bender
        made = [_as_bend(now, one, records, project, bender, batch) for one in now.finished]
        kept = {bend.key: bend for bend in shop.bends(project=project, bar=now.started.bar_id, every=True)}
        wanted = [_in_its_place(bend, kept) for bend in made if bend is not None]
        wanted += _taken_back(now, records, kept)
        stored = shop.add_bends(wanted)
    new = [one for one in stored if one.is_new]
    corrected = sum(bool(one.record.corrects) for one in new)
    return LoggedStick(
        bar_id=now.started.bar_id,
        stick=now.started.stick,
        added=len(new) - corrected,
        known=len(stored) - len(new),
        corrected=corrected,
        findings=tuple(finding for one in stored for finding in one.findings),
    )


def into_shop(now: Standing, records: Sequence[Record], project: str) -> tuple[Finding, ...]:
    """Log a stick that is finished or scrapped, where there is a shop; what came of it, in words.

    The bar goes on whatever the shop says: its records are in the project.
    """
    if now.phase not in ("done", "scrapped") or not now.finished:
        return ()
    place = shop_place()
    if place is None or not place.is_there:
        return ()
    bar, stick = now.started.bar_id, now.started.stick
    try:
        logged = log_stick(None, now, records, project)
    except UserError as error:
        return (
            Finding(
                code="BEND-016",
                sentence=f"The bends of {bar}, stick {stick}, are not in the shop's log: {error.findings[0].sentence}",
                todo=f"They are kept in the project; when that is mended: 'hoopwright log bar' for {bar}.",
                objects=(bar,),
            ),
        )
    return logged.findings


def _as_bend(
    now: Standing, one: Taken, records: Sequence[Record], project: str, bender: str, batch: str
) -> LoggedBend | None:
    """One bend as the log keeps it; None where it is not known what was read under load."""
    reading = one.reading
    command_deg = one.load_deg
    if command_deg is None:
        return None
    return LoggedBend(
        # the first reading's own key: no copy of the project gives the same to another bend
        key=f"{now.started.bar_id}-{records[one.record - 1].key}",
        time=dt.datetime.fromisoformat(reading.at).astimezone(dt.UTC),
        bender=bender,
        die=now.started.die,
        batch=batch,
        wanted_deg=one.target_deg,
        command_deg=command_deg,
        released_deg=reading.released_deg,
        fed_from=now.started.job.feeds[reading.step - 1].fed_from,
        project=project,
        bar=now.started.bar_id,
        bend_number=now.started.job.feeds[reading.step - 1].bend,
        note=_note(now, one),
        device=reading.device,
    )


def _note(now: Standing, one: Taken) -> str:
    parts = [f"stick {now.started.stick} of revision {now.started.revision}"]
    if one.reading.command_deg is None:
        parts.append("angle under load as asked, not read")
    if one.again:
        parts.append(f"pulled again {one.again} times")
    return "; ".join(parts)


def _no_batch(bar: str) -> Finding:
    return Finding(
        code="SHOP-048",
        severity=Severity.STOP,
        sentence=f"Nobody said of which batch the stick of bar {bar} is.",
        todo="Type the batch of the bent stick (--batch), or name it in the samples.",
        objects=(bar,),
    )


def _taken_back(now: Standing, records: Sequence[Record], kept: dict[str, LoggedBend]) -> list[LoggedBend]:
    """Records that take bends out of the log whose readings were taken back since they were logged."""
    counted = {records[one.record - 1].key for one in now.finished}
    gone = [f"{now.started.bar_id}-{one.key}" for one in records if one.key not in counted]
    return [
        replace(kept[key], key=f"{key}-back", corrects=key, counts=False)
        for key in gone
        if key in kept and f"{key}-back" not in kept and f"{key}-1" not in kept
    ]


def _in_its_place(bend: LoggedBend, kept: dict[str, LoggedBend]) -> LoggedBend:
    """The bend as it is to be kept: itself, or the next correction of what was kept under its key."""
    last, number = kept.get(bend.key), 1
    while last is not None:
        later = kept.get(f"{bend.key}-{number}")
        if later is None:
            break
        last, number = later, number + 1
    if last is None or _same(bend, last):
        return bend if last is None else last
    return replace(bend, key=f"{bend.key}-{number}", corrects=last.key)


def _same(bend: LoggedBend, kept: LoggedBend) -> bool:
    numbers = ("command_deg", "released_deg", "wanted_deg", "batch", "die", "bend_number")
    return all(getattr(bend, name) == getattr(kept, name) for name in numbers)
