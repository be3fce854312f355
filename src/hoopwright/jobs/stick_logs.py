"""The bends of a stick that was bent step by step, taken into the log of the shop."""

import datetime as dt

from hoopwright.bender import LoggedBend
from hoopwright.bender.rescue.session import standing
from hoopwright.bender.rescue.standing import Standing, Taken
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.bend_log import as_log
from hoopwright.jobs.shops import open_shop
from hoopwright.store import ProjectFolder
from hoopwright.store.bending import last_stick
from hoopwright.store.shop import Stored


def log_stick(
    where: str | None, folder: ProjectFolder, bar_id: str, *, batch: str = ""
) -> tuple[Stored[LoggedBend], ...]:
    """Log the finished bends of the stick of a bar that was bent last, all or none; a second time doubles nothing.

    Args:
        where: The shop.
        folder: The project.
        bar_id: The bar.
        batch: The tube batch; as the sheet's calibration names it without.

    Raises:
        UserError: `SHOP-047` when no stick of the bar is finished or scrapped, `SHOP-048` without a batch; `STORE-005`,
            `STORE-009`, `SHOP-...`.
    """
    project = folder.open().project
    stick = last_stick(folder, project.cage.member(bar_id).member_id)
    now = None if stick is None else standing(stick.records)
    if now is None or now.phase not in ("done", "scrapped"):
        raise _refused(
            "SHOP-047",
            f"No stick of bar {bar_id} is finished, so that there is nothing to log yet.",
            "Finish it with 'hoopwright bend', or scrap it.",
            bar_id,
        )
    batch = batch or now.started.batch
    if not batch:
        raise _refused(
            "SHOP-048", f"Nobody said of which batch the stick of bar {bar_id} is.", "Give --batch.", bar_id
        )
    with open_shop(where) as shop:
        bender = shop.die(now.started.die).bender
        return shop.add_bends(
            _bend(now, one, project.name, bender, batch) for one in now.finished if _was_commanded(now, one)
        )


def _was_commanded(now: Standing, one: Taken) -> bool:
    """Without an angle under load a reading says nothing of the die."""
    return as_log(now, one)["command_deg"] is not None


def _bend(now: Standing, one: Taken, project: str, bender: str, batch: str) -> LoggedBend:
    started, reading = now.started, one.reading
    feed = started.job.feeds[reading.step - 1]
    command_deg = reading.command_deg if reading.command_deg is not None else one.asked_deg
    assert command_deg is not None  # noqa: S101 - others are left out
    return LoggedBend(
        key=str(as_log(now, one)["key"]),
        time=dt.datetime.fromisoformat(reading.at).astimezone(),
        bender=bender,
        die=started.die,
        batch=batch,
        project=project,
        bar=started.bar_id,
        bend_number=feed.bend,
        wanted_deg=one.target_deg,
        command_deg=command_deg,
        released_deg=reading.released_deg,
        fed_from=feed.fed_from,
        rotation_deg=reading.turned_deg,
        note=_note(started.stick, started.revision, one.again, is_read=reading.command_deg is not None),
    )


def _note(stick: int, revision: int, again: int, *, is_read: bool) -> str:
    parts = [f"stick {stick} of revision {revision}"]
    if not is_read:
        parts.append("angle under load as asked, not read")
    if again:
        parts.append(f"pulled again {again} times")
    return "; ".join(parts)


def _refused(code: str, sentence: str, todo: str, *objects: str) -> UserError:
    return UserError(
        Finding(code=code, severity=Severity.STOP, sentence=sentence, todo=todo, objects=objects)
    )
