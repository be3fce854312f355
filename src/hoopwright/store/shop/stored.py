"""What keeping a record came to, and what all kinds of records share."""

import datetime as dt
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from sqlalchemy import Connection, Select, Table, select

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.store.shop.troubles import damaged

Record = TypeVar("Record")
Row = Mapping[str, Any]


@dataclass(frozen=True, kw_only=True)
class Stored(Generic[Record]):
    """A record as it is kept.

    Args:
        record: The record, with its version or sequence.
        is_new: False where the very same was kept already.
        findings: What a person should know about it.
    """

    record: Record
    is_new: bool
    findings: tuple[Finding, ...] = ()


def now() -> str:
    """This moment as the database keeps it."""
    return as_kept(dt.datetime.now(dt.UTC))


def as_kept(time: dt.datetime) -> str:
    """A time as the database keeps it: one length, so that text sorts as time does."""
    return time.astimezone(dt.UTC).isoformat(timespec="microseconds")


def rows_of(connection: Connection, query: Select[Any]) -> list[Row]:
    """Every row of a query, all at once: a log is read much faster so than row by row."""
    result = connection.execute(query)
    keys = tuple(result.keys())
    return [dict(zip(keys, row, strict=True)) for row in result.all()]


def read_rows(rows: list[Row], make: Callable[[Row], Record], table: Table) -> tuple[Record, ...]:
    """Records of rows.

    Raises:
        UserError: `SHOP-021` for a row that no record can be made of.
    """
    made = []
    for row in rows:
        try:
            made.append(make(row))
        except UserError as error:
            raise _bad_row(row, table, error.findings[0].sentence) from error
        except (TypeError, ValueError, AttributeError, RecursionError) as error:
            raise _bad_row(row, table, str(error)) from error
    return tuple(made)


def _bad_row(row: Row, table: Table, why: str) -> UserError:
    return damaged("What was opened", f"record {row.get('sequence')} of {table.name}: {why}")


def refuse_unknown(connection: Connection, names: Table, word: str, name: str) -> None:
    """Stop where a record names something that is not kept.

    Raises:
        UserError: `SHOP-025`.
    """
    column = names.c.name
    if connection.execute(select(column).where(column == name)).first() is not None:
        return
    known = connection.execute(select(column).order_by(column).limit(20)).scalars().all()
    raise unknown(word, name, [str(one) for one in known])


def unknown(word: str, name: str, known: list[str]) -> UserError:
    """The stop for a name that is not kept."""
    return UserError(
        Finding(
            code="SHOP-025",
            severity=Severity.STOP,
            sentence=f"The shop has no {word} '{name}'; it has {', '.join(known) or 'none yet'}.",
            todo=f"Look at the name, or add it: 'hoopwright {word} add'.",
            objects=(name,),
        )
    )


def differs(what: str, kept: object, given: object, todo: str) -> UserError:
    """The stop for a record that is kept already with other values."""
    old, new = vars(kept), vars(given)
    keys = [key for key in new if key not in ("version", "sequence") and old[key] != new[key]]
    told = ", ".join(f"{key} {_short(old[key])}, not {_short(new[key])}" for key in keys[:5])
    return UserError(
        Finding(
            code="SHOP-024",
            severity=Severity.STOP,
            sentence=f"{what} is kept already, with {told}. Nothing was changed.",
            todo=todo,
            objects=tuple(keys),
        )
    )


def _short(value: object) -> str:
    text = f"'{value}'" if isinstance(value, str) else str(value)
    return text if len(text) <= 60 else f"{text[:57]}..."
