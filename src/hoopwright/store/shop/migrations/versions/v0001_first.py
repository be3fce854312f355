"""Version 1: benders, dies, batches, sticks, calibrations and the log of bends."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

_NAME = sa.String(100)
_TIME = sa.String(40)


def upgrade() -> None:
    """Make every table."""
    op.create_table(
        "shop_counter",
        sa.Column("id", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("last_sequence", sa.Integer, nullable=False),
        sa.CheckConstraint("id = 1", name="ck_shop_counter_one_row"),
    )
    op.execute("INSERT INTO shop_counter (id, last_sequence) VALUES (1, 0)")
    _bender()
    _die()
    _batch()
    _stick()
    _calibration()
    _bend()


def _names(kind: str) -> None:
    op.create_table(
        f"shop_{kind}", sa.Column("name", _NAME), sa.PrimaryKeyConstraint("name", name=f"pk_shop_{kind}")
    )


def _states(kind: str, *columns: "sa.Column[object] | sa.ForeignKeyConstraint") -> None:
    table = f"shop_{kind}_state"
    op.create_table(
        table,
        sa.Column("sequence", sa.Integer, autoincrement=False, nullable=False),
        sa.Column("name", _NAME, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        *columns,
        sa.Column("note", sa.Text, nullable=False),
        sa.Column("recorded", _TIME, nullable=False),
        sa.PrimaryKeyConstraint("sequence", name=f"pk_{table}"),
        sa.ForeignKeyConstraint(["name"], [f"shop_{kind}.name"], name=f"fk_{table}_name"),
        sa.UniqueConstraint("name", "version", name=f"uq_{table}_name_version"),
    )


def _number(name: str, *, needed: bool = True) -> "sa.Column[object]":
    return sa.Column(name, sa.Double, nullable=not needed)


def _text(name: str, kind: "sa.types.TypeEngine[str]", *, needed: bool = True) -> "sa.Column[object]":
    return sa.Column(name, kind, nullable=not needed)


def _refers(table: str, column: str, target: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint([column], [target], name=f"fk_{table}_{column}")


def _bender() -> None:
    _names("bender")
    _states(
        "bender",
        _text("swings", sa.String(20)),
        _number("clamp_mm"),
        _number("axis_height_mm", needed=False),
        _number("reach_deg"),
        _text("stand", sa.Text()),
        sa.Column("retired", sa.Boolean, nullable=False),
    )


def _die() -> None:
    _names("die")
    _states(
        "die",
        _number("od_mm"),
        _number("clr_mm"),
        _number("reach_deg"),
        _number("clamp_mm", needed=False),
        _text("bender", _NAME),
        sa.Column("retired", sa.Boolean, nullable=False),
        _refers("shop_die_state", "bender", "shop_bender.name"),
    )


def _batch() -> None:
    _names("batch")
    _states(
        "batch",
        _number("od_mm"),
        _number("wall_mm"),
        _text("steel", _NAME),
        _text("heat_number", _NAME),
        _number("yield_mpa", needed=False),
        _text("certificate", _NAME),
        sa.Column("retired", sa.Boolean, nullable=False),
    )


def _stick() -> None:
    _names("stick")
    _states(
        "stick",
        _text("batch", _NAME),
        _number("length_mm"),
        _text("state", sa.String(20)),
        _text("cut_from", _NAME, needed=False),
        _refers("shop_stick_state", "batch", "shop_batch.name"),
        _refers("shop_stick_state", "cut_from", "shop_stick.name"),
    )


def _kept(table: str, *columns: "sa.Column[object] | sa.ForeignKeyConstraint") -> None:
    """A table of measured records, each with a key of its own and perhaps the key of the one that it corrects."""
    op.create_table(
        table,
        sa.Column("sequence", sa.Integer, autoincrement=False, nullable=False),
        _text("key", _NAME),
        *columns,
        _text("corrects", _NAME, needed=False),
        _text("recorded", _TIME),
        sa.PrimaryKeyConstraint("sequence", name=f"pk_{table}"),
        sa.UniqueConstraint("key", name=f"uq_{table}_key"),
        sa.UniqueConstraint("corrects", name=f"uq_{table}_corrects"),
        _refers(table, "corrects", f"{table}.key"),
    )


def _calibration() -> None:
    table = "shop_calibration"
    _kept(
        table,
        _text("die", _NAME),
        _text("bender", _NAME, needed=False),
        _text("batch", _NAME, needed=False),
        _number("od_mm"),
        _number("wall_mm"),
        _text("date", sa.String(20)),
        _text("samples", sa.Text()),
        _text("given", sa.Text()),
        *(_refers(table, kind, f"shop_{kind}.name") for kind in ("die", "bender", "batch")),
    )
    op.create_index("ix_shop_calibration_die", table, ["die"])


def _bend() -> None:
    table = "shop_bend"
    _kept(
        table,
        _text("time", _TIME),
        *(_text(kind, _NAME) for kind in ("bender", "die", "batch", "project", "bar")),
        sa.Column("bend_number", sa.Integer, nullable=False),
        *(_number(name) for name in ("wanted_deg", "command_deg", "released_deg")),
        _text("fed_from", sa.String(1)),
        _number("rotation_deg", needed=False),
        _text("note", sa.Text()),
        sa.Column("counts", sa.Boolean, nullable=False),
        *(_refers(table, kind, f"shop_{kind}.name") for kind in ("bender", "die", "batch")),
    )
    op.create_index("ix_shop_bend_die_batch", table, ["die", "batch"])
    op.create_index("ix_shop_bend_project_bar", table, ["project", "bar"])
    op.create_index("ix_shop_bend_bender_time", table, ["bender", "time"])
