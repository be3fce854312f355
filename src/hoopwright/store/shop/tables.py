"""The tables of the shop database. Migrations make them; this is how the code speaks to them.

Of a bender, a die, a batch and a stick there is one row with its name, which other tables refer to, and one row for
each version of it. Nothing is ever updated but the counter, which every write takes first: on any database one
writer is then at work at a time, and `sequence` runs without gaps in the order in which writes were kept.
"""

from sqlalchemy import (
    Boolean,
    CheckConstraint,
    Column,
    Double,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
)

VERSION_TABLE = "shop_version"
NAME = String(100)
TIME = String(40)
KNOWN_VERSIONS = ("0001", "0002")
"""Versions that this program reads, oldest first; the last is the one that it writes."""

METADATA = MetaData(
    naming_convention={
        "pk": "pk_%(table_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    }
)

COUNTER = Table(
    "shop_counter",
    METADATA,
    Column("id", Integer, primary_key=True, autoincrement=False),
    Column("last_sequence", Integer, nullable=False),
    CheckConstraint("id = 1", name="one_row"),
)


def _names(kind: str) -> Table:
    return Table(f"shop_{kind}", METADATA, Column("name", NAME, primary_key=True))


def _states(kind: str, *columns: "Column[object]") -> Table:
    return Table(
        f"shop_{kind}_state",
        METADATA,
        Column("sequence", Integer, primary_key=True, autoincrement=False),
        Column("name", NAME, ForeignKey(f"shop_{kind}.name"), nullable=False),
        Column("version", Integer, nullable=False),
        *columns,
        Column("note", Text, nullable=False),
        Column("recorded", TIME, nullable=False),
        UniqueConstraint("name", "version"),
    )


def _refers(kind: str, column: str, *, needed: bool = True) -> "Column[object]":
    return Column(column, NAME, ForeignKey(f"shop_{kind}.name"), nullable=not needed)


BENDER = _names("bender")
BENDER_STATE = _states(
    "bender",
    Column("swings", String(20), nullable=False),
    Column("clamp_mm", Double, nullable=False),
    Column("axis_height_mm", Double),
    Column("reach_deg", Double, nullable=False),
    Column("stand", Text, nullable=False),
    Column("retired", Boolean(create_constraint=False), nullable=False),
)
DIE = _names("die")
DIE_STATE = _states(
    "die",
    Column("od_mm", Double, nullable=False),
    Column("clr_mm", Double, nullable=False),
    Column("reach_deg", Double, nullable=False),
    Column("clamp_mm", Double),
    _refers("bender", "bender"),
    Column("retired", Boolean(create_constraint=False), nullable=False),
)
BATCH = _names("batch")
BATCH_STATE = _states(
    "batch",
    Column("od_mm", Double, nullable=False),
    Column("wall_mm", Double, nullable=False),
    Column("steel", NAME, nullable=False),
    Column("heat_number", NAME, nullable=False),
    Column("yield_mpa", Double),
    Column("certificate", NAME, nullable=False),
    Column("retired", Boolean(create_constraint=False), nullable=False),
)
STICK = _names("stick")
STICK_STATE = _states(
    "stick",
    _refers("batch", "batch"),
    Column("length_mm", Double, nullable=False),
    Column("state", String(20), nullable=False),
    _refers("stick", "cut_from", needed=False),
)
CALIBRATION = Table(
    "shop_calibration",
    METADATA,
    Column("sequence", Integer, primary_key=True, autoincrement=False),
    Column("key", NAME, nullable=False, unique=True),
    _refers("die", "die"),
    _refers("bender", "bender", needed=False),
    _refers("batch", "batch", needed=False),
    Column("od_mm", Double, nullable=False),
    Column("wall_mm", Double, nullable=False),
    Column("date", String(20), nullable=False),
    Column("samples", Text, nullable=False),
    Column("given", Text, nullable=False),
    Column("corrects", NAME, ForeignKey("shop_calibration.key"), unique=True),
    Column("recorded", TIME, nullable=False),
    Index(None, "die"),
)
BEND = Table(
    "shop_bend",
    METADATA,
    Column("sequence", Integer, primary_key=True, autoincrement=False),
    Column("key", NAME, nullable=False, unique=True),
    Column("time", TIME, nullable=False),
    _refers("bender", "bender"),
    _refers("die", "die"),
    _refers("batch", "batch"),
    Column("project", NAME, nullable=False),
    Column("bar", NAME, nullable=False),
    Column("bend_number", Integer, nullable=False),
    Column("wanted_deg", Double, nullable=False),
    Column("command_deg", Double, nullable=False),
    Column("released_deg", Double, nullable=False),
    Column("fed_from", String(1), nullable=False),
    Column("rotation_deg", Double),
    Column("note", Text, nullable=False),
    Column("counts", Boolean(create_constraint=False), nullable=False),
    Column("corrects", NAME, ForeignKey("shop_bend.key"), unique=True),
    Column("recorded", TIME, nullable=False),
    Column("device", NAME, nullable=False, server_default=""),
    Index(None, "die", "batch"),
    Index(None, "project", "bar"),
    Index(None, "bender", "time"),
)
EVERY_TABLE = (
    *(COUNTER, BENDER, BENDER_STATE, DIE, DIE_STATE, BATCH, BATCH_STATE, STICK, STICK_STATE),
    *(CALIBRATION, BEND),
)
"""In an order in which each refers only to those before it, or to itself."""
