"""The log of bends: appended to, read back, never edited."""

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import fields, replace
from typing import Any

from sqlalchemy import Connection, Select, exists, func, insert, select

from hoopwright.bender import LoggedBend, ShopBender, ShopDie, TubeBatch, check_bend, same_tube
from hoopwright.findings import Finding, UserError
from hoopwright.store.shop.engines import Turn
from hoopwright.store.shop.named import BATCHES, BENDERS, DIES, latest, one
from hoopwright.store.shop.stored import Row, Stored, as_kept, differs, now, read_rows, rows_of
from hoopwright.store.shop.superseding import refuse_correction
from hoopwright.store.shop.tables import BEND
from hoopwright.tubes import TubeSize

_CLOCK_SLACK_S = 5.0
_AT_ONCE = 500
_PLAIN = (
    *("key", "bender", "die", "batch", "project", "bar", "bend_number", "wanted_deg", "command_deg"),
    *("released_deg", "fed_from", "rotation_deg", "note", "device", "counts"),
)
_FIELDS = tuple(one.name for one in fields(LoggedBend))
_NUMBERS = ("wanted_deg", "command_deg", "released_deg", "rotation_deg")


def keep_bends(
    turn: Turn, bends: Sequence[LoggedBend], recorded: Sequence[str] = ()
) -> tuple[Stored[LoggedBend], ...]:
    """Keep bends, all or none; one that is kept already is not kept again.

    Args:
        turn: The turn at writing.
        bends: The bends, in the order in which they are to be kept.
        recorded: When each was kept first, for those that come from another shop; now without.

    Raises:
        UserError: `SHOP-024` for a key that is kept with other values, `SHOP-025` for a bender, die or batch that
            is not kept, `SHOP-005` or `SHOP-006` for what cannot be with its die and batch, `SHOP-028` for a
            correction of nothing.
    """
    log = _Log(turn, [bend.key for bend in bends])
    times = recorded or [now()] * len(bends)
    stored = [log.keep(bend, time) for bend, time in zip(bends, times, strict=True)]
    log.write()
    return tuple(stored)


class _Log:
    """The log during one turn: what it needs is read once, and rows are written together."""

    def __init__(self, turn: Turn, keys: Sequence[str]) -> None:
        self._turn = turn
        self._kept = _kept_of(turn.connection, keys)
        self._tools: dict[tuple[str, str], Any] = {}
        self._last_times: dict[str, dt.datetime | None] = {}
        self._rows: list[dict[str, Any]] = []

    def keep(self, bend: LoggedBend, recorded: str) -> Stored[LoggedBend]:
        """Keep one bend; raises as `keep_bends`."""
        kept = self._kept.get(bend.key)
        if kept is not None:
            if kept != bend:
                todo = "Give another reading another key; a correction names the key of the old one."
                raise differs(f"Bend '{bend.key}'", kept, bend, todo)
            return Stored(record=kept, is_new=False)
        bender, die = self._tool(BENDERS, bend.bender), self._tool(DIES, bend.die)
        batch = self._tool(BATCHES, bend.batch)
        faults = check_bend(bend, die, batch)
        if faults:
            raise UserError(*faults)
        if bend.corrects:
            self.write()
            refuse_correction(self._turn.connection, BEND, "bend", bend.corrects)
        findings = () if bend.corrects else (*self._clock(bend), *_retired(bend, bender, die, batch))
        numbered = replace(bend, sequence=self._turn.next_sequence())
        self._kept[bend.key] = numbered
        self._rows.append(row_of(numbered, recorded))
        return Stored(record=numbered, is_new=True, findings=findings)

    def write(self) -> None:
        """Write the rows that wait."""
        if self._rows:
            self._turn.connection.execute(insert(BEND), self._rows)
            self._rows = []

    def _tool(self, kind: Any, name: str) -> Any:
        at = (kind.word, name)
        if at not in self._tools:
            self._tools[at] = one(self._turn.connection, kind, name)
        return self._tools[at]

    def _clock(self, bend: LoggedBend) -> tuple[Finding, ...]:
        """That a clock was set back: the order of keeping holds then, not the times."""
        if bend.bender not in self._last_times:
            query = select(func.max(BEND.c.time)).where(BEND.c.bender == bend.bender)
            text = self._turn.connection.execute(query).scalar()
            self._last_times[bend.bender] = None if text is None else dt.datetime.fromisoformat(text)
        last = self._last_times[bend.bender]
        self._last_times[bend.bender] = bend.time if last is None else max(last, bend.time)
        behind_s = 0.0 if last is None else (last - bend.time).total_seconds()
        return () if behind_s <= _CLOCK_SLACK_S else (_set_back(bend, behind_s),)


def _set_back(bend: LoggedBend, behind_s: float) -> Finding:
    return Finding(
        code="SHOP-027",
        sentence=f"Bend '{bend.key}' is timed {behind_s:.0f} s before the last one that was kept of bender "
        f"'{bend.bender}'. The order of keeping holds.",
        todo="Look at the clock of that station.",
        objects=(bend.key, bend.bender),
        measured=behind_s,
        limit=_CLOCK_SLACK_S,
        unit="s",
    )


def _retired(bend: LoggedBend, *tools: ShopBender | ShopDie | TubeBatch) -> Iterator[Finding]:
    for tool in tools:
        if tool.retired:
            yield Finding(
                code="SHOP-033",
                sentence=f"Bend '{bend.key}' names '{tool.name}', which is out of use.",
                todo="Is another one meant?",
                objects=(bend.key, tool.name),
            )


def _kept_of(connection: Connection, keys: Sequence[str]) -> dict[str, LoggedBend]:
    found: dict[str, LoggedBend] = {}
    for first in range(0, len(keys), _AT_ONCE):
        query = select(BEND).where(BEND.c.key.in_(keys[first : first + _AT_ONCE]))
        found |= {bend.key: bend for bend in _read(connection, query)}
    return found


def row_of(bend: LoggedBend, recorded: str) -> dict[str, Any]:
    """The whole row of a bend."""
    row = {key: getattr(bend, key) for key in _PLAIN}
    row |= {key: None if row[key] is None else float(row[key]) for key in _NUMBERS}
    kept = {"sequence": bend.sequence, "time": as_kept(bend.time), "recorded": recorded}
    return {**row, **kept, "corrects": bend.corrects or None}


def bend_of(row: Row) -> LoggedBend:
    """The bend of a row that has its fields, and perhaps more."""
    values = {name: row[name] for name in _FIELDS}
    values["time"] = dt.datetime.fromisoformat(row["time"])
    values["corrects"] = row["corrects"] or ""
    return LoggedBend.from_kept(values)


def one_bend(connection: Connection, key: str) -> LoggedBend | None:
    """The bend of a key."""
    found = _read(connection, select(BEND).where(BEND.c.key == key))
    return found[0] if found else None


def count(connection: Connection) -> int:
    """How many bends are kept."""
    return int(connection.execute(select(func.count()).select_from(BEND)).scalar_one())


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
    rows = rows_of(connection, query)
    return read_rows(rows, bend_of, BEND)
