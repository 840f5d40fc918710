"""The ledger and the map of the tray from the command line."""

from typing import Any

import click

from asfound.bench.jobs import load_job
from asfound.bench.tray import ledger_at, ledger_of
from asfound.book import Book
from asfound.cli.book_option import with_book
from asfound.cli.output import columns, emit
from asfound.teardown import Ledger, LedgerRow, TrayMap, put_back_otherwise, tray_map


@click.command()
@with_book
@click.argument("job")
@click.option("--at", "number", type=int, help="As it was after the entry of this number.")
@click.option("--json", "as_json", is_flag=True, help="The same as JSON.")
def ledger(book: Book, job: str, number: int | None, as_json: bool) -> None:
    """Say where every part and fastener of a JOB is: on the tray, in the camera, waiting or missing."""
    found = load_job(book, job)
    account = ledger_of(found) if number is None else ledger_at(book, found.id, number)
    otherwise = put_back_otherwise(found.steps) if number is None else ()
    tray = tray_map(account)
    data = {
        "job": found.ticket,
        "at_entry": len(found.entries) if number is None else number,
        "rows": [_row_data(row) for row in account.rows],
        "parts": account.counts(fasteners=False),
        "fasteners": account.counts(fasteners=True),
        "by_sort": account.by_sort(),
        "put_back_otherwise": list(otherwise),
        "tray": _tray_data(tray),
    }
    emit(data, _table(account, tray, otherwise), as_json=as_json)


def _row_data(row: LedgerRow) -> dict[str, Any]:
    return {
        "what": row.what,
        "count": row.count,
        "where": row.where,
        "lies": row.lies,
        "fastener": row.fastener,
        "part": row.part,
        "step": row.number,
    }


def _tray_data(tray: TrayMap) -> dict[str, Any]:
    return {
        "cells": [
            {"label": c.label, "row": c.row, "column": c.column, "holds": [_row_data(row) for row in c.rows]}
            for c in tray.cells
        ],
        "elsewhere": [{"place": place, "holds": [_row_data(row) for row in rows]} for place, rows in tray.elsewhere],
        "nowhere": [_row_data(row) for row in tray.nowhere],
    }


def _table(account: Ledger, tray: TrayMap, otherwise: tuple[str, ...]) -> list[str]:
    parts, fasteners = account.counts(fasteners=False), account.counts(fasteners=True)
    total = [(kind, *counts.values()) for kind, counts in (("parts", parts), ("fasteners", fasteners))]
    lines = columns(["", "tray", "camera", "waiting", "missing"], total)
    sorts = [(sort, *counts.values()) for sort, counts in account.by_sort().items()]
    if sorts:
        lines += ["", *columns(["fastener", "tray", "camera", "waiting", "missing"], sorts)]
    places = [(cell.label, _holds(cell.rows)) for cell in tray.cells]
    places += [(place, _holds(rows)) for place, rows in tray.elsewhere]
    places += [("not said where", _holds(tray.nowhere))] if tray.nowhere else []
    if places:
        lines += ["", *columns(["place", "holds"], places)]
    missing = [
        f"  {row.count} × {row.what} of {row.part}, step {row.number}" for row in account.rows if row.where == "missing"
    ]
    lines += ["", "Missing", *missing] if missing else []
    return lines + (["", "Not as it came off", *(f"  {line}" for line in otherwise)] if otherwise else [])


def _holds(rows: tuple[LedgerRow, ...]) -> str:
    return ", ".join(f"{row.count} × {row.what}" if row.fastener else row.what for row in rows)
