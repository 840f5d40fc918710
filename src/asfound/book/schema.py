"""Bring a book to today's tables when it is opened; a newer book is refused untouched."""

import contextlib
from collections.abc import Iterator

import sqlalchemy as sa
from filelock import FileLock
from sqlalchemy.engine import Connection, Engine

from asfound.book.engine import BUSY_S, POSTGRESQL_WRITER, WRITE, reading
from asfound.book.failures import told_plainly
from asfound.book.location import Location
from asfound.book.tables import SCHEMA
from asfound.problems import AsfoundError, Problem, StorageError


def bring_up_to_date(engine: Engine, location: Location) -> None:
    """Run the migrations that the book lacks.

    Raises
    ------
    StorageError
        If the book was written by a newer program; it is left untouched.
    """
    if _is_current(engine, location):
        return
    with told_plainly(location), _alone(engine, location) as connection:
        if not _is_current(engine, location):
            _migrate(connection)


def found_schema(engine: Engine, location: Location) -> str | None:
    """Return the number of the last migration that the book has had; None for a book not yet begun."""
    with reading(engine, location) as connection:
        if not sa.inspect(connection).has_table("alembic_version"):
            return None
        return connection.execute(sa.text("SELECT version_num FROM alembic_version")).scalar()


def newer_book(location: Location, what: str) -> AsfoundError:
    """Return the error for a book that a newer program wrote."""
    return StorageError(Problem(str(location), what, "open it with a newer asfound; it was left untouched"))


def _is_current(engine: Engine, location: Location) -> bool:
    found = found_schema(engine, location)
    if found is not None and found > SCHEMA:
        raise newer_book(location, f"the book has schema {found}, this program knows {SCHEMA}")
    return found == SCHEMA


@contextlib.contextmanager
def _alone(engine: Engine, location: Location) -> Iterator[Connection]:
    """Let no other asfound change the tables meanwhile."""
    with FileLock(location.folder / "tables.lock", timeout=BUSY_S), engine.connect() as connection:
        if engine.dialect.name == "sqlite":
            yield connection.execution_options(**{WRITE: True})
            return
        with engine.connect() as keeper, keeper.begin():
            # Held through all migrations, each of which commits on the other connection.
            keeper.execute(sa.select(sa.func.pg_advisory_xact_lock(POSTGRESQL_WRITER + 1)))
            yield connection


def _migrate(connection: Connection) -> None:
    # Imported here: a book that is up to date opens without it, twice as fast.
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", "asfound.book:migrations")
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    command.upgrade(config, SCHEMA)
