"""Connections to the shop database, and turns at writing."""

import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, select, text, update
from sqlalchemy.engine import make_url
from sqlalchemy.exc import DBAPIError
from sqlalchemy.pool import QueuePool

from hoopwright.store.shop.tables import COUNTER
from hoopwright.store.shop.troubles import addressed, lost, translated
from hoopwright.store.shop_place import ShopPlace

WAIT_S = 30.0
"""How long a process waits for its turn at writing."""
# a cable that was pulled is noticed, not waited for
_PATIENCE: Mapping[str, int] = MappingProxyType(
    {"connect_timeout": 10, "keepalives_idle": 10, "keepalives_interval": 5, "keepalives_count": 3}
)
_WRITES = "shop_writes"


def engine_of(place: ShopPlace, *, foreign_keys: bool = True) -> Engine:
    """An engine for a place that holds a database.

    Args:
        place: The place.
        foreign_keys: Whether references are held; a migration that rebuilds tables must not have them held.

    Raises:
        UserError: `SHOP-020` without a driver, or for an address that cannot be read.
    """
    if place.file is not None:
        return _sqlite(place.file, foreign_keys=foreign_keys)
    with addressed(place):
        url = make_url(place.url)
        if url.drivername in ("postgres", "postgresql"):
            url = url.set(drivername="postgresql+psycopg")
        options = _PATIENCE if url.get_backend_name() == "postgresql" else {}
        return create_engine(url, pool_pre_ping=True, connect_args=dict(options))


def raw_sqlite(file: Path, *, mode: str = "rw") -> sqlite3.Connection:
    """A bare connection to a file that is there; `rwc` makes it.

    Raises:
        sqlite3.Error: When it cannot be opened.
    """
    return sqlite3.connect(
        f"{file.absolute().as_uri()}?mode={mode}",
        uri=True,
        timeout=WAIT_S,
        isolation_level=None,
        check_same_thread=False,
    )


def _sqlite(file: Path, *, foreign_keys: bool) -> Engine:
    engine = create_engine("sqlite://", creator=lambda: raw_sqlite(file), poolclass=QueuePool)

    @event.listens_for(engine, "connect")
    def _set_up(connection: Any, _record: object) -> None:
        connection.execute(f"PRAGMA foreign_keys = {'ON' if foreign_keys else 'OFF'}")
        # an acknowledged bend must outlive a power cut, not only the end of the process
        connection.execute("PRAGMA synchronous = FULL")
        # a file from elsewhere must not run functions of its own
        connection.execute("PRAGMA trusted_schema = OFF")

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        # a turn that begins by reading and then wants to write would be refused, not made to wait
        writes = connection.get_execution_options().get(_WRITES, False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


@contextmanager
def reading(engine: Engine, place: ShopPlace) -> Iterator[Connection]:
    """A connection that sees one state of the database from its first look to its last.

    Raises:
        UserError: `SHOP-020` to `SHOP-023`, `SHOP-029`.
    """
    with translated(place), engine.connect() as connection:
        if engine.dialect.name == "postgresql":
            connection.execution_options(isolation_level="REPEATABLE READ")
        yield connection


@dataclass(kw_only=True)
class Turn:
    """A turn at writing; no other process writes meanwhile.

    Args:
        connection: To the database, in a transaction.
        last_sequence: The last number that was given out.
    """

    connection: Connection
    last_sequence: int

    def next_sequence(self) -> int:
        """The next number in the order of keeping."""
        self.last_sequence += 1
        return self.last_sequence


@contextmanager
def writing(engine: Engine, place: ShopPlace) -> Iterator[Turn]:
    """A turn at writing: all that is done in it is kept together at its end, or nothing.

    Raises:
        UserError: `SHOP-020` to `SHOP-023`, `SHOP-029`; nothing is kept then, unless the finding says that it is
            not known.
    """
    with translated(place), engine.connect() as bare:
        connection = bare.execution_options(**{_WRITES: True})
        transaction = connection.begin()
        try:
            if connection.dialect.name == "postgresql":
                connection.execute(text(f"SET LOCAL lock_timeout = '{WAIT_S:g}s'"))
            connection.execute(update(COUNTER).values(last_sequence=COUNTER.c.last_sequence))
            first = int(connection.execute(select(COUNTER.c.last_sequence)).scalar_one())
            turn = Turn(connection=connection, last_sequence=first)
            yield turn
            if turn.last_sequence != first:
                connection.execute(update(COUNTER).values(last_sequence=turn.last_sequence))
        except BaseException:
            _give_up(transaction)
            raise
        _keep(transaction, place)


def _give_up(transaction: Any) -> None:
    try:
        transaction.rollback()
    except DBAPIError:
        return  # the server is gone, and what was not committed with it


def _keep(transaction: Any, place: ShopPlace) -> None:
    try:
        transaction.commit()
    except DBAPIError as error:
        if place.file is not None:
            _give_up(transaction)
            raise
        raise lost(place, " ".join(str(error.orig or error).split()), in_doubt=True) from error
