"""Runs migrations on the connection that the shop opened; its transaction is the caller's."""

from alembic import context

from hoopwright.store.shop.tables import VERSION_TABLE

context.configure(
    connection=context.config.attributes["connection"], version_table=VERSION_TABLE, transactional_ddl=True
)
context.run_migrations()
