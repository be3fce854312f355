"""Benders, dies, batches and sticks: things with a name, of which each change is kept as a further version."""

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any, Generic, TypeVar

from sqlalchemy import Connection, Table, func, insert, select

from hoopwright.bender import ShopBender, ShopDie, Stick, TubeBatch
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.store.shop import tables
from hoopwright.store.shop.engines import Turn
from hoopwright.store.shop.stored import (
    Row,
    Stored,
    differs,
    now,
    read_rows,
    refuse_unknown,
    rows_of,
    unknown,
)
from hoopwright.tubes import TubeSize

Named = TypeVar("Named", ShopBender, ShopDie, TubeBatch, Stick)


@dataclass(frozen=True, kw_only=True)
class Kind(Generic[Named]):
    """How one kind of named thing is kept.

    Args:
        word: What a person calls it.
        names: Its table of names.
        states: Its table of versions.
        name_of: The name of a record.
        to_row: The columns of a record, but for sequence, name, version and recorded.
        from_row: The record of a row.
        refers_to: What a record names: word, table of names, name.
    """

    word: str
    names: Table
    states: Table
    name_of: Callable[[Named], str]
    to_row: Callable[[Named], dict[str, Any]]
    from_row: Callable[[Row], Named]
    refers_to: Callable[[Named], tuple[tuple[str, Table, str], ...]]


def latest(connection: Connection, kind: Kind[Named], name: str | None = None) -> tuple[Named, ...]:
    """The version in force of each thing, or of one, in the order of their names."""
    states = kind.states
    newest = (
        select(states.c.name, func.max(states.c.version).label("version")).group_by(states.c.name).subquery()
    )
    query = (
        select(states)
        .join(newest, (states.c.name == newest.c.name) & (states.c.version == newest.c.version))
        .order_by(states.c.name)
    )
    if name is not None:
        query = query.where(states.c.name == name)
    rows = rows_of(connection, query)
    return read_rows(rows, kind.from_row, states)


def versions(connection: Connection, kind: Kind[Named], name: str) -> tuple[Named, ...]:
    """Every version of a thing, oldest first."""
    states = kind.states
    query = select(states).where(states.c.name == name).order_by(states.c.version)
    rows = rows_of(connection, query)
    return read_rows(rows, kind.from_row, states)


def one(connection: Connection, kind: Kind[Named], name: str) -> Named:
    """The version in force of one thing.

    Raises:
        UserError: `SHOP-025` when there is none.
    """
    found = latest(connection, kind, name)
    if not found:
        known = connection.execute(select(kind.names.c.name).order_by(kind.names.c.name).limit(20))
        raise unknown(kind.word, name, [str(other) for other in known.scalars()])
    return found[0]


def keep(turn: Turn, kind: Kind[Named], record: Named, *, change: bool = False) -> Stored[Named]:
    """Keep a thing that is new, or a further version of one that is known.

    Args:
        turn: The turn at writing.
        kind: Its kind.
        record: What is to be kept. A version in it says which version it was changed from.
        change: Whether a name that is known may get another version.

    Raises:
        UserError: `SHOP-024` when the name is kept with other values and no change was asked for, `SHOP-025` for
            a name that it refers to and that is not kept, `SHOP-026` when it was changed elsewhere meanwhile.
    """
    name = kind.name_of(record)
    found = latest(turn.connection, kind, name)
    old = found[0] if found else None
    if old == record:
        return Stored(record=old, is_new=False)
    if old is not None:
        _refuse_change(kind, name, old, record, change=change)
    version = 1 if old is None else old.version + 1
    return keep_next(turn, kind, replace(record, version=version), recorded="")


def keep_next(turn: Turn, kind: Kind[Named], record: Named, *, recorded: str) -> Stored[Named]:
    """Keep the next version of a thing, whatever the one before it says.

    Args:
        turn: The turn at writing.
        kind: Its kind.
        record: The version; 1 for a new thing.
        recorded: When it was kept first, for one that comes from another shop; now when empty.

    Raises:
        UserError: `SHOP-025` for a name that it refers to and that is not kept.
    """
    for word, names, other in kind.refers_to(record):
        refuse_unknown(turn.connection, names, word, other)
    if record.version == 1:
        turn.connection.execute(insert(kind.names).values(name=kind.name_of(record)))
    row = row_of(kind, record, turn.next_sequence(), recorded or now())
    turn.connection.execute(insert(kind.states).values(**row))
    return Stored(record=record, is_new=True)


def row_of(kind: Kind[Named], record: Named, sequence: int, recorded: str) -> dict[str, Any]:
    """The whole row of a version."""
    return {
        "sequence": sequence,
        "name": kind.name_of(record),
        "version": record.version,
        "note": record.note,
        "recorded": recorded,
        **kind.to_row(record),
    }


def _refuse_change(kind: Kind[Named], name: str, old: Named, record: Named, *, change: bool) -> None:
    what = f"{kind.word.capitalize()} '{name}'"
    if not change:
        todo = f"Give it another name, or change it: 'hoopwright {kind.word} change'."
        raise differs(what, old, record, todo)
    if record.version not in (0, old.version):
        raise UserError(
            Finding(
                code="SHOP-026",
                severity=Severity.STOP,
                sentence=f"{what} was changed elsewhere since it was read: version {old.version} is in force, and "
                f"the change was made to version {record.version}.",
                todo="Look at it again, and repeat the change.",
                objects=(name,),
            )
        )


def _bender_row(bender: ShopBender) -> dict[str, Any]:
    keys = ("swings", "clamp_mm", "axis_height_mm", "reach_deg", "retired")
    return {key: getattr(bender, key) for key in keys} | {"stand": json.dumps(dict(bender.stand))}


def _bender_of(row: Row) -> ShopBender:
    keys = ("name", "swings", "clamp_mm", "axis_height_mm", "reach_deg", "note", "retired", "version")
    stand: Mapping[str, object] = MappingProxyType(json.loads(row["stand"]))
    return ShopBender(**{key: row[key] for key in keys}, stand=stand)


_DIE_KEYS = ("od_mm", "clr_mm", "reach_deg", "clamp_mm", "bender", "retired")
_BATCH_KEYS = ("steel", "heat_number", "yield_mpa", "certificate", "retired")


def _batch_row(batch: TubeBatch) -> dict[str, Any]:
    return {key: getattr(batch, key) for key in _BATCH_KEYS} | vars(batch.tube)


def _batch_of(row: Row) -> TubeBatch:
    return TubeBatch(
        **{key: row[key] for key in ("name", *_BATCH_KEYS, "note", "version")},
        tube=TubeSize(od_mm=row["od_mm"], wall_mm=row["wall_mm"]),
    )


def _stick_of(row: Row) -> Stick:
    keys = ("batch", "length_mm", "state", "note", "version")
    return Stick(**{key: row[key] for key in keys}, label=row["name"], cut_from=row["cut_from"] or "")


def _stick_refers(stick: Stick) -> tuple[tuple[str, Table, str], ...]:
    whole = (("stick", tables.STICK, stick.cut_from),) if stick.cut_from else ()
    return (("batch", tables.BATCH, stick.batch), *whole)


BENDERS: Kind[ShopBender] = Kind(
    word="bender",
    names=tables.BENDER,
    states=tables.BENDER_STATE,
    name_of=lambda bender: bender.name,
    to_row=_bender_row,
    from_row=_bender_of,
    refers_to=lambda _: (),
)
DIES: Kind[ShopDie] = Kind(
    word="die",
    names=tables.DIE,
    states=tables.DIE_STATE,
    name_of=lambda die: die.name,
    to_row=lambda die: {key: getattr(die, key) for key in _DIE_KEYS},
    from_row=lambda row: ShopDie(**{key: row[key] for key in ("name", *_DIE_KEYS, "note", "version")}),
    refers_to=lambda die: (("bender", tables.BENDER, die.bender),),
)
BATCHES: Kind[TubeBatch] = Kind(
    word="batch",
    names=tables.BATCH,
    states=tables.BATCH_STATE,
    name_of=lambda batch: batch.name,
    to_row=_batch_row,
    from_row=_batch_of,
    refers_to=lambda _: (),
)
STICKS: Kind[Stick] = Kind(
    word="stick",
    names=tables.STICK,
    states=tables.STICK_STATE,
    name_of=lambda stick: stick.label,
    to_row=lambda stick: {
        "batch": stick.batch,
        "length_mm": stick.length_mm,
        "state": stick.state,
        "cut_from": stick.cut_from or None,
    },
    from_row=_stick_of,
    refers_to=_stick_refers,
)
