"""The log of bends: appended to, read back, never edited."""

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

from sqlalchemy import Connection, Select, exists, func, insert, select

from hoopwright.bender import LoggedBend, check_bend, same_tube
from hoopwright.findings import Finding, UserError
from hoopwright.store.shop.engines import Turn
from hoopwright.store.shop.named import BATCHES, BENDERS, DIES, latest, one
from hoopwright.store.shop.stored import Row, Stored, as_kept, differs, now, read_rows
from hoopwright.store.shop.superseding import refuse_correction
from hoopwright.store.shop.tables import BEND
from hoopwright.tubes import TubeSize

_CLOCK_SLACK_S = 5.0
_PLAIN = (
    *("key", "bender", "die", "batch", "project", "bar", "bend_number", "wanted_deg", "command_deg"),
    *("released_deg", "fed_from", "rotation_deg", "note", "counts"),
)
_NUMBERS = ("wanted_deg", "command_deg", "released_deg", "rotation_deg")


def keep_bends(turn: Turn, bends: Iterable[LoggedBend]) -> tuple[Stored[LoggedBend], ...]:
    """Keep bends, all or none; one that is kept already is not kept again.

    Raises:
        UserError: `SHOP-024` for a key that is kept with other values, `SHOP-025` for a bender, die or batch that
            is not kept, `SHOP-005` or `SHOP-006` for what cannot be with its die and batch, `SHOP-028` for a
            correction of nothing.
    """
    tools = Tools(turn.connection)
    return tuple(keep_bend(turn, bend, tools) for bend in bends)


class Tools:
    """Dies and batches as they are in force, each read once."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._known: dict[tuple[str, str], Any] = {}

    def forget(self) -> None:
        """Read anew: something was changed."""
        self._known.clear()

    def one(self, kind: Any, name: str) -> Any:
        """The version in force; raises `SHOP-025`."""
        at = (kind.word, name)
        if at not in self._known:
            self._known[at] = one(self._connection, kind, name)
        return self._known[at]


def keep_bend(turn: Turn, bend: LoggedBend, tools: Tools, *, recorded: str = "") -> Stored[LoggedBend]:
    """Keep one bend; raises as `keep_bends`."""
    kept = one_bend(turn.connection, bend.key)
    if kept is not None:
        if kept != bend:
            todo = "Give another key to another reading; a correction names the key of the old one in 'corrects'."
            raise differs(f"Bend '{bend.key}'", kept, bend, todo)
        return Stored(record=kept, is_new=False)
    tools.one(BENDERS, bend.bender)
    faults = check_bend(bend, tools.one(DIES, bend.die), tools.one(BATCHES, bend.batch))
    if faults:
        raise UserError(*faults)
    if bend.corrects:
        refuse_correction(turn.connection, BEND, "bend", bend.corrects)
    findings = () if bend.corrects else _clock(turn.connection, bend)
    numbered = replace(bend, sequence=turn.next_sequence())
    turn.connection.execute(insert(BEND).values(**row_of(numbered, recorded or now())))
    return Stored(record=numbered, is_new=True, findings=findings)


def _clock(connection: Connection, bend: LoggedBend) -> tuple[Finding, ...]:
    """That a clock was set back: the order of keeping holds then, not the times."""
    query = select(func.max(BEND.c.time)).where(BEND.c.bender == bend.bender)
    last = connection.execute(query).scalar()
    behind_s = 0.0 if last is None else (dt.datetime.fromisoformat(last) - bend.time).total_seconds()
    if behind_s <= _CLOCK_SLACK_S:
        return ()
    return (
        Finding(
            code="SHOP-027",
            sentence=f"Bend '{bend.key}' is timed {behind_s:.0f} s before the last one that was kept of bender "
            f"'{bend.bender}'. The order of keeping holds.",
            todo="Look at the clock of that station.",
            objects=(bend.key, bend.bender),
            measured=behind_s,
            limit=_CLOCK_SLACK_S,
            unit="s",
        ),
    )


def row_of(bend: LoggedBend, recorded: str) -> dict[str, Any]:
    """The whole row of a bend."""
    row = {key: getattr(bend, key) for key in _PLAIN}
    row |= {key: None if row[key] is None else float(row[key]) for key in _NUMBERS}
    kept = {"sequence": bend.sequence, "time": as_kept(bend.time), "recorded": recorded}
    return {**row, **kept, "corrects": bend.corrects or None}


def bend_of(row: Row) -> LoggedBend:
    """The bend of a row."""
    return LoggedBend(
        **{key: row[key] for key in _PLAIN},
        time=dt.datetime.fromisoformat(row["time"]),
        corrects=row["corrects"] or "",
        sequence=row["sequence"],
    )


def one_bend(connection: Connection, key: str) -> LoggedBend | None:
    """The bend of a key."""
    found = _read(connection, select(BEND).where(BEND.c.key == key))
    return found[0] if found else None


def find_bends(
    connection: Connection,
    *,
    equal: dict[str, str | None],
    tube: TubeSize | None,
    after_sequence: int,
    every: bool,
) -> tuple[LoggedBend, ...]:
    """Bends in the order of keeping.

    Args:
        connection: To the database.
        equal: Columns and the values that they must have; None leaves a column open.
        tube: Only those of batches of that tube.
        after_sequence: Only those kept after that one.
        every: Also those that were corrected or taken back.
    """
    query = select(BEND).where(BEND.c.sequence > after_sequence)
    for column, value in equal.items():
        if value is not None:
            query = query.where(BEND.c[column] == value)
    if tube is not None:
        query = query.where(BEND.c.batch.in_(_batches_of(connection, tube)))
    if not every:
        later = BEND.alias("later")
        query = query.where(~exists().where(later.c.corrects == BEND.c.key), BEND.c.counts)
    return _read(connection, query.order_by(BEND.c.sequence))


def _batches_of(connection: Connection, tube: TubeSize) -> Sequence[str]:
    return [batch.name for batch in latest(connection, BATCHES) if same_tube(batch.tube, tube)]


def _read(connection: Connection, query: Select[Any]) -> tuple[LoggedBend, ...]:
    rows: list[Row] = [dict(row) for row in connection.execute(query).mappings()]
    return read_rows(rows, bend_of, BEND)
