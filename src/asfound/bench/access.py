"""What must come off to reach a part: on a job as it stands, or on another camera of a model that is known."""

import difflib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from asfound.bench.jobs import load_job
from asfound.bench.notes import cameras_seen
from asfound.book import Book
from asfound.job import key
from asfound.job.access import off_now, ways_in_job, ways_in_notes
from asfound.job.notes import service_notes
from asfound.problems import NotFoundError, Problem
from asfound.teardown.access import Access, AccessStep, Way, reach_part


@dataclass(frozen=True, slots=True, kw_only=True)
class AccessFound:
    """What must come off, with the names of parts as they were written, and whose experience it rests on."""

    access: Access
    targets: tuple[str, ...]
    rests_on: str


def access_on_job(book: Book, job_name: str, parts: Sequence[str]) -> AccessFound:
    """Return what must still come off in a job to reach parts that came off in it before.

    Parts that have not come off in the job are looked for in the notes of its model.
    """
    job = load_job(book, job_name)
    ways, names = ways_in_job(job)
    rests_on = f"job {job.ticket}"
    if any(key(part) not in ways for part in parts):
        try:
            seen = cameras_seen(book, job.camera.model, without=job)
        except NotFoundError:
            seen = ()
        if seen:
            more, more_names = ways_in_notes(service_notes(job.camera.model, seen), seen)
            ways, names = more | ways, more_names | names
            rests_on += f" and the notes of {len(seen)} other {job.camera.model}"
    return _found(ways, names, parts, off_now(job), rests_on)


def access_on_model(book: Book, model: str, parts: Sequence[str]) -> AccessFound:
    """Return what must come off a whole camera of a model to reach parts, as its notes tell."""
    seen = cameras_seen(book, model)
    ways, names = ways_in_notes(service_notes(model, seen), seen)
    return _found(ways, names, parts, frozenset(), f"the notes of {len(seen)} {model}")


def _found(
    ways: Mapping[str, Sequence[Way]],
    names: Mapping[str, str],
    parts: Sequence[str],
    off: frozenset[str],
    rests_on: str,
) -> AccessFound:
    wanted = [_named(part, names) for part in parts]
    access = reach_part(ways, wanted, already_off=off)
    steps = tuple(AccessStep(names[step.part], step.way) for step in access.steps)
    assumed = tuple(_with_name(line, names) for line in access.assumed)
    shown = replace(access, steps=steps, assumed=assumed)
    return AccessFound(access=shown, targets=tuple(names[part] for part in wanted), rests_on=rests_on)


def _named(part: str, names: Mapping[str, str]) -> str:
    """Return the key of a part's name, or say which names are near."""
    if key(part) in names:
        return key(part)
    near = difflib.get_close_matches(key(part), names, n=3, cutoff=0.5)
    shown = " or ".join(repr(names[name]) for name in near)
    remedy = f"did you mean {shown}?" if near else f"known are {', '.join(list(names.values())[:6]) or 'none yet'}"
    raise NotFoundError(Problem("part", f"nothing is known of {part!r}", remedy))


def _with_name(line: str, names: Mapping[str, str]) -> str:
    part, _, rest = line.partition(":")
    return f"{names.get(part, part)}:{rest}"
