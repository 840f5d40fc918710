"""The bench's instruments: their checks, the sound input's clock, and what one found wrong has spoilt."""

import datetime
import tempfile
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData, UploadFile

from asfound.bench.instruments import (
    Affected,
    Check,
    affected_by,
    checks_of,
    clock_of,
    found_wrong,
    known_names,
    latest_checks,
    names_in_use,
    read_check,
    read_date,
    say_clock,
    say_times,
    write_check,
    write_clock,
)
from asfound.book import Book
from asfound.job import key
from asfound.problems import AsfoundError, Problem, bad_input
from asfound.quantity import read_number
from asfound.web.desk import AtDesk, TypedForm
from asfound.web.errors import status_of
from asfound.web.render import render
from asfound.web.security import check_form_token

router = APIRouter(prefix="/instruments")
Checked = [Depends(check_form_token)]
_BLOCK = 1 << 20


@dataclass(frozen=True, slots=True, kw_only=True)
class InstrumentRow:
    """An instrument as shown."""

    name: str
    sort: str
    checked: str
    against: str
    uncertainty: str
    wrong: str
    remark: str
    used: str
    checks: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SpoiltRow:
    """A job with readings that a wrong instrument has spoilt."""

    href: str
    name: str
    handed_over: bool
    readings: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class InstrumentsPage:
    """What the page of the instruments shows."""

    rows: tuple[InstrumentRow, ...]
    unchecked: tuple[tuple[str, str], ...]
    names: tuple[str, ...]
    today: str
    told: str
    asked: str
    since: str
    because: str
    spoilt: tuple[SpoiltRow, ...]
    problems: tuple[Problem, ...]


@router.get("")
def instruments_page(request: Request, desk: AtDesk, told: str = "") -> Response:
    """Show the instruments."""
    return _show(request, desk.book, told=told[:400])


@router.get("/check")
@router.get("/clock")
@router.get("/wrong")
def moved() -> Response:
    """Show the instruments where a form that was refused is loaded again."""
    return RedirectResponse("/instruments", status_code=303)


@router.post("/check", dependencies=Checked)
def check(request: Request, desk: AtDesk, typed: TypedForm) -> Response:
    """Write a check of an instrument."""
    try:
        made = write_check(desk.book, read_check({name.replace("_", " "): str(v) for name, v in typed.items()}))
    except AsfoundError as error:
        return _show(request, desk.book, problems=error.problems, status=status_of(error))
    return _went(f"{made.name} is written down as checked.")


@router.post("/clock", dependencies=Checked)
def clock(request: Request, desk: AtDesk, typed: TypedForm) -> Response:
    """Find the sound input's clock from a recording of a tick, and write it."""
    try:
        told = _clock(desk.book, typed)
    except AsfoundError as error:
        return _show(request, desk.book, problems=error.problems, status=status_of(error))
    return _went(told)


def _clock(book: Book, typed: FormData) -> str:
    file, against = typed.get("file"), str(typed.get("against", "")).strip()
    if not isinstance(file, UploadFile) or not file.filename:
        raise bad_input("recording", "no file was chosen", "choose a recording of the tick")
    if not against:
        raise bad_input("against", "what ticks is not said", "say it: a time signal by radio, a quartz clock")
    period_s, source_ppm = (_number(typed, name) for name in ("period", "source_ppm"))
    with tempfile.TemporaryDirectory(prefix="asfound-") as folder:
        path = Path(folder) / ("tick" + Path(file.filename).suffix.lower()[:8])
        with path.open("wb") as kept:
            while block := file.file.read(_BLOCK):
                kept.write(block)
        found = clock_of(path, period_s=period_s, u_period_ppm=source_ppm)
    write_clock(book, found, against=against, on=_today())
    return f"{say_clock(found)}."


def _number(typed: FormData, name: str) -> float:
    try:
        return read_number(str(typed.get(name, "")))
    except ValueError:
        raise bad_input(name.replace("_", " "), "it is no number", "write it as in 1") from None


@router.post("/wrong", dependencies=Checked)
def wrong(request: Request, desk: AtDesk, typed: TypedForm) -> Response:
    """List what an instrument has spoilt since a day; where the list was seen, write it into each job."""
    name, because = (str(typed.get(field, "")).strip()[:400] for field in ("name", "because"))
    try:
        since = read_date(str(typed.get("since", "")), where="since")
        if since is None or not name:
            raise bad_input("since", "which instrument, and since when, is not said", "choose it, and give the day")
        if not typed.get("seen"):
            jobs = affected_by(desk.book, name, since)
            return _show(request, desk.book, asked=name, since=since.isoformat(), because=because, spoilt=jobs)
        jobs = found_wrong(desk.book, name=name, since=since, text=because)
    except AsfoundError as error:
        return _show(request, desk.book, problems=error.problems, status=status_of(error))
    gone = [one.ticket for one in jobs if one.handed_over]
    owners = f" Handed over, tell the owners: {', '.join(gone)}." if gone else ""
    return _went(f"Stale now: readings of {len(jobs)} {'job' if len(jobs) == 1 else 'jobs'}.{owners}")


def _went(told: str) -> Response:
    return RedirectResponse(f"/instruments?{urlencode({'told': told})}", status_code=303)


def _show(
    request: Request,
    book: Book,
    *,
    told: str = "",
    asked: str = "",
    since: str = "",
    because: str = "",
    spoilt: tuple[Affected, ...] = (),
    problems: tuple[Problem, ...] = (),
    status: int = 200,
) -> Response:
    used, counts = names_in_use(book), _counts(book)
    latest = latest_checks(book)
    by_key = {key(name): count for name, count in used.items()}
    known = {key(check.name) for check in latest}
    unchecked = tuple((name, say_times(count)) for name, count in used.items() if key(name) not in known)
    page = InstrumentsPage(
        rows=tuple(_row(check, by_key.get(key(check.name), 0), counts[key(check.name)]) for check in latest),
        unchecked=unchecked,
        names=known_names(book),
        today=_today().isoformat(),
        told=told,
        asked=asked,
        since=since,
        because=because,
        spoilt=tuple(_spoilt(one) for one in spoilt),
        problems=problems,
    )
    return render(request, "instruments.html", page, title="Instruments", status=status)


def _counts(book: Book) -> dict[str, int]:
    counts: dict[str, int] = {}
    for one in checks_of(book):
        counts[key(one.name)] = counts.get(key(one.name), 0) + 1
    return counts


def _row(check: Check, times: int, checks: int) -> InstrumentRow:
    u = check.standard_uncertainty
    return InstrumentRow(
        name=check.name,
        sort=check.sort,
        checked="not said when" if check.checked_on is None else check.checked_on.isoformat(),
        against=check.against,
        uncertainty="" if u is None else f"± {u:.2g} {check.unit}".strip(),
        wrong="" if check.wrong_since is None else f"wrong since {check.wrong_since.isoformat()}",
        remark=check.remark,
        used=say_times(times),
        checks=checks,
    )


def _spoilt(one: Affected) -> SpoiltRow:
    name = f"{one.ticket}, {one.camera}"
    return SpoiltRow(href=f"/job/{one.job}", name=name, handed_over=one.handed_over, readings=one.readings)


def _today() -> datetime.date:
    return datetime.datetime.now().astimezone().date()
