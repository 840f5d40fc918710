"""What the drawer holds for parts that are lost: springs, screws, felt, and donors that may still have them."""

import re
from dataclasses import dataclass

from asfound.bench.springs import RATE
from asfound.bench.stock import Stocked, rows_of, screws_like
from asfound.book import Book
from asfound.job import Job, key
from asfound.problems import AsfoundError
from asfound.quantity import parse_quantity
from asfound.springs import StockSpring
from asfound.springs.drawer import springs_like
from asfound.teardown.donors import donors_with
from asfound.teardown.stock import Donor, StockFelt

_FELT = re.compile(r"\bfelt\b|\bplush\b|\bfoam\b|\blight seal", re.I)
_SPRING = re.compile(r"\bsprings?\b", re.I)
_UNMEASURED = "nothing was measured of the lost one"


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """One thing of the drawer that may do for a lost part; `but` says in what it differs, or what to look at."""

    item: Stocked
    but: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LostPart:
    """A part that is lost, and what the drawer holds for it."""

    part: str
    held: tuple[Held, ...]

    @property
    def is_spring(self) -> bool:
        """Whether it is a spring, which can also be wound new."""
        return bool(_SPRING.search(self.part))


def lost_parts(book: Book, job: Job) -> tuple[LostPart, ...]:
    """Return the parts of a job that are lost, each with what the drawer holds for it."""
    names = [part.name for part in job.parts.values() if part.condition.startswith("lost")]
    return tuple(LostPart(part=name, held=held_for(book, job, name)) for name in names)


def held_for(book: Book, job: Job, part: str) -> tuple[Held, ...]:
    """Return what the drawer holds that may do for a part: things of its kind first, then donors."""
    of_its_kind = _springs(book, job, part) if _SPRING.search(part) else _felt(book) if _FELT.search(part) else ()
    donors = [row.item for row in rows_of(book, "donors") if isinstance(row.item, Donor)]
    model, maker = job.camera.model, job.camera.maker
    with_it = donors_with(donors, part, models=(model, f"{maker} {model}") if model else ())
    return (*of_its_kind, *_screws(book, job, part), *(Held(item=fit.donor, but=fit.but) for fit in with_it))


def _springs(book: Book, job: Job, part: str) -> tuple[Held, ...]:
    stock = [row.item for row in rows_of(book, "springs") if isinstance(row.item, StockSpring)]
    known = _measured(job, part)
    try:
        legs = tuple(_mm(known[name]) for name in ("leg_1", "leg_2") if known.get(name))
        fits = springs_like(
            stock, wire_diameter_mm=_mm(known["wire"]), outside_diameter_mm=_mm(known["outside"]),
            body_turns=parse_quantity(known["turns"], unit="1", where="turns"), leg_lengths_mm=legs,
            material=known.get("material", "music wire"),
        )  # fmt: skip
    except (KeyError, AsfoundError):
        return tuple(Held(item=one, but=(_UNMEASURED,)) for one in stock)
    return tuple(Held(item=fit.stock, but=fit.but) for fit in fits)


def _measured(job: Job, part: str) -> dict[str, str]:
    """Return what was typed of a spring when its rate was reckoned; nothing where it never was."""
    lines: tuple[str, ...] = ()
    for kept in job.readings:
        if kept.body.quantity == RATE and key(part) in map(key, kept.body.depends_on):
            lines = kept.body.raw
    return {name: text for name, found, text in (line.partition(": ") for line in lines) if found}


def _mm(text: str) -> float:
    return parse_quantity(text, unit="mm", where="spring")


def _felt(book: Book) -> tuple[Held, ...]:
    pieces = [row.item for row in rows_of(book, "felt") if isinstance(row.item, StockFelt)]
    return tuple(Held(item=piece, but=("see how much it gives where it lies",)) for piece in pieces)


def _screws(book: Book, job: Job, part: str) -> tuple[Held, ...]:
    """Return screws like those of a part that is itself a screw: what held it is the screw."""
    if not re.search(r"\bscrews?\b", part, re.I):
        return ()
    groups = dict.fromkeys(group for step in job.steps if key(step.part) == key(part) for group in step.fasteners)
    fits = [fit for group in groups for fit in screws_like(book, group)]
    return tuple(Held(item=fit.screw, but=fit.but) for fit in fits)
