"""Service notes of a model: gathered from all its jobs and from files taken in, exported, merged."""

import base64
import contextlib
import difflib
import functools
import json
import re
from collections.abc import Sequence
from pathlib import Path

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from asfound.bench.jobs import load_job
from asfound.book import Book
from asfound.job import Job, key
from asfound.job.bodies import ReadingTaken
from asfound.job.notes import ServiceNotes, service_notes
from asfound.job.observed_readings import outside
from asfound.job.observing import CameraSeen, NotesFile, PhotoSeen, camera_name, merged, observe
from asfound.problems import AsfoundError, BadInputError, NotFoundError, Problem, StorageError


def models(book: Book) -> dict[str, int]:
    """Return each model of the book with the number of its jobs, the most frequent first."""
    names: dict[str, str] = {}
    counts: dict[str, int] = {}
    # From the list alone: there may be a thousand jobs, and this is asked wherever other cameras could tell something.
    for line in book.jobs():
        model = str(line.summary["model"])
        names.setdefault(key(model), model)
        counts[key(model)] = counts.get(key(model), 0) + 1
    return {names[name]: count for name, count in sorted(counts.items(), key=lambda row: (-row[1], row[0]))}


def jobs_on(book: Book, model: str) -> tuple[Job, ...]:
    """Return the jobs on one model; case and spacing of its name do not count."""
    found = []
    for line in book.jobs(model=model):
        # One that cannot be read is left out; the check of the book tells of it.
        with contextlib.suppress(AsfoundError):
            found.append(load_job(book, line.id))
    return tuple(found)


def cameras_seen(
    book: Book, model: str, *, serials: bool = False, photos: bool = False, without: Job | None = None
) -> tuple[CameraSeen, ...]:
    """Return every camera of a model that the book knows: its own jobs, and those of files taken in.

    Parameters
    ----------
    serials, photos : bool
        Tell serials, and the photographs with their files; only for the book's own jobs.
    without : Job
        A job to leave out, such as the one that is to be compared with the others.

    Raises
    ------
    NotFoundError
        If no camera of the model is known.
    """
    if serials or photos:
        others = [job for job in jobs_on(book, model) if without is None or job.id != without.id]
        own = [_told_more(book, job, serials=serials, photos=photos) for job in others]
    else:
        own = list(book.cameras_seen(model=model, without=None if without is None else without.id))
    taken = taken_in(book, model)
    if without is not None:
        taken = tuple(seen for seen in taken if seen.camera != camera_name(without.id))
    if not own and not taken:
        raise _unknown(book, model, without)
    return merged([*own, *taken])


def _unknown(book: Book, model: str, without: Job | None) -> NotFoundError:
    known = models(book)
    if without is not None and key(model) in map(key, known):
        what = f"no other camera {model!r} is known than that of job {without.ticket}"
        return NotFoundError(Problem("model", what, "take in a file of notes, or look at the model without the job"))
    near = difflib.get_close_matches(key(model), map(key, known), n=1, cutoff=0.6)
    offered = [name for name in known if near and key(name) == near[0]]
    remedy = f"did you mean {offered[0]!r}?" if offered else f"the book has {', '.join(list(known)[:5])}"
    remedy = remedy if known else "open a job on one first"
    return NotFoundError(Problem("model", f"no camera {model!r} is known", remedy))


def _told_more(book: Book, job: Job, *, serials: bool, photos: bool) -> CameraSeen:
    seen = observe(job, serials=serials)
    return seen.model_copy(update={"photos": _photos(book, job)}) if photos else seen


def _photos(book: Book, job: Job) -> tuple[PhotoSeen, ...]:
    return tuple(
        PhotoSeen(
            caption=photo.caption,
            sha256=photo.attachment.sha256,
            media_type=photo.attachment.media_type,
            content=base64.b64encode(book.attachment_path(photo.attachment.sha256).read_bytes()).decode(),
        )
        for _, photo in job.photos
    )


def notes_on(book: Book, model: str, *, without: Job | None = None) -> ServiceNotes:
    """Return the service notes of a model.

    Raises
    ------
    NotFoundError
        If no camera of the model is known.
    """
    return service_notes(model, cameras_seen(book, model, without=without))


def warnings_against(notes: ServiceNotes, job: Job) -> tuple[str, ...]:
    """Return a warning for each reading of a job that lies outside what other cameras of the model had."""
    found = []
    for kept in job.readings:
        body: ReadingTaken = kept.body
        said = outside(notes.readings, quantity=body.quantity, place=body.place, stage=body.stage, reading=body.reading)
        found += [said] if said else []
    return tuple(found)


def notes_file(model: str, cameras: Sequence[CameraSeen]) -> str:
    """Return the open file of a model's notes as text: JSON, the same text for the same cameras."""
    data = NotesFile(model=model, cameras=merged(cameras)).model_dump(mode="json", exclude_none=True)
    return json.dumps(data, ensure_ascii=False, indent=1, sort_keys=True) + "\n"


def read_notes(path: Path) -> NotesFile:
    """Return the notes in a file.

    Raises
    ------
    BadInputError
        If it is no file of service notes, or damaged: with the first place that is wrong.
    StorageError
        If it cannot be read.
    """
    try:
        content = path.read_bytes()
    except OSError as error:
        raise StorageError(Problem(str(path), f"cannot be read ({error.strerror})", "name another file")) from None
    return notes_in(content, str(path))


def notes_in(content: bytes, name: str) -> NotesFile:
    """Return the notes that the content of a file holds; `name` is what it is called in a problem.

    Raises
    ------
    BadInputError
        If it is no file of service notes, or damaged: with the first place that is wrong.
    """
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise BadInputError(Problem(name, "this is no text", "choose a file of service notes")) from None
    try:
        return NotesFile.model_validate_json(text)
    except ValidationError as error:
        first = error.errors()[0]
        if first["type"] == "json_invalid":
            what = f"this is no JSON ({first['ctx']['error']})"
            raise BadInputError(Problem(name, what, "choose a file of service notes, whole")) from None
        problem = Problem(name, f"{_place(first['loc'])}: {_plainly(first)}", "ask for the file again")
        raise BadInputError(problem) from None


def _place(where: tuple[int | str, ...]) -> str:
    """Return a place in the file in words: "cameras 1, steps 3, turns", counted from 1."""
    words: list[str] = []
    for part in where:
        if isinstance(part, int) and words:
            words[-1] += f" {part + 1}"
        else:
            words.append(str(part))
    return ", ".join(words) or "the file"


def _plainly(error: ErrorDetails) -> str:
    said = {"missing": "it is missing", "extra_forbidden": "no such thing belongs there"}
    return said.get(error["type"], error["msg"][:1].lower() + error["msg"][1:])


def write_notes(path: Path, text: str) -> None:
    """Write a file of notes.

    Raises
    ------
    StorageError
        If the place refuses.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    except OSError as error:
        raise StorageError(
            Problem(str(path), f"cannot be written ({error.strerror})", "choose another place")
        ) from None


def take_in(book: Book, path: Path) -> tuple[str, int]:
    """Take the cameras of a file into the book's notes; return the model and how many were new.

    They are kept beside the book, one file to a model; taking the same file in twice changes nothing.
    """
    return keep_notes(book, read_notes(path))


def keep_notes(book: Book, given: NotesFile) -> tuple[str, int]:
    """Keep the cameras of a file in the book's notes; return the model and how many were new."""
    before = taken_in(book, given.model)
    after = merged([*before, *given.cameras])
    write_notes(kept_file(book, given.model), notes_file(given.model, after))
    return given.model, len(after) - len(before)


def taken_in(book: Book, model: str) -> tuple[CameraSeen, ...]:
    """Return the cameras of a model that were taken in from files.

    Raises
    ------
    BadInputError
        If the file that keeps them is damaged.
    """
    kept = kept_file(book, model)
    return _taken_in(kept, kept.stat().st_mtime_ns) if kept.exists() else ()


@functools.lru_cache(maxsize=32)
def _taken_in(kept: Path, _changed: int) -> tuple[CameraSeen, ...]:
    return read_notes(kept).cameras


def kept_file(book: Book, model: str) -> Path:
    """Return where the cameras of a model that were taken in from files are kept."""
    plain = re.sub(r"[^a-z0-9]+", "-", key(model)).strip("-") or "model"
    return book.location.folder / "notes" / f"{plain}.json"
