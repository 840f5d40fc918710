"""SQLite's log cut or torn at any place: what was acknowledged before it is there, and no half of what came after.

The format is SQLite's own ("The Write-Ahead Log", sections 1 and 4 of its file format document, from memory): a head of
32 bytes, then frames of 24 bytes and a page; a reader takes whole transactions up to the first frame whose checksum
is wrong.
"""

import random
import shutil
from collections.abc import Callable
from pathlib import Path
from uuid import UUID

import pytest

from asfound.book import Book, in_folder
from asfound.job.bodies import Camera, Note

HEAD, FRAME = 32, 24 + 4096
OpenBook = Callable[..., Book]
Written = list[tuple[int, int]]


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, UUID, Written]:
    """Give a folder as a bench left it that was never closed, and the log's length after each acknowledged entry."""
    folder, copy = tmp_path_factory.mktemp("open") / "book", tmp_path_factory.mktemp("left") / "book"
    log, sizes = folder / "book.sqlite-wal", []
    with Book.open(in_folder(folder)):
        pass
    with Book.open(in_folder(folder)) as book:
        job = book.open_job(Camera(model="Otter"))[0].job
        sizes.append((log.stat().st_size, 1))
        for number in range(2, 6):
            book.write(job, [Note(text=f"seen {number} " + "x" * 400 * number)])
            sizes.append((log.stat().st_size, number))
        shutil.copytree(folder, copy)
    return copy, job, sizes


def kept(folder: Path, job: UUID) -> int:
    """Return how many entries are there; none is half there."""
    with Book.open(in_folder(folder)) as book:
        assert book.check().problems == ()
        entries = book.entries(job)
        assert [entry.sequence for entry in entries] == list(range(1, len(entries) + 1))
        return len(entries)


def acknowledged_by(size: int, sizes: Written) -> int:
    return max((number for length, number in sizes if length <= size), default=0)


def test_a_log_cut_short_at_or_within_any_frame_keeps_what_was_acknowledged_before(
    written: tuple[Path, UUID, Written], tmp_path: Path
) -> None:
    left, job, sizes = written
    content = (left / "book.sqlite-wal").read_bytes()
    assert (len(content) - HEAD) % FRAME == 0
    frames = [HEAD + FRAME * number for number in range((len(content) - HEAD) // FRAME + 1)]
    for place, frame in enumerate(frames):
        for length in (frame, frame - 1, frame + 700)[: 3 if place % 6 == 0 else 1]:
            folder = tmp_path / str(length)
            shutil.copytree(left, folder)
            (folder / "book.sqlite-wal").write_bytes(content[: max(0, length)])
            (folder / "book.sqlite-shm").unlink(missing_ok=True)
            assert kept(folder, job) == acknowledged_by(length, sizes)
            shutil.rmtree(folder)


def test_a_log_torn_at_any_place_keeps_what_was_acknowledged_before(
    written: tuple[Path, UUID, Written], tmp_path: Path
) -> None:
    left, job, sizes = written
    content, chance = (left / "book.sqlite-wal").read_bytes(), random.Random(5)
    for number in range(12):
        place = chance.randrange(HEAD, len(content) - 512) & ~511
        torn = bytearray(content)
        torn[place : place + 512] = chance.randbytes(512)
        folder = tmp_path / str(number)
        shutil.copytree(left, folder)
        (folder / "book.sqlite-wal").write_bytes(torn)
        (folder / "book.sqlite-shm").unlink(missing_ok=True)
        assert kept(folder, job) >= acknowledged_by(place, sizes)
