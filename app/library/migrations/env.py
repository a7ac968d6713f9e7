"""Run by Alembic, on the connection `app.library.versions` hands over."""

from alembic import context

connection = context.config.attributes["connection"]
# SQLite cannot change a table in place; Alembic then writes it anew.
context.configure(connection=connection, render_as_batch=connection.dialect.name == "sqlite")
with context.begin_transaction():
    context.run_migrations()
