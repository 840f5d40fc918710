"""What a command prints: a table for people, or the same names as JSON."""

import json
import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import click


def emit(data: Mapping[str, Any], table: str | Iterable[str], *, as_json: bool) -> None:
    """Print `data` as one JSON object, or `table` as text lines."""
    if as_json:
        click.echo(json.dumps(finite(data), ensure_ascii=False, indent=2))
        return
    click.echo(table if isinstance(table, str) else "\n".join(table))


def finite(value: Any) -> Any:
    """Return `value` with numbers that JSON does not know (infinite, not a number) as null."""
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, Mapping):
        return {key: finite(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [finite(item) for item in value]
    return value


def columns(head: Sequence[str], rows: Iterable[Sequence[object]]) -> list[str]:
    """Return rows as aligned text columns under their heads; numbers to the right."""
    cells = [[str(cell) for cell in row] for row in rows]
    widths = [max([len(name), *(len(row[i]) for row in cells)]) for i, name in enumerate(head)]
    right = [bool(cells) and all(_is_number(row[i]) for row in cells if row[i]) for i in range(len(head))]

    def line(row: Sequence[str]) -> str:
        padded = (cell.rjust(w) if r else cell.ljust(w) for cell, w, r in zip(row, widths, right, strict=True))
        return "  ".join(padded).rstrip()

    return [line(list(head)), *(line(row) for row in cells)]


def _is_number(text: str) -> bool:
    return text.lstrip("+-±").replace(".", "", 1).replace("/", "", 1).replace("e-", "", 1).isdigit()
