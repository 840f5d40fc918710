"""A disk that is full or broken, at each call in turn.

It is told plainly, nothing acknowledged is lost, and once it is mended the book is usable without more ado.
"""

import errno
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., dict[str, Any]]
Kept = Callable[[Path, list[dict[str, Any]]], None]
# How it refuses: with what, how often in a row (-1: from then on), and what is said.
FULL = (errno.ENOSPC, -1, ("the disk is full",))
BROKEN = (errno.EIO, -1, ("the disk reported an error",))
# Of a file that it cannot open just once, SQLite does not say why.
BROKEN_ONCE = (errno.EIO, 1, ("the disk reported an error", "the book cannot be reached"))
Begun = tuple[Path, list[dict[str, Any]]] | None


def refused_at(bench: Run, assert_kept: Kept, folder: Path, begun: Begun, deeds: int, call: int, how: Any) -> int:
    """Let the disk refuse from one call on; return how many calls there were before it was mended."""
    number, many, words = how
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir()
    if begun is not None:
        shutil.copytree(begun[0], folder / "book")
    place = {"folder": str(folder / "book"), "watched": str(folder)}
    ended = bench(**place, seed=5, first=0, deeds=deeds, refuse=[call, many, number])
    said = ended["said"]
    assert ended["status"] == 0, f"it broke at call {call}"
    for one in said:
        if "refused" in one:
            assert one["error"] == "StorageError", one
            assert any(word in one["said"] for word in words), one
    mended = next(place for place, one in enumerate(said) if "mended" in one)
    assert not any("refused" in one for one in said[mended:]), "the book was not usable after"
    assert_kept(folder / "book", said if begun is None else begun[1] + said)
    return next(int(one["calls"]) for one in said if "calls" in one)


def refused_at_every_call(
    bench: Run, assert_kept: Kept, folder: Path, begun: Begun, deeds: int, how: Any, every: int = 1
) -> int:
    """Let the disk refuse at each call of a session in turn; return how many there were."""
    whole = refused_at(bench, assert_kept, folder / "disk", begun, deeds, 10**9, how)
    # Which of the calls are tried where not all are is another choice with each way of refusing.
    for call in range(how[0] % every, whole, every):
        refused_at(bench, assert_kept, folder / "disk", begun, deeds, call, how)
    return whole


@pytest.fixture(scope="module")
def begun(watched_bench: Run, tmp_path_factory: pytest.TempPathFactory) -> Begun:
    """Give the folder of a book with some jobs, and what was acknowledged; copy it, do not write into it."""
    folder = tmp_path_factory.mktemp("begun") / "book"
    ended = watched_bench(folder=str(folder), watched=str(folder), seed=1, first=1000, deeds=4)
    assert ended["status"] == 0
    return folder, ended["said"]


@pytest.mark.parametrize("how", [FULL, BROKEN_ONCE], ids=["full", "broken once"])
def test_a_disk_that_refuses_while_a_bench_writes_is_told_plainly_and_loses_nothing(
    watched_bench: Run, assert_kept: Kept, tmp_path: Path, begun: Begun, how: Any
) -> None:
    assert refused_at_every_call(watched_bench, assert_kept, tmp_path, begun, 4, how, every=6) > 40


@pytest.mark.parametrize("how", [FULL, BROKEN_ONCE], ids=["full", "broken once"])
def test_a_disk_that_refuses_while_a_book_is_begun_leaves_no_half_book(
    watched_bench: Run, assert_kept: Kept, tmp_path: Path, how: Any
) -> None:
    assert refused_at_every_call(watched_bench, assert_kept, tmp_path, None, 1, how, every=12) > 80


@pytest.mark.soak
@pytest.mark.parametrize("how", [FULL, BROKEN_ONCE, BROKEN], ids=["full", "broken once", "broken"])
@pytest.mark.parametrize("new", [False, True], ids=["begun", "new"])
def test_for_long_a_disk_that_refuses_is_told_plainly_and_loses_nothing(
    watched_bench: Run, assert_kept: Kept, tmp_path: Path, begun: Begun, how: Any, new: bool
) -> None:
    refused_at_every_call(watched_bench, assert_kept, tmp_path, None if new else begun, 12, how)


def test_a_folder_that_may_only_be_read_is_told_plainly_and_left_as_it_is(
    watched_bench: Run, assert_kept: Kept, tmp_path: Path, begun: Begun
) -> None:
    how = (errno.EROFS, -1, ("the book may not be written to",))
    assert refused_at(watched_bench, assert_kept, tmp_path / "disk", begun, 3, 0, how) > 0
    # Open already when the disk turns read-only, as a system does after an error.
    for call in (8, 9, 10):
        refused_at(watched_bench, assert_kept, tmp_path / "disk", begun, 3, call, how)
