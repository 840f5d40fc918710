"""The instruments of the bench: their checks, a line each, in a text file beside the book that any editor opens."""

import contextlib
import csv
import datetime
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from uuid import UUID

import numpy as np

from asfound.bench.table_file import save_table, table_lines, table_row
from asfound.book import Book
from asfound.capture.sound import inspect_sound, read_blocks
from asfound.job import Job, key
from asfound.job.bodies import InstrumentWrong
from asfound.job.instruments import SOUND_INPUT
from asfound.job.staleness import read_wrongly, taken_with
from asfound.problems import BadInputError, Problem, bad_input
from asfound.quantity import read_number
from asfound.shutter.timing.ticks import ClockRate, clock_rate

INSTRUMENTS_FILE = "instruments.csv"
COLUMNS = ("name", "sort", "checked on", "against", "standard uncertainty", "unit", "wrong since", "remark")
# A time signal by cable or radio holds to far better; a quartz clock of the shop to about this (common practice).
QUARTZ_PPM = 10.0
_MOST_TEXT = 400
_MOST_FRAMES = 60_000_000  # twenty minutes at 48 kHz: they are read at once


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One check of an instrument, as a line of the table.

    Attributes
    ----------
    against : str
        What it was held to: a gauge block, a weighed mass, a time signal.
    standard_uncertainty : float or None
        In `unit`; what readings with it are good to.
    wrong_since : date or None
        Where the check found that it had read wrongly.
    """

    name: str
    sort: str = ""
    checked_on: datetime.date | None = None
    against: str = ""
    standard_uncertainty: float | None = None
    unit: str = ""
    wrong_since: datetime.date | None = None
    remark: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Affected:
    """A job in which readings were taken with an instrument that read wrongly."""

    job: UUID
    ticket: str
    camera: str
    handed_over: bool
    readings: tuple[str, ...]


def instruments_file(book: Book) -> Path:
    """Return where the table of a book is."""
    return book.location.folder / INSTRUMENTS_FILE


def checks_of(book: Book) -> tuple[Check, ...]:
    """Return every check in the table, in the order written.

    Raises
    ------
    BadInputError
        If a line cannot be read: each is named.
    """
    rows = list(csv.DictReader(table_lines(instruments_file(book)), skipinitialspace=True))
    checks, problems = [], []
    for number, row in enumerate(rows, start=2):
        try:
            checks.append(read_check({name: row.get(name) or "" for name in COLUMNS}))
        except BadInputError as error:
            problems += [Problem(f"{INSTRUMENTS_FILE}, line {number}", p.what, p.remedy) for p in error.problems]
    if problems:
        raise BadInputError(*problems)
    return tuple(checks)


def latest_checks(book: Book) -> tuple[Check, ...]:
    """Return the latest check of each instrument, by name."""
    latest = {key(check.name): check for check in checks_of(book)}
    return tuple(latest[name] for name in sorted(latest))


def read_check(cells: Mapping[str, str]) -> Check:
    """Return a check from its cells, by the names of `COLUMNS`.

    Raises
    ------
    BadInputError
        If the name is missing, or a date or number cannot be read.
    """
    said = {name: " ".join(cells.get(name, "").split())[:_MOST_TEXT] for name in COLUMNS}
    if not said["name"]:
        raise bad_input("name", "the instrument has no name", "call it as the readings do: depth gauge")
    return Check(
        name=said["name"],
        sort=said["sort"],
        checked_on=read_date(said["checked on"], where="checked on"),
        against=said["against"],
        standard_uncertainty=_number(said["standard uncertainty"]),
        unit=said["unit"],
        wrong_since=read_date(said["wrong since"], where="wrong since"),
        remark=said["remark"],
    )


def read_date(text: str, *, where: str) -> datetime.date | None:
    """Return a day typed as 2026-03-14; None for nothing."""
    if not text.strip():
        return None
    try:
        return datetime.date.fromisoformat(text.strip())
    except ValueError:
        raise bad_input(where, f"{text[:40]!r} is no day", "write it as in 2026-03-14") from None


def _number(text: str) -> float | None:
    if not text:
        return None
    try:
        value = read_number(text.removeprefix("±").strip())
    except ValueError:
        raise bad_input("standard uncertainty", f"{text[:40]!r} is no number", "write it as in 0.01") from None
    if not 0 <= value < 1e9:
        raise bad_input("standard uncertainty", f"{value:g} is none", "give a number of zero or more")
    return value


def write_check(book: Book, check: Check) -> Check:
    """Add a check to the table; what was written before stays."""
    file = instruments_file(book)
    before = table_lines(file) or [table_row(COLUMNS)]
    u = check.standard_uncertainty
    days = (check.checked_on, check.wrong_since)
    checked, wrong = ("" if day is None else day.isoformat() for day in days)
    size = "" if u is None else f"{u:.6g}"
    cells = (check.name, check.sort, checked, check.against, size, check.unit, wrong, check.remark)
    save_table(file, [*before, table_row(cells)])
    return check


def affected_by(book: Book, name: str, since: datetime.date) -> tuple[Affected, ...]:
    """Return the jobs with readings, tables or proofs taken with an instrument on a day or later, and not told yet.

    A job with an entry that cannot be read is left out; a check of the book names it.
    """
    jobs = book.jobs_with(instrument=name, since_ms=_start_ms(since))
    found = (_affected(book.job(line.id), name, since) for line in jobs)
    return tuple(one for one in found if one is not None)


def _affected(job: Job, name: str, since: datetime.date) -> Affected | None:
    taken = set(taken_with(job.live, name, _start_ms(since))) - set(read_wrongly(job.live))
    if not taken:
        return None
    readings = [_reading(entry.body) for entry in job.live if entry.id in taken]
    camera = " ".join(word for word in (job.camera.maker, job.camera.model) if word)
    return Affected(
        job=job.id,
        ticket=job.ticket,
        camera=camera,
        handed_over=job.handed_over is not None,
        readings=tuple(dict.fromkeys(readings)),
    )


def _reading(body: object) -> str:
    quantity, what = getattr(body, "quantity", ""), getattr(body, "what", "")
    place, stage = getattr(body, "place", ""), getattr(body, "stage", "")
    name = " ".join(word for word in (quantity or (f"proof of {what}" if what else "the dial"), place) if word)
    return f"{name}, {stage}"


def found_wrong(book: Book, *, name: str, since: datetime.date, text: str = "") -> tuple[Affected, ...]:
    """Write that an instrument read wrongly since a day: into the table, and into each job with readings by it.

    Those readings are stale from then on. Returns the jobs; of those handed over, the owner is to be told.
    """
    jobs = affected_by(book, name, since)
    body = InstrumentWrong(instrument=name, since=since, since_ms=_start_ms(since), text=text)
    for one in jobs:
        book.write(one.job, [body])
    today = datetime.datetime.now().astimezone().date()
    last = next((check for check in reversed(checks_of(book)) if key(check.name) == key(name)), Check(name=name))
    write_check(
        book,
        Check(
            name=last.name, sort=last.sort, checked_on=today, standard_uncertainty=last.standard_uncertainty,
            unit=last.unit, wrong_since=since, remark=text,
        ),
    )  # fmt: skip
    return jobs


def _start_ms(day: datetime.date) -> int:
    """Return when a day begins where this computer stands, in milliseconds since 1970 UTC."""
    return round(datetime.datetime.combine(day, datetime.time.min).astimezone().timestamp() * 1000)


def names_in_use(book: Book) -> dict[str, int]:
    """Return the instruments that readings, tables and proofs of all jobs were taken with, and how often each."""
    return {used.name: used.times for used in book.instruments_used()}


def say_times(count: int) -> str:
    """Return how often an instrument was used, in words."""
    return {0: "not yet", 1: "once"}.get(count, f"{count} times")


def known_names(book: Book, job: Job | None = None) -> tuple[str, ...]:
    """Return the names of the bench's instruments, and of those that a job names, each as first called; by name.

    A table of instruments that cannot be read names none.
    """
    names = [one.name for one in job.instruments] if job is not None else []
    with contextlib.suppress(BadInputError):
        names += [check.name for check in latest_checks(book)]
    called = {key(name): name for name in reversed([*names, *names_in_use(book)])}
    return tuple(called[name] for name in sorted(called))


def clock_of(path: Path, *, period_s: float, u_period_ppm: float = QUARTZ_PPM, channel: int = 0) -> ClockRate:
    """Return how fast the sound input's clock runs, from a recording of a known tick.

    Raises
    ------
    BadInputError
        If it is no recording, far longer than is needed, or holds too few ticks.
    """
    if not 0.05 <= period_s <= 60:
        raise bad_input("period", f"{period_s:g} s is no period of a tick", "give 0.05 to 60 s")
    sound = inspect_sound(path)
    if sound.frames > _MOST_FRAMES:
        raise bad_input(
            path.name, f"it lasts {sound.duration_s / 60:.0f} min", "cut it to ten minutes: they are plenty"
        )
    if not 0 <= channel < sound.channels:
        raise bad_input("channel", f"the recording has {sound.channels}", "leave it out for the first")
    samples = np.concatenate([block.samples for block in read_blocks(sound, channel=channel)])
    return clock_rate(
        samples, sample_rate_hz=sound.sample_rate_hz, period_s=period_s, u_period_ppm=u_period_ppm
    )  # fmt: skip


def write_clock(book: Book, found: ClockRate, *, against: str, on: datetime.date) -> Check:
    """Add what a tick said of the sound input's clock to the table: its error stands in the remark."""
    rate = found.rate
    assert rate.value is not None
    assert rate.standard_uncertainty is not None
    return write_check(
        book,
        Check(
            name=SOUND_INPUT, sort="clock of the sound input", checked_on=on, against=against,
            standard_uncertainty=rate.standard_uncertainty, unit="ppm", remark=say_clock(found),
        ),
    )  # fmt: skip


def say_clock(found: ClockRate) -> str:
    """Return a clock's rate and what it does to a time."""
    value, u = found.rate.value or 0.0, found.rate.standard_uncertainty or 0.0
    way = "fast: times read long" if value >= 0 else "slow: times read short"
    return f"clock {value:+.2f} ± {u:.2f} ppm, {way} by {abs(value) * 1e-3:.4f} ms in a second; {found.rate.how}"
