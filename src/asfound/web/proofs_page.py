"""The proof list of a job: what is proved, what is not, and one tap or one line to say so."""

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Depends, Form, Request
from fastapi.responses import RedirectResponse, Response

from asfound.bench.instruments import known_names
from asfound.bench.jobs import load_job
from asfound.bench.proofs import answer_proof
from asfound.job import Job
from asfound.job.proving import GROUPS, ProofLine, Taken, proof_list
from asfound.plots import Width, page_svg
from asfound.plots.proofs import proofs_picture
from asfound.problems import AsfoundError, Problem
from asfound.quantity import show_reading
from asfound.web.desk import AtDesk
from asfound.web.errors import status_of
from asfound.web.job_head import JobHead, job_head
from asfound.web.kept import say_bounds
from asfound.web.moments import show_clock, show_day
from asfound.web.render import render
from asfound.web.security import check_form_token
from asfound.web.stage_field import read_stage

router = APIRouter(prefix="/job/{job_id}/proofs")

WORDS = {"open": "not proved", "not said yet": "not said yet", "later": "put off", "stale": "stale: no pass"}


@dataclass(frozen=True, slots=True, kw_only=True)
class ProofSide:
    """What was taken at one stage, in words."""

    value: str
    verdict: str
    told: str
    state: str
    when: str
    stale: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ProofRow:
    """One line of the list."""

    place: str
    name: str
    asks: str
    held_to: str
    source: str
    instrument: str
    found: ProofSide | None
    left: ProofSide | None
    differs: str
    verdict: str
    why: str
    risk: str
    settled: bool
    measure: str


@dataclass(frozen=True, slots=True)
class ProofGroup:
    """The lines of one group."""

    name: str
    settled: int
    differs: str
    rows: tuple[ProofRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ProofsPage:
    """What the proof list shows."""

    head: JobHead
    wide: str
    narrow: str
    settled: int
    count: int
    groups: tuple[ProofGroup, ...]
    instruments: tuple[str, ...]
    problems: tuple[Problem, ...]


@router.get("")
def proofs_page(request: Request, desk: AtDesk, job_id: UUID) -> Response:
    """Show the proof list."""
    job = load_job(desk.book, job_id)
    page = proofs_context(job, instruments=known_names(desk.book, job))
    return render(request, "proofs.html", page, title=f"Proofs of {job.ticket}")


@router.post("", dependencies=[Depends(check_form_token)])
def answer(
    request: Request,
    desk: AtDesk,
    job_id: UUID,
    name: Annotated[str, Form()] = "",
    answer: Annotated[str, Form()] = "",
    text: Annotated[str, Form()] = "",
    stage: Annotated[str, Form()] = "as left",
    instrument: Annotated[str, Form()] = "",
) -> Response:
    """Write how one thing stands."""
    try:
        answer_proof(
            desk.book, job_id, name=name, answer=answer, text=text, stage=read_stage(stage), instrument=instrument
        )
    except AsfoundError as error:
        job = load_job(desk.book, job_id)
        page = proofs_context(job, instruments=known_names(desk.book, job), problems=error.problems)
        return render(request, "proofs.html", page, title=f"Proofs of {job.ticket}", status=status_of(error))
    return RedirectResponse(f"/job/{job_id}/proofs#{_place(name)}", status_code=303)


def proofs_context(job: Job, *, instruments: tuple[str, ...] = (), problems: tuple[Problem, ...] = ()) -> ProofsPage:
    """Return what the proof list shows; `instruments` are offered as what a thing was proved with."""
    lines = proof_list(job)
    groups = []
    for group, name in GROUPS.items():
        inside = [line for line in lines if line.wanted.group == group]
        if inside:
            groups.append(_group(name, tuple(_row(job, line) for line in inside)))
    return ProofsPage(
        head=job_head(job, "/proofs"),
        wide=proofs_svg(lines, "wide"),
        narrow=proofs_svg(lines, "narrow"),
        settled=sum(line.settled for line in lines),
        count=len(lines),
        groups=tuple(groups),
        instruments=instruments,
        problems=problems,
    )


def _group(name: str, rows: tuple[ProofRow, ...]) -> ProofGroup:
    """Return a group; in what the states differ is said once where it is the same for all of it."""
    said = {row.differs for row in rows if row.differs}
    once = next(iter(said)) if len(said) == 1 else ""
    settled = sum(row.settled for row in rows)
    return ProofGroup(name, settled, once, tuple(replace(row, differs="") if once else row for row in rows))


@lru_cache(maxsize=32)
def proofs_svg(lines: tuple[ProofLine, ...], width: Width) -> str:
    """Return the picture of a proof list for a page; drawn once."""
    return page_svg(proofs_picture(lines, width=width))


def _place(name: str) -> str:
    """Return a name as the place on the page that a link leads to."""
    return "proof-" + "".join(letter if letter.isalnum() else "-" for letter in name.casefold())


def _row(job: Job, line: ProofLine) -> ProofRow:
    tolerance, wanted = line.tolerance, line.wanted
    done = line.left.instrument if line.left is not None and line.left.instrument else ""
    return ProofRow(
        place=_place(line.name),
        name=line.name,
        asks=wanted.asks if line.standing == "not said yet" else "",
        held_to=say_bounds(tolerance) if tolerance else "",
        source=tolerance.source if tolerance else "",
        instrument=done or wanted.instrument,
        found=_side(job, line.found, as_found=True),
        left=_side(job, line.left, as_found=False),
        differs=_differs(line),
        verdict="" if line.standing in WORDS else line.standing,
        why=WORDS.get(line.standing, "") + (f": {line.put_off}" if line.put_off else ""),
        risk=_risk(line.left),
        settled=line.settled,
        measure=f"/job/{job.id}/{wanted.page}" if wanted.page else "",
    )


def _side(job: Job, taken: Taken | None, *, as_found: bool) -> ProofSide | None:
    if taken is None:
        return None
    return ProofSide(
        value=show_reading(taken.reading) if taken.reading is not None else "",
        verdict=taken.verdict,
        told=taken.text,
        state=str(taken.state),
        when=f"{show_day(taken.made_ms)}, {show_clock(taken.made_ms)}",
        stale=_why_stale(job, taken, as_found=as_found),
    )


def _why_stale(job: Job, taken: Taken, *, as_found: bool) -> str:
    """Return since when it is stale: how it came stays true whatever was touched, but not what was read wrongly."""
    by = next((entry for entry in job.entries if entry.id == taken.stale_by), None)
    if by is None:
        return ""
    if taken.read_wrongly:
        return f"{taken.read_wrongly} read wrongly then: entry {job.number(by.id)}"
    return "" if as_found else f"stale since entry {job.number(by.id)}"


def _differs(line: ProofLine) -> str:
    if line.found is None or line.left is None:
        return ""
    found, left = line.found.state, line.left.state
    said = "; ".join(f"{name} {getattr(found, name)}, then {getattr(left, name)}" for name in line.differs)
    return f"not taken in one state: {said}" if said else ""


def _risk(taken: Taken | None) -> str:
    """Return how likely it is that what was found within is not, where that is known and worth a word."""
    if taken is None or taken.verdict != "within":
        return ""
    if taken.risk is None:
        bare = taken.reading is not None and not taken.reading.standard_uncertainty
        return "not guarded: its uncertainty is not known" if bare else ""
    return "surely" if taken.risk < 0.0005 else f"{taken.risk:.1%} chance that it is not"
