"""The log of bends: adding one by hand, correcting, reading, writing as a table."""

import csv
import datetime as dt
import io
import uuid
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from hoopwright.bender import LoggedBend, record_as_keys
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.shops import open_shop, refuse_missing
from hoopwright.store.shop import Shop, Stored
from hoopwright.store.writing import refuse_there, write_whole

_CLOCKS_APART = dt.timedelta(days=1)
_MOST_SPRINGBACK_DEG, _MOST_SPRINGBACK_SHARE = 5.0, 0.1


@dataclass(frozen=True, kw_only=True)
class LogFilter:
    """Which bends are wanted; None leaves a thing open.

    Args:
        bender: Of this bender.
        die: Of this die.
        batch: Of this tube batch.
        project: Of this project.
        bar: Of this bar.
        last: Only so many of the last.
        every: Also those that were corrected or taken back.
    """

    bender: str | None = None
    die: str | None = None
    batch: str | None = None
    project: str | None = None
    bar: str | None = None
    last: int | None = None
    every: bool = False


def new_key() -> str:
    """A key that no other record has."""
    return uuid.uuid4().hex[:16]


def log_bend(where: str | None, keys: Mapping[str, Any]) -> Stored[LoggedBend]:
    """Log a bend from its fields; an empty bender is the die's own, a missing time is now, a missing key a new one.

    Raises:
        UserError: `SHOP-001` to `SHOP-008` for readings that cannot be, `SHOP-024`, `SHOP-025`.
    """
    with open_shop(where) as shop:
        given = {key: value for key, value in keys.items() if value is not None}
        given.setdefault("key", new_key())
        had = shop.bend(given["key"])
        now = dt.datetime.now(dt.UTC)
        given.setdefault("time", now if had is None else had.time)
        _refuse_future(given["time"], now)
        if not given.get("bender"):
            given["bender"] = shop.die(given["die"]).bender
        stored = shop.add_bend(LoggedBend(**given))
    return replace(stored, findings=(*stored.findings, *_much_springback(stored.record)))


def _refuse_future(time: dt.datetime, now: dt.datetime) -> None:
    if time.tzinfo is not None and time > now + _CLOCKS_APART:
        raise UserError(
            Finding(
                code="SHOP-049",
                severity=Severity.STOP,
                sentence=f"A bend of {time.isoformat(timespec='minutes')} lies ahead of this machine's clock "
                f"({now.isoformat(timespec='minutes')}); every later one would seem to come before it.",
                todo="Look at the year, or at the clock.",
            )
        )


def _much_springback(bend: LoggedBend) -> tuple[Finding, ...]:
    lost = bend.command_deg - bend.released_deg
    most = _MOST_SPRINGBACK_DEG + _MOST_SPRINGBACK_SHARE * bend.command_deg
    if lost <= most:
        return ()
    return (
        Finding(
            code="SHOP-050",
            sentence=f"Bend '{bend.key}' springs back by {lost:.1f}° of {bend.command_deg:g}°; over {most:.1f}° is "
            "more than cage tube does (common practice, no source).",
            todo=f"If a number is mistyped: 'hoopwright log correct {bend.key}'.",
            objects=(bend.key,),
            measured=lost,
            limit=most,
            unit="deg",
        ),
    )


def correct_bend(where: str | None, key: str, changes: Mapping[str, Any]) -> Stored[LoggedBend]:
    """Keep a further record that takes the place of a bend; the old one stays as it is.

    Raises:
        UserError: `SHOP-044` when there is no such bend, `SHOP-028` when it was corrected already.
    """
    with open_shop(where) as shop:
        old = _bend(shop, key)
        typed = {name: value for name, value in changes.items() if value is not None}
        return shop.add_bend(replace(old, **typed, key=new_key(), corrects=key))


def withdraw_bend(where: str | None, key: str, note: str) -> Stored[LoggedBend]:
    """Take a reading back: it stays in the log and is used no more; raises as `correct_bend`."""
    return correct_bend(where, key, {"counts": False, "note": note or None})


def _bend(shop: Shop, key: str) -> LoggedBend:
    bend = shop.bend(key)
    if bend is None:
        raise UserError(
            Finding(
                code="SHOP-044",
                severity=Severity.STOP,
                sentence=f"The log has no bend '{key}'.",
                todo="Look at the keys: 'hoopwright log show'.",
                objects=(key,),
            )
        )
    return bend


def logged(where: str | None, wanted: LogFilter) -> tuple[LoggedBend, ...]:
    """Logged bends in the order of keeping.

    Raises:
        UserError: `SHOP-020` where the shop that was named is not there; as `open_shop`.
    """
    refuse_missing(where)
    with open_shop(where) as shop:
        bends = shop.bends(
            bender=wanted.bender,
            die=wanted.die,
            batch=wanted.batch,
            project=wanted.project,
            bar=wanted.bar,
            every=wanted.every,
        )
    return bends if wanted.last is None else bends[max(0, len(bends) - wanted.last) :]


def export_log(where: str | None, wanted: LogFilter, file: Path) -> int:
    """Write logged bends as CSV into a file that is not there yet; returns how many.

    Raises:
        UserError: `SHOP-031` when the file is there, `STORE-002` when it cannot be written.
    """
    refuse_there(file)
    rows = [record_as_keys(bend) for bend in logged(where, wanted)]
    columns = ["sequence", *(name for name in LoggedBend.__dataclass_fields__ if name != "sequence")]
    text = io.StringIO(newline="")
    writer = csv.DictWriter(text, columns)
    writer.writeheader()
    writer.writerows(rows)
    write_whole(file, text.getvalue().encode())
    return len(rows)
