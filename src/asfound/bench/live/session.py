"""One live session: what is received goes to the spool and to the ear, and what is heard moves the walk."""

import threading
from collections import deque
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from asfound.bench.live.ear import Ear, Heard, is_same
from asfound.bench.live.plan import LivePlan, plain_plan, read_plan
from asfound.bench.live.stream import Stream
from asfound.book.spool import Spool, SpooledBlock, begin_spool, read_spool, reopen_spool
from asfound.capture.live_file import ToldShot, step_of
from asfound.shutter import Firing
from asfound.shutter.speeds.walk import (
    Walk,
    WalkedShot,
    begin,
    fired,
    last_standing,
    picked,
    stepped,
    struck,
    told_more,
    withdrawn,
)
from asfound.shutter.timing.block import Samples

# So much is looked at to tell the smallest step of the samples.
_LOOKED_AT_S = 0.1


class Session:
    """A session under way. `receive` is quick; `listen` measures, and `sync` waits for the disk: call them aside.

    Attributes
    ----------
    plan : LivePlan
    walk : Walk
        After the firings heard so far.
    stream : Stream
    spool : Spool
    """

    def __init__(self, plan: LivePlan, spool: Spool) -> None:
        self.plan, self.spool = plan, spool
        self.stream = Stream(sample_rate_hz=plan.sample_rate_hz)
        self.walk = begin([one.mark for one in plan.speeds], each=plan.each, watch=plan.watched)
        self._ear: Ear | None = None
        self._first: list[Samples] = []
        self._waiting: deque[SpooledBlock] = deque()
        self._received: tuple[int, int] | None = None
        self._ends: dict[int, int] = {}  # of each epoch, the frame after the last one received
        self._synced: tuple[int, int] | None = None
        self._lock = threading.Lock()

    @classmethod
    def begin(cls, folder: Path, plan: LivePlan) -> "Session":
        """Begin a session with an empty spool in the book's folder."""
        return cls(plan, begin_spool(folder, plan.session, plain_plan(plan)))

    @classmethod
    def again(cls, path: Path) -> "Session":
        """Go on with a session that was left: everything received is heard again."""
        spool = reopen_spool(path)
        session = cls(read_plan(spool.about), spool)
        told: Mapping[str, Any] | None = None
        for record in read_spool(path).records():
            if isinstance(record, SpooledBlock):
                session._hear_again(record)
            else:
                told = record
        session._synced = session._received
        if told is not None:
            session._adopt(told)
        return session

    def receive(self, block: SpooledBlock) -> None:
        """Take a block in; one that is known already is not kept again."""
        end = block.frame + block.samples.size
        is_old = block.epoch in self._ends and self._received is not None and self._received[0] != block.epoch
        if is_old or end <= self._ends.get(block.epoch, 0):
            return
        self.spool.append(block)
        self._ends[block.epoch] = end
        self._received = (block.epoch, end)
        self._waiting.append(block)

    def sync(self) -> tuple[int, int] | None:
        """Make what was received last; return its epoch and the frame after it, None where nothing is new."""
        received = self._received
        if received is None or received == self._synced:
            return None
        self.spool.sync()
        self._synced = received
        return received

    @property
    def kept(self) -> tuple[int, int] | None:
        """The epoch and frame up to which all is safely kept; None where nothing is."""
        return self._synced

    def listen(self) -> tuple[Heard, ...]:
        """Hear what was received since; the walk moves on with each firing."""
        with self._lock:
            pieces = [self.stream.add(self._waiting.popleft()) for _ in range(len(self._waiting))]
            samples = [piece for piece in pieces if piece.size]
            news = self._hear(np.concatenate(samples)) if samples else ()
            self._follow(news)
        return news

    def strike(self, place: int | None = None) -> None:
        """Strike a shot through, or count it again; the latest that stands where none is named."""
        with self._lock:
            chosen = last_standing(self.walk) if place is None else place
            if chosen is not None and 0 <= chosen < len(self.walk.shots):
                self._walk_to(struck(self.walk, chosen))

    def pick(self, mark: str) -> None:
        """Go to a speed."""
        with self._lock:
            if mark in self.walk.marks:
                self._walk_to(picked(self.walk, mark))

    def step(self, step: int) -> None:
        """Go to the next speed along the dial, or back."""
        with self._lock:
            self._walk_to(stepped(self.walk, step))

    def outline(self, firing: Firing) -> Any:
        """Return the outline of a firing, if it was heard lately."""
        with self._lock:
            return self._ear.trace(firing) if self._ear is not None else None

    def close(self) -> None:
        """Close the spool; it stays."""
        self.spool.close()

    def _hear(self, samples: Samples) -> tuple[Heard, ...]:
        if self._ear is None:
            self._first.append(samples)
            if sum(one.size for one in self._first) < _LOOKED_AT_S * self.plan.sample_rate_hz:
                return ()
            samples, self._first = np.concatenate(self._first), []
            self._ear = Ear(sample_rate_hz=self.plan.sample_rate_hz, how=self.plan.how, resolution=step_of(samples))
        return self._ear.hear(samples, self.stream.gaps)

    def _follow(self, news: Iterable[Heard]) -> None:
        walk = self.walk
        for heard in news:
            walk = follow(walk, heard)
        if walk is not self.walk:
            self._walk_to(walk)

    def _walk_to(self, walk: Walk) -> None:
        self.walk = walk
        self.spool.tell(plain_walk(walk))

    def _hear_again(self, block: SpooledBlock) -> None:
        self._ends[block.epoch] = block.frame + block.samples.size
        self._received = (block.epoch, self._ends[block.epoch])
        added = self.stream.add(block)
        for heard in self._hear(added) if added.size else ():
            self.walk = follow(self.walk, heard)

    def _adopt(self, told: Mapping[str, Any]) -> None:
        """Give each firing heard again the speed it was fired at, and strike what was struck."""
        known = read_told_shots(told)
        shots = tuple(_as_told(shot, known) for shot in self.walk.shots)
        self.walk = replace(self.walk, at=told["at"] if told["at"] in self.walk.marks else None, shots=shots)


def follow(walk: Walk, heard: Heard) -> Walk:
    """Return the walk after what was heard: a new shot, more of a known one, or none after all."""
    known = next((at for at, shot in enumerate(walk.shots) if is_same(shot.firing, heard.firing)), None)
    if heard.sort == "gone":
        return walk if known is None or walk.shots[known].final else withdrawn(walk, known)
    if known is None:
        return fired(walk, heard.firing, final=heard.sort == "final")
    return told_more(walk, known, heard.firing, final=heard.sort == "final")


def plain_walk(walk: Walk) -> dict[str, Any]:
    """Return where a walk stands as plain values, for its spool."""
    return {"at": walk.at, "shots": [[one.start_s, one.marked, one.struck] for one in told_shots(walk)]}


def told_shots(walk: Walk) -> tuple[ToldShot, ...]:
    """Return what a walk says of each shot."""
    return tuple(ToldShot(shot.firing.start_s, shot.marked, shot.struck) for shot in walk.shots)


def read_told_shots(plain: Mapping[str, Any]) -> list[ToldShot]:
    """Return the shots out of a spool's record of the walk."""
    return [ToldShot(start_s, marked, bad) for start_s, marked, bad in plain["shots"]]


def _as_told(shot: WalkedShot, told: Iterable[ToldShot]) -> WalkedShot:
    found = next((one for one in told if abs(one.start_s - shot.firing.start_s) < 0.01), None)
    if found is None:
        return shot
    return replace(shot, marked=found.marked, struck=found.struck)
