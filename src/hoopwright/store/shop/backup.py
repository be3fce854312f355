"""Copies of the whole shop in one file, and going back to one."""

import contextlib
import datetime as dt
import secrets
import shutil
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import platformdirs
from sqlalchemy import Connection, delete, insert, select

from hoopwright.findings import UserError
from hoopwright.store.shop import bends, calibrations, named, tables
from hoopwright.store.shop.engines import raw_sqlite, reading, writing
from hoopwright.store.shop.opening import whole_file
from hoopwright.store.shop.shop import Shop
from hoopwright.store.shop.stored import read_rows, rows_of
from hoopwright.store.shop.troubles import translated
from hoopwright.store.shop_place import ShopPlace
from hoopwright.store.writing import make_folder, not_written, refuse_there, sync_folder

_AT_ONCE = 5000


@dataclass(frozen=True, kw_only=True)
class Restored:
    """What going back to a copy came to.

    Args:
        replaced: Where what was there before is kept; None where nothing was.
        bends: How many bends the shop has now.
        bends_before: How many it had; None where it could not be read.
    """

    replaced: Path | None
    bends: int
    bends_before: int | None


def back_up(shop: Shop, file: Path) -> int:
    """Write the whole shop, as it is at one moment, into an SQLite file that is not there yet.

    Returns:
        How many bends it holds.

    Raises:
        UserError: `SHOP-031` when the file is there, `STORE-002` or `SHOP-020` when it cannot be written.
    """
    with reading(shop.engine, shop.place) as connection:
        return _copy_out(connection, file)


def restore(place: ShopPlace, file: Path) -> Restored:
    """Bring the shop back to a copy, after the copy was looked through; what was there before is kept in a file.

    Other processes that have the shop open see either what was there before or what is there now.

    Raises:
        UserError: `SHOP-021` when the copy is damaged or is no shop, `SHOP-022` when it is newer; the shop is
            untouched then.
    """
    with _looked_through(file) as copy:
        try:
            shop = Shop.open(place)
        except UserError as error:
            if place.file is None or error.findings[0].code != "SHOP-021":
                raise
            return _put_in_place_of_damaged(place.file, copy)
        with shop:
            return _replace(shop, copy)


@contextlib.contextmanager
def _looked_through(file: Path) -> Iterator[Shop]:
    """An open copy of the file, brought to this program's version; the file itself is not touched."""
    with tempfile.TemporaryDirectory(prefix="hoopwright-restore-") as folder:
        copy = Path(folder) / "copy.sqlite"
        if not file.is_file():
            raise not_written(file, FileNotFoundError(2, "it is not there"))
        try:
            for end in ("", "-wal"):
                source = file.with_name(file.name + end)
                if source.exists():
                    shutil.copyfile(source, copy.with_name(copy.name + end))
        except OSError as error:
            raise not_written(file, error) from error
        whole_file(copy)
        with Shop.open(ShopPlace(file=copy)) as shop:
            _read_all(shop)
            yield shop


def _read_all(shop: Shop) -> None:
    """Every record is read once: a file may be whole and still hold what no record can be."""
    with reading(shop.engine, shop.place) as connection:
        for kind in (named.BENDERS, named.DIES, named.BATCHES, named.STICKS):
            rows = rows_of(connection, select(kind.states))
            read_rows(rows, kind.from_row, kind.states)
        calibrations.find_calibrations(connection, equal={}, tube=None, every=True)
        bends.find_bends(connection, equal={}, tube=None, after_sequence=0, every=True)


def _replace(shop: Shop, copy: Shop) -> Restored:
    with reading(copy.engine, copy.place) as source, writing(shop.engine, shop.place) as turn:
        before = bends.count(turn.connection)
        kept = _kept_name(shop.place, "before-restore")
        _copy_out(turn.connection, kept)
        for table in reversed(tables.EVERY_TABLE):
            if table is not tables.COUNTER:
                turn.connection.execute(delete(table))
        _copy_rows(source, turn.connection)
        turn.last_sequence = int(source.execute(select(tables.COUNTER.c.last_sequence)).scalar_one())
        return Restored(replaced=kept, bends=bends.count(source), bends_before=before)


def _put_in_place_of_damaged(file: Path, copy: Shop) -> Restored:
    kept = _kept_name(ShopPlace(file=file), "damaged")
    with _whole_part(file, lambda part: back_up(copy, part)) as part:
        try:
            for end in ("-wal", "-shm", ""):
                old = file.with_name(file.name + end)
                if old.exists():
                    old.rename(kept.with_name(kept.name + end))
            part.rename(file)
        except OSError as error:
            raise not_written(file, error) from error
        sync_folder(file.parent)
    with Shop.open(ShopPlace(file=file)) as shop, reading(shop.engine, shop.place) as connection:
        return Restored(replaced=kept, bends=bends.count(connection), bends_before=None)


def _copy_out(source: Connection, file: Path) -> int:
    refuse_there(file)
    make_folder(file.absolute().parent)
    with _whole_part(file, lambda part: _fill(source, part)) as part:
        try:
            part.rename(file)
        except OSError as error:
            raise not_written(file, error) from error
        sync_folder(file.absolute().parent)
    return bends.count(source)


@contextlib.contextmanager
def _whole_part(file: Path, fill: Callable[[Path], object]) -> Iterator[Path]:
    part = file.with_name(f".{file.name}.{secrets.token_hex(4)}.part")
    try:
        fill(part)
        yield part
    finally:
        for end in ("", "-wal", "-shm", "-journal"):
            with contextlib.suppress(OSError):  # a folder that cannot be written has been told of
                part.with_name(part.name + end).unlink(missing_ok=True)


def _fill(source: Connection, part: Path) -> None:
    place = ShopPlace(file=part)
    with Shop.open(place) as copy, writing(copy.engine, place) as turn:
        _copy_rows(source, turn.connection)
        turn.last_sequence = int(source.execute(select(tables.COUNTER.c.last_sequence)).scalar_one())
    with translated(place), contextlib.closing(raw_sqlite(part)) as raw:
        raw.execute("PRAGMA journal_mode = DELETE")  # one file alone, to be carried about


def _copy_rows(source: Connection, target: Connection) -> None:
    for table in tables.EVERY_TABLE:
        if table is tables.COUNTER:
            continue
        first = next(iter(table.primary_key.columns))
        result = source.execute(select(table).order_by(first)).mappings()
        while rows := [dict(row) for row in result.fetchmany(_AT_ONCE)]:
            target.execute(insert(table), rows)


def _kept_name(place: ShopPlace, why: str) -> Path:
    stamp = dt.datetime.now(dt.UTC).strftime("%Y%m%dT%H%M%SZ")
    home = place.file or platformdirs.user_data_path("hoopwright", appauthor=False) / "server.sqlite"
    return home.with_name(f"{home.stem}-{why}-{stamp}-{secrets.token_hex(2)}{home.suffix}")
