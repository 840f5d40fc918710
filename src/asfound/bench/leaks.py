"""Light leaks: photographs searched in the pool, two of them compared, and what they prove written into the job."""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal
from uuid import UUID

from asfound.book import Book
from asfound.job import Entry, Job
from asfound.job.bodies import Annotation, Photo, Pin, Proof, Stage
from asfound.problems import BadInputError, NotFoundError, Problem, StoppedError, bad_input
from asfound.shape.leaks import Leaks, Light, find_leaks, together
from asfound.shape.leaks_pair import NOT_MOVED, Compared, Laid, Point, compare, laid_by_marks, laid_by_sight
from asfound.shape.leaks_spot import Spot
from asfound.shape.leaks_told import Told, place_words, size_words, told_of

Of = Literal["bellows", "back"]
PROOFS: dict[Of, str] = {"bellows": "bellows light-tight", "back": "back light-tight"}
_MOST_PINS = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class LeakQuestion:
    """How leak photographs were taken, and what is asked of them.

    Attributes
    ----------
    dark_spots : bool
        On a negative, light that leaked in is dark.
    not_moved : bool
        The camera stood still between the two.
    marks : tuple of ((x, y), (x, y))
        Points in the first photograph and where they are in the second; where there are none, the two are laid by
        what they show.
    same_exposure : bool
    shown_to_show : bool
        A pinhole made on purpose, or a known leak, shows at this exposure.
    scale : ((x, y), (x, y), mm) or None
        Two points of the first photograph and how far apart they are.
    """

    dark_spots: bool = False
    not_moved: bool = False
    marks: tuple[tuple[Point, Point], ...] = ()
    same_exposure: bool = True
    shown_to_show: bool = False
    scale: tuple[Point, Point, float] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LeakSearch:
    """What was found in one photograph or two; `unlaid` says why two could not be compared."""

    first: Leaks
    second: Leaks | None
    laid: Laid | None
    compared: tuple[Compared, ...]
    told: Told
    unlaid: tuple[Problem, ...] = ()

    @property
    def last(self) -> Leaks:
        """The photograph that speaks for the camera now."""
        return self.first if self.second is None else self.second


def search_leaks(
    paths: tuple[Path, ...],
    names: tuple[str, ...],
    question: LeakQuestion,
    *,
    progress: Callable[[float], None],
    cancelled: Callable[[], bool],
) -> LeakSearch:
    """Look for spots in one photograph, or in two and compare them; made to run in the pool.

    They are read one at a time, at about eight bytes of memory a pixel; what is searched, and kept for comparing, has
    no more than four million pixels.

    Raises
    ------
    BadInputError
        If one cannot be read or searched, or the scale is of one point.
    StoppedError
        If it is to stop.
    """
    from asfound.capture.photograph import read_light  # the readers are slow to import

    mm_per_px = None if question.scale is None else _scale(question.scale)
    found: list[Leaks] = []
    laid: Laid | None = None
    unlaid: tuple[Problem, ...] = ()
    small: list[Light] = []
    for n, (path, name) in enumerate(zip(paths, names, strict=True)):
        told = _telling(progress, cancelled, n / len(names), 1 / len(names))
        light = read_light(path)
        found.append(_searched(light, name, question.dark_spots, mm_per_px, told))
        small.append(together(light, found[n].reduced))
    if len(found) == 1:
        return _search(found[0], None, None, (), question)
    try:
        laid = _laid(question, found, small)
    except BadInputError as error:
        unlaid = error.problems
    second = found[1] if laid is None else replace(found[1], mm_per_px=_carried(mm_per_px, laid))
    return _search(found[0], second, laid, unlaid, question)


def _search(
    first: Leaks, second: Leaks | None, laid: Laid | None, unlaid: tuple[Problem, ...], question: LeakQuestion
) -> LeakSearch:
    compared: tuple[Compared, ...] = ()
    if second is not None and laid is not None:
        compared = compare(first, second, laid, same_exposure=question.same_exposure)
    last = first if second is None else second
    told = told_of(last, compared=compared, shown_to_show=question.shown_to_show)
    return LeakSearch(first=first, second=second, laid=laid, compared=compared, told=told, unlaid=unlaid)


def _telling(
    progress: Callable[[float], None], cancelled: Callable[[], bool], start: float, length: float
) -> Callable[[float], None]:
    def told(share: float) -> None:
        if cancelled():
            raise StoppedError(Problem("photographs", "it was stopped", "start it again"))
        progress(start + length * share)

    return told


def _searched(
    light: Light, name: str, dark_spots: bool, mm_per_px: float | None, progress: Callable[[float], None]
) -> Leaks:
    try:
        return find_leaks(light, dark_spots=dark_spots, mm_per_px=mm_per_px, progress=progress)
    except BadInputError as error:
        moved = (replace(p, where=name if p.where == "photograph" else p.where) for p in error.problems)
        raise BadInputError(*moved) from None


def _scale(scale: tuple[Point, Point, float]) -> float:
    (x1, y1), (x2, y2), distance_mm = scale
    apart = math.hypot(x1 - x2, y1 - y2)
    if apart < 10:
        raise bad_input("scale", f"its two points are {apart:.0f} pixels apart", "take two far apart, ten or more")
    return distance_mm / apart


def _carried(mm_per_px: float | None, laid: Laid) -> float | None:
    """Return the scale of the second photograph, by how much larger it shows the same."""
    if mm_per_px is None:
        return None
    (a, b, _), (d, e, _) = laid.matrix
    return mm_per_px / math.sqrt(abs(a * e - b * d) or 1.0)


def _laid(question: LeakQuestion, found: list[Leaks], small: list[Light]) -> Laid:
    if question.marks:
        return laid_by_marks([one for one, _ in question.marks], [other for _, other in question.marks])
    first, second = ((one.columns, one.rows) for one in found)
    if first != second:
        what = f"the two are {first[0]} x {first[1]} and {second[0]} x {second[1]} pixels"
        raise bad_input("second photograph", what, "name three points seen in both")
    return NOT_MOVED if question.not_moved else laid_by_sight(*small).enlarged(found[0].reduced)


def numbered(search: LeakSearch) -> tuple[tuple[int, Compared], ...]:
    """Return the spots with the numbers that the picture and the table call them by."""
    if search.compared:
        return tuple(enumerate(search.compared, start=1))
    spots = search.last.spots
    return tuple(
        (n, Compared(state="new", before=None, after=s, at_px=(s.x_px, s.y_px))) for n, s in enumerate(spots, 1)
    )


def spot_of(one: Compared) -> Spot:
    """Return the spot as last seen."""
    spot = one.after or one.before
    assert spot is not None
    return spot


def photo_of(job: Job, photograph: UUID) -> Photo:
    """Return a photograph of the job.

    Raises
    ------
    NotFoundError
        If it is not in the job.
    """
    photo = next((body for entry, body in job.photos if entry == photograph), None)
    if photo is None:
        raise NotFoundError(Problem("photograph", "it is not in this job", "choose another"))
    return photo


def write_leaks(
    book: Book,
    job: Job,
    search: LeakSearch,
    *,
    of: Of,
    photograph: UUID,
    stage: Stage,
    depends_on: tuple[str, ...],
) -> tuple[Entry, ...]:
    """Write whether the bellows or the back is light-tight, and the spots as pins on the last photograph."""
    photo_of(job, photograph)
    proof = Proof(
        what=PROOFS[of],
        verdict=search.told.verdict,
        stage=stage,
        depends_on=depends_on,
        text=f"Photograph, entry {job.number(photograph)}: {search.told.words}. {_list(search)}".strip(),
    )
    last = search.last
    pins = tuple(
        Pin(x=_share(x, last.columns), y=_share(y, last.rows), label=f"{n} {one.state if search.compared else 'leak'}")
        for n, one in numbered(search)[:_MOST_PINS]
        for x, y in (one.at_px,)
    )
    bodies = [proof, Annotation(photo=photograph, pins=pins)] if pins else [proof]
    return book.write(job.id, bodies)


def _share(place_px: float, side: int) -> float:
    return min(max((place_px + 0.5) / side, 0.0), 1.0)


def _list(search: LeakSearch) -> str:
    """Return the spots in words, the first of them."""
    scale = search.last.mm_per_px
    said = []
    for n, one in numbered(search)[:_MOST_PINS]:
        spot = spot_of(one)
        state = f"{one.state}, " if search.compared else ""
        said.append(f"{n}: {state}at {place_words(*one.at_px, scale)}, {size_words(spot, scale)} wide")
    return "; ".join(said)[:4000] + ("." if said else "")
