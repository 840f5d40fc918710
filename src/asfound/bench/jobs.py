"""Jobs of the book: opened, and found by name."""

from collections.abc import Mapping
from uuid import UUID

from pydantic import ValidationError

from asfound.book import Book
from asfound.job import Job, fold
from asfound.job.bodies import Camera
from asfound.problems import BadInputError, Problem


def read_camera(particulars: Mapping[str, object]) -> Camera:
    """Return the camera that typed particulars describe.

    Raises
    ------
    BadInputError
        With one problem to each particular that cannot be right, at its name.
    """
    try:
        return Camera.model_validate(particulars)
    except ValidationError as error:
        raise BadInputError(*(_problem(dict(fault)) for fault in error.errors())) from None


def _problem(fault: Mapping[str, object]) -> Problem:
    place = fault["loc"]
    name = str(place[0]).replace("_", " ") if isinstance(place, tuple) and place else "camera"
    return Problem(name, f"{fault['input']!r}: {str(fault['msg']).lower()}", "correct it or leave it empty")


def open_job(book: Book, *, camera: Camera, complaint: str = "", ticket: str | None = None) -> Job:
    """Open a job on a camera; without a ticket it gets the book's next number.

    Raises
    ------
    ConflictError
        If the ticket is taken.
    """
    return fold(book.open_job(camera, complaint=complaint, ticket=ticket or None))


def load_job(book: Book, name: str | UUID) -> Job:
    """Return the job that a ticket, an identifier, or the beginning of one names.

    Raises
    ------
    NotFoundError
        If there is none.
    ConflictError
        If there is more than one.
    """
    return book.job(name if isinstance(name, UUID) else book.resolve(name))
