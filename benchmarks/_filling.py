"""A book as full as years of work make it, filled in minutes: one job's entries again and again, each its own chain."""

import itertools
import json
import random
import uuid
from collections.abc import Callable, Iterator, Sequence
from typing import Any

from asfound.book import Book
from asfound.book.tables import ENTRY
from asfound.job import Stamp, canonical_bytes, entry_hash, read_entry
from asfound.job.bodies import Body, Camera, HandedOver, Note, Opened, PartOrdered, ReadingTaken, StepTaken
from asfound.quantity import Reading
from asfound.teardown.fastener import FastenerGroup

_DAY_MS = 86_400_000
_MODELS = 40
_ORIGIN = "bench-filled"
_BEGUN_MS = 1_600_000_000_000
_PARTS = ("leather disc", "front ring", "name plate", "speed ring", "cover plate", "retard train", "pallet", "blades")


def words(draw: random.Random) -> Callable[[], str]:
    """Return what gives a line of six to twelve words, each as frequent as its place in a list (Zipf, from memory)."""
    made = ["".join(draw.choice("bdfgklmnprstvz") + draw.choice("aeiou") for _ in range(draw.randint(1, 4)))
            for _ in range(3000)]  # fmt: skip
    known = ["the", "and", "screw", "spring", "oil", "blade", "ring", "benzine", "felt", "helical", "strut", *made]
    weights = list(itertools.accumulate(1 / n for n in range(1, len(known) + 1)))
    return lambda: " ".join(draw.choices(known, cum_weights=weights, k=draw.randint(6, 12)))


def bodies(entries: int, seed: int) -> tuple[Body, ...]:
    """Return what one job of so many entries says: parts off, readings, an order, notes."""
    line = words(random.Random(seed))
    height = Reading(value=0.35, unit="mm", standard_uncertainty=0.01)
    screws = FastenerGroup(count=3, thread="M1.4", length_mm=2.5)
    off = [StepTaken(action="off", part=f"{part} {n}", fasteners=(screws,), lies=f"tray {n % 6 + 1}")
           for n, part in enumerate(_PARTS * 2)]  # fmt: skip
    read = [ReadingTaken(quantity="height", place=f"{n} o'clock", reading=height, instrument="feeler set")
            for n in range(12)]  # fmt: skip
    gone = (HandedOver(text="in order"),)
    first = (*off, *read, PartOrdered(part="front bellows", where="the bellows maker"))
    notes = tuple(Note(text=line()) for _ in range(entries - len(first) - 2))
    return (*first, *notes, *gone)


def fill(book: Book, *, jobs: int, entries: int, tell: Callable[[str], None] = lambda _: None) -> list[uuid.UUID]:
    """Write so many jobs of so many entries each into an empty book; return the jobs.

    The bytes are put together here as the book would store them, and the first job's are held against it.
    """
    made, sequence = [], 0
    told = [[_canonical(body) for body in bodies(entries, seed)] for seed in range(_MODELS)]
    for number in range(jobs):
        job = uuid.UUID(int=(7 << 76) | (2 << 62) | number << 80)
        camera = Camera(maker="Tarnbeck", model=f"Merle {number % _MODELS}", serial=f"{40_000 + number}")
        opened = Opened(ticket=str(number + 1), camera=camera, complaint="the long times drag")
        said = told[number % _MODELS]
        # All but the last two hundred were handed over.
        rows = tuple(_rows(job, [_canonical(opened), *(said if jobs - number > 200 else said[:-1])], sequence, number))
        if number == 0:
            assert all(canonical_bytes(read_entry(row["stored"])) == row["stored"] for row in rows)
        sequence += len(rows)
        with book._writing() as connection:
            connection.execute(ENTRY.insert(), rows)
        made.append(job)
        if number % 1000 == 999:
            tell(f"{number + 1} jobs written")
    tell("making the lists and the search anew")
    book.rebuild()
    return made


def _canonical(body: Body) -> str:
    told = body.model_dump(mode="json", exclude_none=True)
    return json.dumps(told, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


def _rows(job: uuid.UUID, told: Sequence[str], sequence: int, number: int) -> Iterator[dict[str, Any]]:
    previous = ""
    for n, body in enumerate(told, start=1):
        place, wall_ms = sequence + n, _BEGUN_MS + number * _DAY_MS // 10 + n * 60_000
        stamp, id_ = Stamp(wall_ms), uuid.UUID(int=job.int | place)
        before = f'"previous":"{previous}",' if previous else ""
        content = (
            f'{{"body":{body},"clock":"{stamp}","id":"{id_}","job":"{job}","origin":"{_ORIGIN}",{before}'
            f'"schema_version":1,"sequence":{place}}}'
        ).encode()
        previous = entry_hash(content)
        yield {
            "id": str(id_),
            "origin": _ORIGIN,
            "sequence": place,
            "job": str(job),
            "wall_ms": wall_ms,
            "counter": 0,
            "hash": previous,
            "stored": content,
        }
