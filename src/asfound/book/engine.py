"""Connections to the book: every transaction is begun and ended by us, and a write is alone from its start."""

import contextlib
import sqlite3
import time
from collections.abc import Iterator
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Engine

from asfound.book.failures import told_plainly
from asfound.book.location import Location

BUSY_S = 15
WRITE = "asfound_write"
# Any number will do, as long as every asfound takes the same one.
POSTGRESQL_WRITER = 7_310_642_001


def make_engine(location: Location) -> Engine:
    """Return the engine of a book; nothing is opened yet."""
    if not location.is_file:
        return sa.create_engine(location.url, pool_pre_ping=True, connect_args={"connect_timeout": BUSY_S})
    engine = sa.create_engine(location.url, connect_args={"timeout": BUSY_S, "isolation_level": None})
    sa.event.listen(engine, "connect", _prepare_sqlite)
    sa.event.listen(engine, "begin", _begin_sqlite)
    return engine


def _prepare_sqlite(connection: sqlite3.Connection, _record: Any) -> None:
    _use_wal(connection)
    cursor = connection.cursor()
    cursor.execute("PRAGMA synchronous = FULL")
    cursor.execute("PRAGMA foreign_keys = ON")
    cursor.close()


def _use_wal(connection: sqlite3.Connection) -> None:
    """Turn on the write-ahead log; where several programs begin a book at once SQLite does not wait by itself."""
    give_up = time.monotonic() + BUSY_S
    while True:
        try:
            # Read to its end: what goes wrong in the last part of it would not be told otherwise.
            connection.execute("PRAGMA journal_mode = WAL").fetchall()
            return
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY or time.monotonic() > give_up:
                raise
            time.sleep(0.02)


def _begin_sqlite(connection: Connection) -> None:
    # Taking the write lock at once: a read that turns into a write may be refused in WAL mode.
    write = connection.get_execution_options().get(WRITE, False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if write else "BEGIN")


@contextlib.contextmanager
def reading(engine: Engine, where: object) -> Iterator[Connection]:
    """Give a connection that sees one state of the book for the whole block."""
    with told_plainly(where), engine.connect() as connection:
        if engine.dialect.name == "postgresql":
            connection = connection.execution_options(isolation_level="REPEATABLE READ")
        with connection.begin():
            yield connection


@contextlib.contextmanager
def writing(engine: Engine, where: object) -> Iterator[Connection]:
    """Give a connection that is the book's only writer until the block ends; then everything is committed.

    One writer at a time, also among several programs, is what keeps sequences gapless and stamps rising.
    """
    with told_plainly(where), engine.connect() as connection:
        connection = connection.execution_options(**{WRITE: True})
        with connection.begin():
            if engine.dialect.name == "postgresql":
                connection.execute(sa.select(sa.func.pg_advisory_xact_lock(POSTGRESQL_WRITER)))
            yield connection
