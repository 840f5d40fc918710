"""Run the migrations on the connection handed over by the book; each commits with its own record."""

from alembic import context

connection = context.config.attributes["connection"]
# Without transactional_ddl SQLite's changes of tables would be committed before their record.
context.configure(connection=connection, transactional_ddl=True, transaction_per_migration=True)
with context.begin_transaction():
    context.run_migrations()
