"""The partial order that the observed orders together allow."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from asfound.job.job import key
from asfound.job.observing import CameraSeen, StepSeen


@dataclass(frozen=True, slots=True)
class PartialOrder:
    """Which parts come off before which; parts by the key of their name, in an order in which they can come off.

    Attributes
    ----------
    before : dict
        For each part, every part that comes off before it.
    just_before : dict
        The same without what follows from the others.
    contradicted : tuple of tuple of str
        Circles that no camera shows alone, only several together: these parts are left unordered.
    """

    parts: tuple[str, ...]
    names: dict[str, str]
    before: dict[str, tuple[str, ...]]
    just_before: dict[str, tuple[str, ...]]
    contradicted: tuple[tuple[str, ...], ...] = ()


def partial_order(cameras: Sequence[CameraSeen]) -> PartialOrder:
    """Return the order that all cameras together allow.

    A part comes before another only if it did on every camera where both came off: a pair seen both ways is
    unordered, and so is a pair that one camera freed from each other by saying what freed what.
    """
    names: dict[str, str] = {}
    place: dict[str, int] = {}
    rank: dict[str, list[float]] = defaultdict(list)
    allowed: dict[int, int] = {}
    seen_with: dict[int, int] = defaultdict(int)
    for camera in cameras:
        rows = _keyed(camera.steps, names, place)
        present = 0
        for n, name in enumerate(rows):
            present |= 1 << place[name]
            rank[name].append(n / len(rows))
        for name, closed in _needs(camera.steps, rows, place).items():
            bit = place[name]
            allowed[bit] = allowed.get(bit, -1) & (closed | ~present)
            seen_with[bit] |= present
    order = sorted(place, key=lambda name: (sum(rank[name]) / len(rank[name]), name))
    direct = [allowed[n] & seen_with[n] & ~(1 << n) for n in range(len(place))]
    reach, circles = _closed(direct)
    return _as_parts(order, names, place, reach, circles)


def _keyed(steps: Sequence[StepSeen], names: dict[str, str], place: dict[str, int]) -> list[str]:
    """Return the keys of the parts in the order they first came off, each once, and note them."""
    rows: dict[str, None] = {}
    for step in steps:
        name = key(step.part)
        rows[name] = None
        if name not in place:
            place[name] = len(place)
            names[name] = step.part
    return list(rows)


def _needs(steps: Sequence[StepSeen], rows: Sequence[str], place: dict[str, int]) -> dict[str, int]:
    """Return, for each part of one camera, all parts that had to come off before it, as bits."""
    needs: dict[str, int] = {}
    by_step: list[int] = []
    done = 0
    for step in steps:
        name = key(step.part)
        bit = 1 << place[name]
        if step.freed_by is None:
            closed = _said_free(done, step, by_step)
        else:
            closed = 0
            for n in step.freed_by:
                if 0 <= n < len(by_step):
                    closed |= by_step[n]
        by_step.append(closed | bit)
        needs.setdefault(name, closed & ~bit)
        done |= bit
    return {name: needs[name] for name in rows}


def _said_free(done: int, step: StepSeen, by_step: Sequence[int]) -> int:
    """Return every step done before but those said not to free this one, as far as the others do not need them."""
    closed = 0
    for n, bits in enumerate(by_step):
        closed |= 0 if n in step.not_by else bits
    return closed if step.not_by else done


def _closed(direct: list[int]) -> tuple[list[int], list[int]]:
    """Return the transitive closure without its circles, and the circles, all as bits."""
    reach = list(direct)
    for k in range(len(reach)):
        for j in range(len(reach)):
            if reach[j] >> k & 1:
                reach[j] |= reach[k]
    circles = {_circle(reach, j) for j in range(len(reach)) if reach[j] >> j & 1}
    if not circles:
        return reach, []
    # Within a circle the cameras together say nothing: its parts are unordered among themselves.
    loose = [mask & ~next((c for c in circles if c >> j & 1), 0) for j, mask in enumerate(direct)]
    return _closed(loose)[0], sorted(circles)


def _circle(reach: Sequence[int], j: int) -> int:
    return sum(1 << k for k in range(len(reach)) if reach[j] >> k & 1 and reach[k] >> j & 1)


def _as_parts(
    order: Sequence[str], names: dict[str, str], place: dict[str, int], closed: Sequence[int], circles: Sequence[int]
) -> PartialOrder:
    sequence: list[str] = []
    done = 0
    left = list(order)
    while left:
        name = next(name for name in left if closed[place[name]] & ~done == 0)
        left.remove(name)
        sequence.append(name)
        done |= 1 << place[name]
    before = {name: tuple(b for b in sequence if closed[place[name]] >> place[b] & 1) for name in sequence}
    just = {}
    for name, earlier in before.items():
        implied = 0
        for b in earlier:
            implied |= closed[place[b]]
        just[name] = tuple(b for b in earlier if not implied >> place[b] & 1)
    contradicted = tuple(tuple(names[name] for name in sequence if mask >> place[name] & 1) for mask in circles)
    return PartialOrder(tuple(sequence), names, before, just, contradicted)
