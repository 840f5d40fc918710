"""A bench that writes entries in memory, as the book would."""

import uuid
from collections.abc import Callable, Sequence

import pytest

from asfound.job.bodies import Body, Camera, Opened
from asfound.job.clock import Stamp, next_stamp
from asfound.job.entry import Entry, canonical_bytes, entry_hash


class MemoryBench:
    """Writes bodies as entries of one job, one minute apart, with a wall clock that a test may set."""

    def __init__(self, origin: str = "bench-a", job: uuid.UUID | None = None) -> None:
        self.origin = origin
        self.job = job or uuid.UUID(int=1)
        self.wall_ms = 1_700_000_000_000
        self.entries: list[Entry] = []
        self._latest: Stamp | None = None

    def write(self, body: Body) -> Entry:
        self.wall_ms += 60_000
        self._latest = next_stamp(latest=self._latest, wall_ms=self.wall_ms)
        previous = entry_hash(canonical_bytes(self.entries[-1])) if self.entries else None
        sequence = len(self.entries) + 1
        entry = Entry(
            id=uuid.uuid5(self.job, f"{self.origin}-{sequence}"),
            origin=self.origin,
            sequence=sequence,
            previous=previous,
            clock=self._latest,
            job=self.job,
            body=body,
        )
        self.entries.append(entry)
        return entry

    def all(self, bodies: Sequence[Body]) -> list[Entry]:
        return [self.write(body) for body in bodies]


@pytest.fixture
def new_bench() -> Callable[..., MemoryBench]:
    return MemoryBench


@pytest.fixture
def bench() -> MemoryBench:
    """A bench with a job opened on an invented camera."""
    bench = MemoryBench()
    bench.write(Opened(ticket="1", camera=Camera(model="Practice Six"), complaint="slow speeds hang"))
    return bench
