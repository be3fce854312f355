"""Opening a shop database: making it, knowing it, and bringing it to the version of this program."""

import contextlib
import datetime as dt
import os
import secrets
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection, Engine, inspect, text

from hoopwright.findings import Finding, Severity
from hoopwright.store.shop.engines import engine_of, raw_sqlite
from hoopwright.store.shop.tables import EVERY_TABLE, KNOWN_VERSIONS, VERSION_TABLE
from hoopwright.store.shop.troubles import damaged, newer, translated
from hoopwright.store.shop_place import ShopPlace, cannot_be_opened
from hoopwright.store.writing import make_folder, sync_folder

_MAGIC = b"SQLite format 3\0"
_HEADER_BYTES = 100


@dataclass(frozen=True, kw_only=True)
class Migrations:
    """The steps from one version of the database to the next.

    Args:
        folder: Where they are kept.
        versions: Versions that they lead to, oldest first.
    """

    folder: Path = Path(__file__).parent / "migrations"
    versions: tuple[str, ...] = KNOWN_VERSIONS


OWN_MIGRATIONS = Migrations()


def open_engine(
    place: ShopPlace, migrations: Migrations = OWN_MIGRATIONS
) -> tuple[Engine, tuple[Finding, ...]]:
    """An engine for a database of this program's version, made or upgraded where that is needed.

    Raises:
        UserError: `SHOP-020` when it cannot be reached, `SHOP-021` when it is no whole shop database, `SHOP-022`
            when it is newer, `SHOP-023`, `SHOP-029`. Nothing was changed then.
    """
    if place.file is not None:
        if not place.file.exists():
            _make_file(place.file, migrations)
        _look_at_file(place, place.file)
    engine = engine_of(place)
    with translated(place, opening=True), engine.connect() as connection:
        version = _version(connection, place)
    if version == migrations.versions[-1]:
        return engine, ()
    _refuse_newer(place, version, migrations)
    return engine, _upgrade(place, migrations)


def _refuse_newer(place: ShopPlace, version: str | None, migrations: Migrations) -> None:
    if version is not None and version not in migrations.versions:
        raise newer(place, version, migrations.versions[-1])


def _make_file(file: Path, migrations: Migrations) -> None:
    """A new database under a temporary name, put in its place whole; one that another process made first stays."""
    make_folder(file.parent)
    if file.with_name(f"{file.name}-wal").exists():
        raise damaged(file, "the file is gone, and what was last written to it is left beside it")
    part = file.with_name(f".{file.name}.{secrets.token_hex(4)}.part")
    place = ShopPlace(file=part)
    try:
        with translated(place), contextlib.closing(raw_sqlite(part, mode="rwc")) as raw:
            raw.execute("PRAGMA journal_mode = WAL")
        _run(place, migrations, backup=False)
        _put(part, file)
        sync_folder(file.parent)
    finally:
        for left in (part, *(part.with_name(part.name + end) for end in ("-wal", "-shm"))):
            left.unlink(missing_ok=True)


def _put(part: Path, file: Path) -> None:
    with contextlib.suppress(FileExistsError):
        try:
            os.link(part, file)
        except FileExistsError:
            raise
        except OSError:
            part.rename(
                file
            )  # no hard links here; Windows refuses to rename over a file, which is what is wanted


def _look_at_file(place: ShopPlace, file: Path) -> None:
    try:
        with file.open("rb") as opened:
            head = opened.read(_HEADER_BYTES)
    except OSError as error:
        todo = "See that it is a file and can be read."
        raise cannot_be_opened(place, error.strerror or str(error), todo) from None
    if not head:
        raise damaged(place, "the file is empty")
    if head[: len(_MAGIC)] != _MAGIC or len(head) < _HEADER_BYTES:
        raise damaged(place, "it does not begin as a database does")


def _version(connection: Connection, place: ShopPlace) -> str | None:
    """The database's version; None for one without any of our tables."""
    there = set(inspect(connection).get_table_names())
    ours = {table.name for table in EVERY_TABLE}
    if VERSION_TABLE not in there:
        if place.file is not None or there & ours:
            raise damaged(place, "it holds no version of a shop")
        return None
    versions = connection.execute(text(f"SELECT version_num FROM {VERSION_TABLE}")).scalars().all()  # noqa: S608
    if len(versions) != 1 or not isinstance(versions[0], str):
        raise damaged(place, "its version cannot be read")
    if versions[0] in KNOWN_VERSIONS:
        _look_inside(connection, place, there)
    return versions[0]


def _look_inside(connection: Connection, place: ShopPlace, there: set[str]) -> None:
    missing = sorted({table.name for table in EVERY_TABLE} - there)
    if missing:
        raise damaged(place, f"it lacks {', '.join(missing)}")
    if connection.dialect.name != "sqlite":
        return
    strange = connection.exec_driver_sql(
        "SELECT name FROM sqlite_master WHERE type IN ('trigger', 'view') LIMIT 1"
    ).scalar()
    if strange is not None:
        raise damaged(place, f"it holds '{strange}', which would change what is kept")


def _upgrade(place: ShopPlace, migrations: Migrations) -> tuple[Finding, ...]:
    backup = _run(place, migrations, backup=place.file is not None)
    if backup is None:
        return ()
    return (
        Finding(
            code="SHOP-030",
            severity=Severity.NOTE,
            sentence=f"The shop database {place} was brought to version {migrations.versions[-1]}; as it was before "
            f"it lies in {backup}.",
            objects=(str(place), str(backup)),
        ),
    )


def _run(place: ShopPlace, migrations: Migrations, *, backup: bool) -> Path | None:
    """Run the steps that are missing, all or none; returns the copy that was made before."""
    engine = engine_of(place, foreign_keys=False)
    kept = None
    try:
        with translated(place), engine.connect() as bare:
            connection = bare.execution_options(shop_writes=True)
            with connection.begin():
                _wait_for_turn(connection)
                if inspect(connection).has_table(VERSION_TABLE):
                    version = _version(connection, place)
                    _refuse_newer(place, version, migrations)
                    if version == migrations.versions[-1]:
                        return None  # another process was first
                if backup and place.file is not None:
                    kept = _copy_before(place.file)
                _alembic(connection, migrations)
                _refuse_loose_ends(connection, place)
    finally:
        engine.dispose()
    return kept


def _wait_for_turn(connection: Connection) -> None:
    """On a server two processes may find it empty at once; a file's transaction is a turn of its own."""
    if connection.dialect.name == "postgresql":
        connection.execute(text("SELECT pg_advisory_xact_lock(hashtext('hoopwright shop'))"))


def _copy_before(file: Path) -> Path:
    stamp = dt.datetime.now(dt.UTC).strftime("%Y%m%dT%H%M%SZ")
    target = file.with_name(f"{file.stem}-before-upgrade-{stamp}-{secrets.token_hex(2)}{file.suffix}")
    with (
        contextlib.closing(raw_sqlite(file)) as source,
        contextlib.closing(raw_sqlite(target, mode="rwc")) as copy,
    ):
        source.backup(copy)
    return target


def _alembic(connection: Connection, migrations: Migrations) -> None:
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(migrations.folder).replace("%", "%%"))
    config.attributes["connection"] = connection
    command.upgrade(config, migrations.versions[-1])


def _refuse_loose_ends(connection: Connection, place: ShopPlace) -> None:
    if connection.dialect.name != "sqlite":
        return
    loose = connection.exec_driver_sql("PRAGMA foreign_key_check").first()
    if loose is not None:
        raise damaged(place, f"a record of {loose[0]} names something that is not there")


def whole_file(file: Path) -> None:
    """Look through a whole SQLite file.

    Raises:
        UserError: `SHOP-021` when something in it is damaged.
    """
    place = ShopPlace(file=file)
    _look_at_file(place, file)
    with translated(place), contextlib.closing(raw_sqlite(file, mode="ro")) as raw:
        said = [row[0] for row in raw.execute("PRAGMA integrity_check")]
        if said != ["ok"]:
            raise damaged(place, str(said[0]))
        loose = raw.execute("PRAGMA foreign_key_check").fetchone()
    if loose is not None:
        raise damaged(place, f"a record of {loose[0]} names something that is not there")
