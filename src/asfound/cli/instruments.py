"""Instruments on the command line: checks, the sound input's clock, and what one found wrong has spoilt."""

import datetime
from dataclasses import asdict
from pathlib import Path

import click

from asfound.bench import instruments as bench
from asfound.bench.instruments import Affected, Check
from asfound.book import Book
from asfound.cli.book_option import with_book
from asfound.cli.output import columns, emit
from asfound.job import key

JSON = click.option("--json", "as_json", is_flag=True)


@click.group(invoke_without_command=True)
@click.pass_context
def instruments(context: click.Context) -> None:
    """Show the bench's instruments, write their checks, and find what a wrong one has spoilt."""
    if context.invoked_subcommand is None:
        context.invoke(list_instruments)


@instruments.command("list")
@with_book
@JSON
def list_instruments(book: Book, as_json: bool) -> None:
    """Show the latest check of each instrument, and those that are in use and nobody checked."""
    checks, used = bench.latest_checks(book), bench.names_in_use(book)
    known = {key(check.name) for check in checks}
    unchecked = [name for name in used if key(name) not in known]
    head = ("instrument", "sort", "checked", "against", "±", "wrong since", "remark")
    rows = [_row(check) for check in checks]
    notes = [f"Never checked: {', '.join(map(_in_use, unchecked, (used[name] for name in unchecked)))}"]
    data = {"instruments": [_flat(check) for check in checks], "never_checked": {n: used[n] for n in unchecked}}
    table = columns(head, rows) if rows else ["No instrument was checked yet."]
    emit(data, [*table, *(notes if unchecked else [])], as_json=as_json)


def _in_use(name: str, times: int) -> str:
    return f"{name} (used {bench.say_times(times)})"


def _row(check: Check) -> tuple[str, ...]:
    u = check.standard_uncertainty
    return (
        check.name,
        check.sort,
        "" if check.checked_on is None else check.checked_on.isoformat(),
        check.against,
        "" if u is None else f"{u:.2g} {check.unit}".strip(),
        "" if check.wrong_since is None else check.wrong_since.isoformat(),
        check.remark,
    )


def _flat(check: Check) -> dict[str, object]:
    days = ("checked_on", "wrong_since")
    return {name: value.isoformat() if name in days and value else value for name, value in asdict(check).items()}


@instruments.command()
@with_book
@click.argument("name")
@click.option("--on", "day", default="", help="Day of the check, as in 2026-03-14; today where left out.")
@click.option("--against", default="", help="What it was held to: a gauge block 5.000 mm.")
@click.option("--uncertainty", default="", help="Standard uncertainty of a reading: 0.01.")
@click.option("--unit", default="", help="Unit of the uncertainty: mm.")
@click.option("--sort", default="", help="What it is.")
@click.option("--remark", default="")
@JSON
def check(
    book: Book, name: str, day: str, against: str, uncertainty: str, unit: str, sort: str, remark: str, as_json: bool
) -> None:
    """Write a check of an instrument."""
    cells = {
        "name": name, "sort": sort, "checked on": day or _today().isoformat(), "against": against,
        "standard uncertainty": uncertainty, "unit": unit, "remark": remark,
    }  # fmt: skip
    made = bench.write_check(book, bench.read_check(cells))
    emit(_flat(made), f"{made.name}: checked {made.checked_on}, against {made.against or 'what was not said'}",
         as_json=as_json)  # fmt: skip


@instruments.command()
@with_book
@click.argument("name")
@click.option("--since", required=True, help="The day from which it read wrongly, as in 2026-03-14.")
@click.option("--because", "text", default="", help="How it was found.")
@click.option("--look", is_flag=True, help="Only list the readings; write nothing.")
@JSON
def wrong(book: Book, name: str, since: str, text: str, look: bool, as_json: bool) -> None:
    """Say that an instrument read wrongly since a day: its readings in all jobs are listed and go stale."""
    day = bench.read_date(since, where="--since")
    if day is None:
        raise click.UsageError("say since which day")
    found = bench.affected_by(book, name, day) if look else bench.found_wrong(book, name=name, since=day, text=text)
    data = {"instrument": name, "since": day.isoformat(), "written": not look,
            "jobs": [{**asdict(one), "job": str(one.job)} for one in found]}  # fmt: skip
    emit(data, _told(found, name, look=look), as_json=as_json)


def _told(found: tuple[Affected, ...], name: str, *, look: bool) -> list[str]:
    if not found:
        return [f"Nothing in any job was taken with {name} since then."]
    here = [one for one in found if not one.handed_over]
    gone = [one for one in found if one.handed_over]
    lines = [f"{'Would go' if look else 'Gone'} stale:"]
    for heading, jobs in (("on the bench", here), ("handed over: tell the owner", gone)):
        lines += [f"  {heading}"] if jobs else []
        lines += [f"    job {one.ticket}, {one.camera}: {'; '.join(one.readings)}" for one in jobs]
    return lines


@instruments.command()
@with_book
@click.argument("recording", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--period", "period_s", type=float, default=1.0, show_default=True, help="Of the tick, in s.")
@click.option("--source-ppm", type=float, default=bench.QUARTZ_PPM, show_default=True,
              help="Standard uncertainty of the source's own period.")  # fmt: skip
@click.option("--against", default="", help="What ticks: a time signal by radio. Writes the check where given.")
@JSON
def clock(book: Book, recording: Path, period_s: float, source_ppm: float, against: str, as_json: bool) -> None:
    """Find how fast the sound input's clock runs from a RECORDING of a known tick."""
    found = bench.clock_of(recording, period_s=period_s, u_period_ppm=source_ppm)
    if against:
        bench.write_clock(book, found, against=against, on=_today())
    data = {**found.rate.flat("clock_error"), "ticks": found.ticks, "missed": found.missed,
            "left_out": found.left_out, "scatter_s": found.scatter_s, "written": bool(against)}  # fmt: skip
    told = f"{found.ticks} ticks used, {found.missed} not heard, {found.left_out} left out; single ticks scatter by " \
           f"{found.scatter_s * 1e6:.1f} µs"  # fmt: skip
    emit(data, [bench.say_clock(found), told], as_json=as_json)


def _today() -> datetime.date:
    return datetime.datetime.now().astimezone().date()
