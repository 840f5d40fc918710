"""A table beside the book: a text file of comma-separated values that any editor opens."""

import csv
import io
import os
import secrets
from collections.abc import Iterable
from pathlib import Path

from asfound.problems import Problem, StorageError


def table_row(cells: Iterable[str]) -> str:
    """Return cells as one line of a table."""
    held = io.StringIO()
    csv.writer(held, lineterminator="").writerow(cells)
    return held.getvalue()


def table_cells(line: str) -> list[str]:
    """Return the cells of one line, without the spaces about them; those of a head may be compared in lower case."""
    return [cell.strip() for cell in next(csv.reader([line], skipinitialspace=True), [])]


def table_lines(path: Path) -> list[str]:
    """Return the lines of a table, the head first; none where there is no table yet.

    Raises
    ------
    StorageError
        If the file cannot be read as UTF-8.
    """
    try:
        return [line for line in path.read_text(encoding="utf-8-sig").splitlines() if line.strip()]
    except FileNotFoundError:
        return []
    except (OSError, UnicodeDecodeError) as error:
        raise StorageError(Problem(path.name, f"it cannot be read ({error})", "save it as CSV in UTF-8")) from None


def save_table(path: Path, lines: Iterable[str]) -> None:
    """Write a table beside itself and put it in its place, so that it is never half there.

    Raises
    ------
    StorageError
        If it cannot be written.
    """
    beside = path.with_name(f"{path.name}.{secrets.token_hex(4)}")
    try:
        with beside.open("w", encoding="utf-8") as file:
            file.write("\n".join(lines) + "\n")
            file.flush()
            os.fsync(file.fileno())
        beside.replace(path)
    except OSError as error:
        raise StorageError(
            Problem(path.name, f"it cannot be written ({error})", "make room, or check the folder")
        ) from None
