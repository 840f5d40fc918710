"""A CSV file given to a shape command."""

from collections.abc import Sequence
from pathlib import Path

from asfound.problems import BadInputError, bad_input
from asfound.shape import Table, read_table


def table_of(path: Path, layouts: Sequence[Sequence[str]]) -> Table:
    """Return the columns of a file.

    Raises
    ------
    BadInputError
        If it is no text, or has not the columns or numbers that it should.
    """
    try:
        text = path.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        raise bad_input(str(path), "is not a text file", "save the table as CSV") from None
    except OSError as error:
        raise bad_input(str(path), f"cannot be read ({error.strerror})", "give another file") from None
    table, problems = read_table(text, where=path.name, layouts=layouts)
    if table is None:
        raise BadInputError(*problems)
    return table
