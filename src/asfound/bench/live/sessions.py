"""The sessions of a server: those under way, and those that were left on the disk."""

import threading
from dataclasses import dataclass
from pathlib import Path
from uuid import UUID

from asfound.bench.live.plan import LivePlan, read_plan
from asfound.bench.live.sealing import seal
from asfound.bench.live.session import Session
from asfound.book import Book
from asfound.book.spool import (
    ENDING,
    SpooledBlock,
    about_of,
    is_held,
    left_spools,
    live_folder,
    read_spool,
    remove_spool,
)
from asfound.job import Entry
from asfound.problems import BadInputError, ConflictError, NotFoundError, Problem


@dataclass(frozen=True, slots=True)
class Left:
    """A session that was begun and not ended.

    Attributes
    ----------
    plan : LivePlan
    lasted_s : float
        How much sound of it was received.
    shots : int
        Firings heard in it.
    running : bool
        Whether this server has it open.
    """

    plan: LivePlan
    lasted_s: float
    shots: int
    running: bool


class Sessions:
    """Gives each session once, however many pages ask for it."""

    def __init__(self) -> None:
        self._open: dict[str, Session] = {}
        self._lock = threading.Lock()
        self._ending = threading.Lock()

    def begin(self, book: Book, plan: LivePlan) -> Session:
        """Begin a session."""
        with self._lock:
            session = Session.begin(book.location.folder, plan)
            self._open[plan.session] = session
            return session

    def find(self, book: Book, job: UUID, name: str) -> Session:
        """Return a session of a job, out of its spool where this server has not got it open.

        Raises
        ------
        NotFoundError
            If there is none of this name.
        """
        path = path_of(book, name)
        with self._lock:
            if name not in self._open:
                if not path.is_file():
                    raise _unknown()
                self._open[name] = Session.again(path)
            session = self._open[name]
        if session.plan.job != job:
            raise _unknown()
        return session

    def end(self, book: Book, job: UUID, name: str) -> tuple[Entry, LivePlan]:
        """Seal a session into a recording of its job; return that, and what was settled before.

        Raises
        ------
        NotFoundError
            If there is none of this name, or it was ended already.
        """
        with self._ending:
            session = self.find(book, job, name)
            session.listen()
            session.sync()
            self.drop(name)
            return seal(book, session.spool.path), session.plan

    def drop(self, name: str) -> None:
        """Close a session; its spool stays."""
        with self._lock:
            session = self._open.pop(name, None)
        if session is not None:
            session.close()

    def close(self) -> None:
        """Close every session; their spools stay."""
        for name in tuple(self._open):
            self.drop(name)

    def left(self, book: Book, job: UUID) -> tuple[Left, ...]:
        """Return the sessions of a job that were not ended."""
        found = (self._left(path) for path in spools_of(book, job))
        return tuple(one for one in found if one is not None)

    def _left(self, path: Path) -> Left | None:
        running = self._open.get(path.stem)
        if running is not None:
            length_s = running.stream.length / running.plan.sample_rate_hz
            return Left(running.plan, length_s, len(running.walk.shots), running=True)
        if is_held(path):
            return None  # another server has it open, and tells of it
        try:
            spooled = read_spool(path)
            plan = read_plan(spooled.about)
        except (BadInputError, KeyError, TypeError, ValueError):
            return None
        samples = shots = 0
        for record in spooled.records():
            if isinstance(record, SpooledBlock):
                samples += record.samples.size
            else:
                shots = len(record["shots"])
        return Left(plan, samples / plan.sample_rate_hz, shots, running=False)


def spools_of(book: Book, job: UUID) -> tuple[Path, ...]:
    """Return the spools of a job's sessions, by their heads alone."""
    return tuple(path for path in left_spools(book.location.folder) if about_of(path).get("job") == str(job))


def path_of(book: Book, name: str) -> Path:
    """Return where the spool of a session is.

    Raises
    ------
    NotFoundError
        If the name is none that a session has.
    """
    if len(name) != 32 or not set(name) <= set("0123456789abcdef"):
        raise _unknown()
    return live_folder(book.location.folder) / f"{name}{ENDING}"


def throw_away(sessions: Sessions, book: Book, job: UUID, name: str) -> None:
    """Remove a session of a job with all that was received.

    Raises
    ------
    NotFoundError
        If the job has no such session.
    ConflictError
        If another server has it open.
    """
    path = path_of(book, name)
    if path not in spools_of(book, job):
        raise _unknown()
    sessions.drop(name)
    if is_held(path):
        raise ConflictError(Problem("live session", "another server is writing it", "end it there"))
    remove_spool(path)


def _unknown() -> NotFoundError:
    return NotFoundError(Problem("live session", "there is none of this name in this job", "load the page anew"))
