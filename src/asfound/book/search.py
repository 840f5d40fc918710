"""Search behind one interface: FTS5 on SQLite, tsvector on PostgreSQL."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from asfound.book.failures import lists_legible
from asfound.book.words import entry_text, keepable, words
from asfound.job import Entry

METADATA = sa.MetaData()

LINE = sa.Table(
    "search_line",
    METADATA,
    sa.Column("number", sa.BigInteger().with_variant(sa.Integer, "sqlite"), primary_key=True, autoincrement=True),
    sa.Column("entry", sa.String(36), nullable=False),
    sa.Column("job", sa.String(36), nullable=False),
    sa.Column("kind", sa.String(40), nullable=False),
    sa.Column("wall_ms", sa.BigInteger, nullable=False),
    sa.Column("text", sa.Text, nullable=False),
)

_CREATE = {
    "sqlite": ["CREATE VIRTUAL TABLE search_word USING fts5(words, content='', prefix='1 2 3 4 5 6')"],
    "postgresql": [
        "ALTER TABLE search_line ADD COLUMN words tsvector",
        "CREATE INDEX search_word ON search_line USING gin (words)",
    ],
}
_FILL = {
    "sqlite": "INSERT INTO search_word (rowid, words) VALUES (:number, :words)",
    "postgresql": "UPDATE search_line SET words = array_to_tsvector(string_to_array(:words, ' ')) "
    "WHERE number = :number",
}
_FIND = {
    "sqlite": "SELECT rowid FROM search_word WHERE search_word MATCH :wanted ORDER BY rowid DESC LIMIT :limit",
    "postgresql": "SELECT number FROM search_line WHERE words @@ CAST(:wanted AS tsquery) "
    "ORDER BY number DESC LIMIT :limit",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Hit:
    """An entry that a search found; struck entries are found too."""

    entry: UUID
    job: UUID
    kind: str
    wall_ms: int
    text: str


class _Line(NamedTuple):
    entry: str
    job: str
    kind: str
    wall_ms: int
    text: str


def create(connection: Connection) -> None:
    """Make the tables of the search."""
    METADATA.create_all(connection)
    for statement in _CREATE[connection.dialect.name]:
        connection.exec_driver_sql(statement)


def drop(connection: Connection) -> None:
    """Remove the tables of the search."""
    if connection.dialect.name == "sqlite":
        connection.exec_driver_sql("DROP TABLE IF EXISTS search_word")
    METADATA.drop_all(connection)


def add(connection: Connection, entries: Iterable[Entry]) -> None:
    """Make entries findable; those without words are left out."""
    lines = _lines(entries)
    if not lines:
        return
    statement = LINE.insert().returning(LINE.c.number, sort_by_parameter_order=True)
    numbers = connection.execute(statement, [line._asdict() for line in lines]).scalars().all()
    filled = [{"number": n, "words": " ".join(words(line.text))} for n, line in zip(numbers, lines, strict=True)]
    connection.execute(sa.text(_FILL[connection.dialect.name]), filled)


def find(connection: Connection, text: str, *, limit: int) -> tuple[Hit, ...]:
    """Return entries in which every word of `text` begins some word; those written here last come first."""
    wanted = words(text)
    if not wanted:
        return ()
    dialect = connection.dialect.name
    given = {"wanted": _query(dialect, wanted), "limit": limit}
    numbers = connection.execute(sa.text(_FIND[dialect]), given).scalars().all()
    query = LINE.select().where(LINE.c.number.in_(numbers))
    rows = connection.execute(query.order_by(LINE.c.wall_ms.desc(), LINE.c.number.desc()))
    with lists_legible("the search"):
        return tuple(
            Hit(entry=UUID(row.entry), job=UUID(row.job), kind=row.kind, wall_ms=row.wall_ms, text=row.text)
            for row in rows
        )


def everything(connection: Connection) -> list[tuple[object, ...]]:
    """Return all lines without their numbers, sorted, for comparison."""
    columns = [column for column in LINE.c if column.name != "number"]
    return sorted(tuple(row) for row in connection.execute(sa.select(*columns)))


def expected(entries: Iterable[Entry]) -> list[tuple[object, ...]]:
    """Return the lines that `everything` should hold of these entries."""
    return [(line.entry, line.job, line.kind, line.wall_ms, line.text) for line in _lines(entries)]


def _query(dialect: str, wanted: Sequence[str]) -> str:
    # Words hold letters and digits alone, so nothing in them can end the quotes.
    if dialect == "sqlite":
        return " ".join(f'"{word}"*' for word in wanted)
    return " & ".join(f"'{word}':*" for word in wanted)


def _lines(entries: Iterable[Entry]) -> list[_Line]:
    lines = (
        _Line(str(entry.id), str(entry.job), entry.kind, entry.clock.wall_ms, keepable(entry_text(entry)))
        for entry in entries
    )
    return [line for line in lines if words(line.text)]
