"""The database's version: brought up by chained steps with a copy made before, all or nothing, never down."""

import contextlib
import shutil
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
from sqlalchemy import inspect, text

from hoopwright.findings import UserError
from hoopwright.store.shop import Shop
from hoopwright.store.shop.opening import OWN_MIGRATIONS, Migrations
from hoopwright.store.shop.tables import EVERY_TABLE, KNOWN_VERSIONS, METADATA, VERSION_TABLE

DATA = Path(__file__).parent / "data"
STEP = """
import sqlalchemy as sa
from alembic import op
revision, down_revision, branch_labels, depends_on = "0003", "0002", None, None

def upgrade():
    op.execute("INSERT INTO shop_bender (name) VALUES ('from the step')")
    with op.batch_alter_table("shop_bend") as bend:
        bend.add_column(sa.Column("humidity_percent", sa.Double))
"""


@pytest.fixture
def next_version(tmp_path):
    """This program's steps and one more; `extra` is put at its end."""

    def make(extra=""):
        folder = tmp_path / f"steps {len(extra)}%"
        shutil.copytree(OWN_MIGRATIONS.folder, folder)
        (folder / "versions" / "v0003_next.py").write_text(STEP + extra, encoding="utf-8")
        return Migrations(folder=folder, versions=(*KNOWN_VERSIONS, "0003"))

    return make


def columns(shop):
    return {column["name"] for column in inspect(shop.engine).get_columns("shop_bend")}


def test_an_old_database_is_upgraded_and_nothing_in_it_is_lost(place, makes, next_version, tmp_path):
    with Shop.open(place) as old:
        bend = makes.furnished(old).add_bend(makes.bend()).record
        stick = old.sticks()
    with Shop.open(place, migrations=next_version()) as new:
        assert "humidity_percent" in columns(new)
        assert new.bends() == (bend,)
        assert new.sticks() == stick
        copies = list(tmp_path.glob("*before-upgrade*"))
        assert [finding.code for finding in new.findings] == ["SHOP-030"] * len(copies)
        assert len(copies) == (1 if new.place.file else 0)
    with Shop.open(place, migrations=next_version("# x")) as again:
        assert again.findings == ()
    for copy in copies:
        with Shop.open(copy) as before:
            assert before.bends() == (bend,)
            assert "humidity_percent" not in columns(before)


@pytest.mark.parametrize(
    "fault",
    ["    raise ValueError('broken')\n", "    op.execute('INSERT INTO shop_bender (name) VALUES (NULL)')\n"],
)
def test_a_step_that_fails_leaves_the_database_as_it_was(place, makes, next_version, fault):
    with Shop.open(place) as old:
        makes.furnished(old).add_bend(makes.bend())
    with pytest.raises((UserError, ValueError)):
        Shop.open(place, migrations=next_version(fault))
    with Shop.open(place) as still:
        assert still.bends() == (makes.bend(),)
        assert "humidity_percent" not in columns(still)
        assert [bender.name for bender in still.benders()] == ["Red"]


def test_a_step_that_leaves_loose_ends_is_taken_back(tmp_path, makes, next_version):
    file = tmp_path / "shop.sqlite"
    with Shop.open(file) as old:
        makes.furnished(old).add_bend(makes.bend())
    with pytest.raises(UserError) as stopped:
        Shop.open(file, migrations=next_version("    op.execute('DELETE FROM shop_die')\n"))
    assert stopped.value.findings[0].code == "SHOP-021"
    with Shop.open(file) as still:
        assert still.bends() == (makes.bend(),)


def test_a_newer_database_is_refused(place, makes, next_version):
    with Shop.open(place, migrations=next_version()) as newer:
        makes.furnished(newer)
    with pytest.raises(UserError) as stopped:
        Shop.open(place)
    assert [finding.code for finding in stopped.value.findings] == ["SHOP-022"]
    with Shop.open(place, migrations=next_version("# x")) as still:
        assert [die.name for die in still.dies()] == ["38", "45"]


def test_version_1_as_it_was_first_written_is_read(tmp_path, makes):
    """A database of version 1 that is kept as text; every later version must read it."""
    file = tmp_path / "old.sqlite"
    with contextlib.closing(sqlite3.connect(file)) as old:
        old.executescript((DATA / "shop_version_1.sql").read_text(encoding="utf-8"))
    with Shop.open(file) as shop:
        assert shop.bender("Red").stand == {"wall_mm": [1, 2.5]}
        assert [die.name for die in shop.dies()] == ["38", "45"]
        assert shop.batch("B1").yield_mpa == 460.5
        assert shop.stick("S1a").cut_from == "S1"
        assert [(bend.key, bend.released_deg) for bend in shop.bends()] == [("b", 90.2), ("a2", 90.15)]
        assert shop.bend("a") == makes.bend("a", project="car", bar="MH", rotation_deg=-89.5, note="first")
        (record,) = shop.calibrations()
        assert record.samples.angles[1].released_deg == 86.5
        # of its bends nobody knows on which device they were read; of those to come it is kept
        assert {bend.device for bend in shop.bends(every=True)} == {""}
        shop.add_bend(makes.bend("later", device="Bender tablet"))
    with Shop.open(file) as again:
        assert again.findings == ()
        assert again.bend("later").device == "Bender tablet"


def test_the_steps_make_what_the_code_speaks_to(place):
    """Columns, whether they may be empty, references and unique keys, of every table."""
    with Shop.open(place) as shop:
        seen = inspect(shop.engine)
        assert set(seen.get_table_names()) == {*METADATA.tables, VERSION_TABLE}
        for table in EVERY_TABLE:
            made = {column["name"]: column for column in seen.get_columns(table.name)}
            assert set(made) == set(table.columns.keys())
            for column in table.columns:
                assert made[column.name]["nullable"] == column.nullable, (table.name, column.name)
                assert made[column.name]["type"]._type_affinity is column.type._type_affinity
            references = {tuple(key["constrained_columns"]) for key in seen.get_foreign_keys(table.name)}
            assert references == {tuple(key.column_keys) for key in table.foreign_key_constraints}
            unique = {tuple(one["column_names"]) for one in seen.get_unique_constraints(table.name)}
            wanted = {
                tuple(one.columns.keys())
                for one in table.constraints
                if type(one).__name__ == "UniqueConstraint"
            }
            assert unique == wanted, table.name
            indexes = {tuple(one["column_names"]) for one in seen.get_indexes(table.name)}
            assert {tuple(one.columns.keys()) for one in table.indexes} <= indexes


def test_the_known_versions_are_those_of_the_steps():
    from alembic.config import Config
    from alembic.script import ScriptDirectory

    config = Config()
    config.set_main_option("script_location", str(OWN_MIGRATIONS.folder))
    steps = ScriptDirectory.from_config(config)
    assert [step.revision for step in steps.walk_revisions()][::-1] == list(KNOWN_VERSIONS)


def test_a_server_s_database_of_somebody_else_is_left_alone(postgres):
    url = postgres.fresh()
    name = url.partition("?")[0].rpartition("/")[2]
    postgres.sql(name, "CREATE TABLE shop_bend (angle float)")
    with pytest.raises(UserError) as stopped:
        Shop.open(url)
    assert stopped.value.findings[0].code == "SHOP-021"


def test_a_server_s_database_may_hold_other_tables_too(postgres, makes):
    url = postgres.fresh()
    postgres.sql(url.partition("?")[0].rpartition("/")[2], "CREATE TABLE invoices (total float)")
    with Shop.open(url) as shop:
        makes.furnished(shop)
        with shop.engine.connect() as connection:
            assert connection.execute(text("SELECT count(*) FROM invoices")).scalar() == 0


OPEN_AND_ADD = """
import sys
from hoopwright.bender import ShopBender
from hoopwright.store.shop import Shop
sys.stdin.readline()
with Shop.open(sys.argv[1]) as shop:
    shop.add_bender(ShopBender(name=sys.argv[2], swings="clockwise", clamp_mm=1.0))
"""


def test_four_processes_find_no_shop_at_once(place):
    """Each would make it; one does, and no bender is lost."""
    names = ["a", "b", "c", "d"]
    starts = [
        subprocess.Popen([sys.executable, "-c", OPEN_AND_ADD, place, name], stdin=subprocess.PIPE, text=True)
        for name in names
    ]
    for process in starts:
        process.stdin.write("\n")
        process.stdin.flush()
    assert [process.wait(120) for process in starts] == [0, 0, 0, 0]
    with Shop.open(place) as shop:
        assert [bender.name for bender in shop.benders()] == names
