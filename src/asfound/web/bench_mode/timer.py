"""A bath or a cure begun by a form, and ended by one: each an entry, so that it outlasts this page."""

from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

from pydantic import ValidationError

from asfound.bench.jobs import load_job
from asfound.book import Book
from asfound.job import Entry, Job, key
from asfound.job.bodies import PartCondition
from asfound.problems import BadInputError, Problem, bad_input
from asfound.quantity import read_number
from asfound.web.errors import problems_of

# What the form offers -> the condition that is written.
SORTS = {"soaks": "soaking", "cures": "curing"}
QUICK = (10, 20, 30, 60, 240, 1440)


@dataclass(frozen=True, slots=True, kw_only=True)
class TimerForm:
    """The form of a timer as typed, what parts it may be for, and what is wrong with it."""

    part: str = ""
    sort: str = "soaks"
    using: str = ""
    minutes: str = ""
    parts: tuple[str, ...] = ()
    sorts: tuple[str, ...] = tuple(SORTS)
    quick: tuple[int, ...] = QUICK
    problems: tuple[Problem, ...] = ()


def timer_form(job: Job, typed: Mapping[str, str] | None = None, problems: tuple[Problem, ...] = ()) -> TimerForm:
    """Return the form: empty, or as typed with what is wrong with it."""
    said = typed or {}
    off = tuple(dict.fromkeys(step.part for step in reversed(job.steps) if not step.back))
    return TimerForm(
        part=said.get("part", ""),
        sort=said["sort"] if said.get("sort", "") in SORTS else "soaks",
        using=said.get("using", ""),
        minutes=said.get("minutes", ""),
        parts=off,
        problems=problems,
    )


def begin(book: Book, job_id: UUID, typed: Mapping[str, str]) -> tuple[Entry, ...]:
    """Write that a part soaks or cures for so many minutes.

    Raises
    ------
    BadInputError
        If no part is named, or the minutes are none.
    """
    minutes = _minutes(typed.get("minutes", ""))
    try:
        body = PartCondition.model_validate(
            {
                "part": typed.get("part", ""),
                "condition": SORTS.get(typed.get("sort", ""), "soaking"),
                "using": typed.get("using", ""),
                "minutes": minutes,
            }
        )
    except ValidationError as error:
        raise BadInputError(*problems_of(error)) from None
    return book.write(job_id, [body])


def end(book: Book, job_id: UUID, part: str) -> tuple[Entry, ...]:
    """Write that a part came out of its bath, or is cured; one that waits for nothing stays as it is."""
    waits = {key(waiting.part): waiting.sort for waiting in load_job(book, job_id).waiting}
    sort = waits.get(key(part))
    if sort not in ("bath", "cure"):
        return ()
    return book.write(job_id, [PartCondition(part=part, condition="dry" if sort == "bath" else "cured")])


def _minutes(text: str) -> int:
    try:
        return round(read_number(text))
    except (BadInputError, ValueError, OverflowError):
        raise bad_input("minutes", f"{text!r} is no number of minutes", "write digits alone, such as 20") from None
