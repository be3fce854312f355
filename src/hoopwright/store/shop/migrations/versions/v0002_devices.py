"""Version 2: on which device each bend was read."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the column; of bends that were logged before, nobody said."""
    op.add_column("shop_bend", sa.Column("device", sa.String(100), nullable=False, server_default=""))
