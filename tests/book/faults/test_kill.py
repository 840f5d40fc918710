"""A bench that is killed while it writes: everything acknowledged is there, nothing half written shows."""

import random
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., dict[str, Any]]
Kept = Callable[[Path, list[dict[str, Any]]], None]
KILLS = 7
LONGEST_S = 0.02


def killed_again_and_again(bench: Run, assert_kept: Kept, folder: Path, seed: int) -> None:
    """Kill sessions on one book at moments that the seed tells; look at the book after each."""
    chance = random.Random(seed)
    said: list[dict[str, Any]] = []
    for number in range(KILLS):
        # The first is often killed while the book is being begun.
        moment = [chance.randint(0, 12), chance.uniform(0, LONGEST_S)]
        order = {"folder": str(folder), "seed": chance.randrange(10**6), "first": 100 * number, "deeds": 12}
        ended = bench(**order, kill=moment)
        assert ended["status"] == 9, "it ended before it was killed"
        said += ended["said"]
        assert_kept(folder, said)


@pytest.mark.parametrize("seed", range(6))
def test_whatever_moment_a_bench_is_killed_at_all_that_was_acknowledged_is_kept(
    bench: Run, assert_kept: Kept, tmp_path: Path, seed: int
) -> None:
    killed_again_and_again(bench, assert_kept, tmp_path / "book", seed)


@pytest.mark.soak
@pytest.mark.parametrize("seed", range(100, 141))
def test_for_long_whatever_moment_a_bench_is_killed_at_all_that_was_acknowledged_is_kept(
    bench: Run, assert_kept: Kept, tmp_path: Path, seed: int
) -> None:
    killed_again_and_again(bench, assert_kept, tmp_path / "book", seed)
