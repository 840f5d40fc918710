"""The page that every room has: a form, the picture first, the numbers beside it, one button into the job.

A room is a tuple of tasks. Each task says its fields, works its result out of them and, where there is something to
write, writes it; the routes, the form and the layout are the same for all.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import BinaryIO
from urllib.parse import urlencode
from uuid import UUID

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData, UploadFile

from asfound.bench.jobs import load_job
from asfound.book import Book
from asfound.job import Entry, Job
from asfound.job.bodies import Stage
from asfound.plots import Picture, Width, page_svg
from asfound.problems import AsfoundError, NotFoundError, Problem, bad_input
from asfound.web.desk import AtDesk, Desk, TypedForm
from asfound.web.errors import status_of
from asfound.web.job_head import JobHead, job_head
from asfound.web.render import render
from asfound.web.room_form import Field, RoomForm, Values, asked, read_fields, show_form, typed_into
from asfound.web.sayings import say
from asfound.web.security import check_form_token
from asfound.web.stage_field import STAGES, read_stage


@dataclass(frozen=True, slots=True)
class Row:
    """One number with its name and what it means."""

    name: str
    value: str
    meaning: str = ""
    verdict: str = ""


@dataclass(frozen=True, slots=True)
class Table:
    """Numbers in rows: the first cell of each names it, and leads to its address in `hrefs` where there are any."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    hrefs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Choice:
    """A button that writes to the job; `value` tells the buttons of one page apart."""

    label: str
    value: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A block of a result: pictures first, then rows or a table, remarks, cautions, and what can be done with it.

    Attributes
    ----------
    words : str
        The result in a sentence.
    pictures : tuple of str
        From `both`: each in its wide and its narrow form.
    asks : tuple of str
        Questions to be answered before the result is trusted.
    links : tuple of (address, text)
    write : Choice or None
        The button that writes this into the job.
    folded : bool
        Shown closed, to be opened by whoever wants it.
    """

    title: str
    verdict: str = ""
    words: str = ""
    pictures: tuple[str, ...] = ()
    rows: tuple[Row, ...] = ()
    table: Table | None = None
    remarks: tuple[str, ...] = ()
    asks: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    links: tuple[tuple[str, str], ...] = ()
    write: Choice | None = None
    folded: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class How:
    """How a reading is taken, or a thing is done: steps in plain words, a drawing of ours, what to mind."""

    steps: tuple[str, ...]
    title: str = "How to take this reading"
    pictures: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    links: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What a task is given to work with: texts as typed, and the page's address with all of them."""

    book: Book
    job: Job
    fields: tuple[Field, ...]
    typed: Mapping[str, str]
    address: str

    @property
    def values(self) -> Values:
        """The values as read; BadInputError with the problems of all fields."""
        return read_fields(self.fields, self.typed)


def nothing(_book: Book, _job: Job) -> tuple[Section, ...]:
    """Return the standing sections of a task that has none."""
    return ()


@dataclass(frozen=True, slots=True, kw_only=True)
class UploadForm:
    """The form by which a file comes in; the size that is taken goes by its path under the task's address."""

    path: str
    label: str
    hint: str
    accept: str
    button: str


@dataclass(frozen=True, slots=True)
class Upload:
    """A file that a task takes beside its form; `receive` gives the fields to be filled from the file and its name."""

    form: UploadForm
    receive: Callable[[Book, Job, BinaryIO, str], Mapping[str, str]]


def from_fields(_book: Book, _job: Job) -> Mapping[str, str]:
    """Return nothing more than the defaults of the fields themselves."""
    return {}


def no_fields(_job: Job) -> tuple[Field, ...]:
    """Return the fields of a task that asks for nothing."""
    return ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One thing that can be done in a room, on a page of its own.

    Attributes
    ----------
    path : str
        Under the room's address; "" for its first page.
    lead : str
        What the page is for, in a sentence.
    fields : callable
        The form's fields for a job: their defaults may come from it.
    work_out : callable
        The result, as sections; raises BadInputError with problems whose `where` names a field.
    write : callable or None
        Writes into the job: given what was asked, the stage, and the value of the button pressed.
    begins : callable
        What the form begins with, where that is known from the book; before anything was typed.
    staged : bool
        Whether the stage (as found, working, as left) is asked for with the button.
    standing : callable
        Sections that are shown whatever was typed, below the result.
    keeps_typed : bool
        Whether the form stands as typed after writing.
    upload : Upload or None
        A file from which fields can be filled.
    """

    path: str
    name: str
    lead: str
    fields: Callable[[Job], tuple[Field, ...]] = no_fields
    work_out: Callable[[Asked], tuple[Section, ...]]
    write: Callable[[Asked, Stage, str], tuple[Entry, ...]] | None = None
    begins: Callable[[Book, Job], Mapping[str, str]] = from_fields
    how: Callable[[], How] | None = None
    ask: str = "Show"
    staged: bool = True
    standing: Callable[[Book, Job], tuple[Section, ...]] = nothing
    keeps_typed: bool = True
    upload: Upload | None = None


@dataclass(frozen=True, slots=True)
class TaskLink:
    """A task of the room, as a tab."""

    href: str
    name: str
    chosen: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomPage:
    """What the page of a task shows."""

    head: JobHead
    tasks: tuple[TaskLink, ...]
    name: str
    lead: str
    here: str
    form: RoomForm
    sent: tuple[tuple[str, str], ...]
    ask: str
    sections: tuple[Section, ...]
    stages: tuple[str, ...]
    stage: str
    how: How | None
    wrote: tuple[str, ...]
    upload: UploadForm | None


def both(draw: Callable[..., Picture], *args: object, **more: object) -> tuple[str, str]:
    """Return a picture in its two widths, made by a function that takes `width`."""
    widths: tuple[Width, Width] = ("wide", "narrow")
    wide, narrow = (page_svg(draw(*args, width=width, **more)) for width in widths)
    return wide, narrow


def room_router(room: str, tasks: Sequence[Task]) -> APIRouter:
    """Return the routes of a room: each task can be looked at, and written where it writes."""
    router = APIRouter(prefix=f"/job/{{job_id}}/{room}")
    for task in tasks:
        path = f"/{task.path}" if task.path else ""
        look, write = _routes(room, tuple(tasks), task)
        router.add_api_route(path, look, methods=["GET"], name=f"{room} {task.name}", response_class=Response)
        if task.write is not None:
            checked = [Depends(check_form_token)]
            router.add_api_route(
                path, write, methods=["POST"], name=f"write {room} {task.name}", dependencies=checked,
                response_class=Response,
            )  # fmt: skip
        if task.upload is not None:
            _add_upload(router, path, Place(room, tuple(tasks), task), task.upload.form)
    return router


def own_page(_asked: Asked) -> tuple[Section, ...]:
    """Return no section: the task has a page of its own, which stands before the room's form."""
    return ()


def tabs(job: Job, room: str, tasks: Sequence[Task], path: str) -> tuple[TaskLink, ...]:
    """Return the tabs of a room as such a page shows them."""
    href = f"/job/{job.id}/{room}"
    return tuple(TaskLink(f"{href}/{one.path}".rstrip("/"), one.name, one.path == path) for one in tasks)


def _add_upload(router: APIRouter, path: str, place: "Place", upload: UploadForm) -> None:
    def take_in(request: Request, desk: AtDesk, job_id: UUID, form: TypedForm) -> Response:
        """Fill the task's fields from a file."""
        return _take_in(request, desk, job_id, place, form)

    router.add_api_route(
        f"{path}/{upload.path}", take_in, methods=["POST"], name=f"{upload.path} for {place.room} {place.task.name}",
        dependencies=[Depends(check_form_token)], response_class=Response,
    )  # fmt: skip


def _routes(room: str, tasks: tuple[Task, ...], task: Task) -> tuple[Callable[..., Response], Callable[..., Response]]:
    def look(request: Request, desk: AtDesk, job_id: UUID) -> Response:
        """Work out what was typed, and show it."""
        return _look(request, desk, job_id, Place(room, tasks, task))

    def write(request: Request, desk: AtDesk, job_id: UUID, form: TypedForm) -> Response:
        """Write the result into the job; worked out anew from what was typed."""
        return _write(request, desk, job_id, Place(room, tasks, task), {k: str(v) for k, v in form.items()})

    return look, write


@dataclass(frozen=True, slots=True)
class Place:
    """Where in a room a request goes."""

    room: str
    tasks: tuple[Task, ...]
    task: Task

    def href(self, job: Job, task: Task | None = None) -> str:
        """Return the address of a task of this room."""
        path = (task or self.task).path
        return f"/job/{job.id}/{self.room}" + (f"/{path}" if path else "")


def _look(request: Request, desk: Desk, job_id: UUID, place: Place) -> Response:
    job, query = load_job(desk.book, job_id), dict(request.query_params)
    fields = place.task.fields(job)
    typed = typed_into(fields, query)
    try:
        sections: tuple[Section, ...] = ()
        if not asked(fields, query):
            typed |= place.task.begins(desk.book, job)
        else:
            sections = place.task.work_out(_asked(desk, job, place, fields, typed))
    except NotFoundError:
        raise
    except AsfoundError as error:
        return _show(request, desk, job, place, typed, problems=error.problems, status=status_of(error))
    return _show(request, desk, job, place, typed, sections, wrote=query.get("wrote", ""))


def _write(request: Request, desk: Desk, job_id: UUID, place: Place, form: Mapping[str, str]) -> Response:
    job, task = load_job(desk.book, job_id), place.task
    assert task.write is not None
    fields = task.fields(job)
    typed = typed_into(fields, form)
    try:
        stage = read_stage(form.get("stage", "")) if task.staged else "working"
        written = task.write(_asked(desk, job, place, fields, typed), stage, form.get("choice", ""))
    except NotFoundError:
        raise
    except AsfoundError as error:
        return _show(request, desk, job, place, typed, problems=error.problems, status=status_of(error))
    query = {**(typed if task.keeps_typed else {}), "wrote": ",".join(str(entry.id) for entry in written)}
    return RedirectResponse(f"{place.href(job)}?{urlencode(query)}", status_code=303)


def _take_in(request: Request, desk: Desk, job_id: UUID, place: Place, form: FormData) -> Response:
    """Fill fields from a file, and work the result out."""
    job, upload = load_job(desk.book, job_id), place.task.upload
    assert upload is not None
    typed = typed_into(place.task.fields(job), {k: v for k, v in form.items() if isinstance(v, str)})
    file = form.get("file")
    try:
        if not isinstance(file, UploadFile) or not file.filename:
            raise bad_input("file", "no file was chosen", "choose one first")
        filled = upload.receive(desk.book, job, file.file, file.filename)
    except AsfoundError as error:
        return _show(request, desk, job, place, typed, problems=error.problems, status=status_of(error))
    return RedirectResponse(f"{place.href(job)}?{urlencode({**typed, **filled})}", status_code=303)


def _asked(desk: Desk, job: Job, place: Place, fields: Sequence[Field], typed: Mapping[str, str]) -> Asked:
    address = f"{place.href(job)}?{urlencode(typed)}"
    return Asked(book=desk.book, job=job, fields=tuple(fields), typed=typed, address=address)


def _show(
    request: Request,
    desk: Desk,
    job: Job,
    place: Place,
    typed: Mapping[str, str],
    sections: tuple[Section, ...] = (),
    *,
    wrote: str = "",
    problems: tuple[Problem, ...] = (),
    status: int = 200,
) -> Response:
    task = place.task
    page = RoomPage(
        head=job_head(job, f"/{place.room}"),
        tasks=tuple(TaskLink(place.href(job, one), one.name, one is task) for one in place.tasks),
        name=task.name,
        lead=task.lead,
        here=place.href(job),
        form=show_form(task.fields(job), typed, problems),
        sent=tuple(typed.items()),
        ask=task.ask,
        sections=(*sections, *task.standing(desk.book, job)),
        stages=STAGES if task.staged else (),
        stage=next_stage(job),
        how=told(task.how) if task.how is not None else None,
        wrote=said_of(job, wrote),
        upload=task.upload.form if task.upload is not None else None,
    )
    return render(request, "room.html", page, title=f"{task.name}, {job.ticket}", status=status)


@lru_cache(maxsize=256)
def told(how: Callable[[], How]) -> How:
    """Return how a reading is taken; its drawings are made once."""
    return how()


def next_stage(job: Job) -> Stage:
    """Return the likely stage of a reading: as left once all is back, working once anything is off, else as found."""
    if not job.steps:
        return "as found"
    return "as left" if all(step.back for step in job.steps) else "working"


def said_of(job: Job, wrote: str) -> tuple[str, ...]:
    """Return what was written, as told by the address."""
    wanted = set(wrote.split(","))
    found = [say(entry, job) for entry in job.entries if str(entry.id) in wanted]
    return tuple(" ".join((f"{one.kind}: {one.text}", *(f"({d})" for d in one.details))) for one in found)
