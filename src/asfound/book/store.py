"""The book: what the rooms below it ask of the store."""

import contextlib
import threading
import time
from collections import OrderedDict
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from pathlib import Path
from types import TracebackType
from typing import IO
from uuid import UUID

from sqlalchemy.engine import Connection, Engine
from uuid_utils.compat import uuid7

from asfound.book import attachments, checking, devices, lists, merging, projections, resolving, search
from asfound.book.appending import Stored, compose, entries_of, insert, is_begun, stored_of
from asfound.book.backup import Backup, write_backup
from asfound.book.bench import bench_origin
from asfound.book.devices import Device
from asfound.book.engine import make_engine, reading, writing
from asfound.book.failures import told_plainly
from asfound.book.lists import JobLine
from asfound.book.location import Location
from asfound.book.projections import PROJECTION_VERSION
from asfound.book.schema import bring_up_to_date, newer_book
from asfound.book.writing import make_folder
from asfound.job import Entry, Job, fold
from asfound.job.bodies import Attached, Body, Camera, Opened
from asfound.job.instruments import InstrumentUsed
from asfound.job.observing import CameraSeen, ReadingSeen
from asfound.problems import ConflictError, NotFoundError, Problem

JOBS_REMEMBERED = 64


def wall_clock_ms() -> int:
    """Return milliseconds since 1970, UTC."""
    return time.time_ns() // 1_000_000


class Book:
    """An open book. Safe to share among threads; other programs may write to the same book meanwhile.

    Every method that writes has either written everything, lastingly, when it returns, or nothing.
    """

    def __init__(self, engine: Engine, location: Location, origin: str, clock: Callable[[], int]) -> None:
        self.location = location
        self.origin = origin
        self._engine = engine
        self._clock = clock
        self._writer = threading.Lock()
        self._folded: OrderedDict[UUID, Job] = OrderedDict()

    @classmethod
    def open(cls, location: Location, *, clock: Callable[[], int] = wall_clock_ms) -> "Book":
        """Open the book at `location`, beginning it or bringing it up to date where needed.

        Raises
        ------
        StorageError
            If folder or database refuse, or a newer program wrote the book.
        """
        origin = bench_origin(location.folder)
        engine = make_engine(location)
        try:
            bring_up_to_date(engine, location)
            book = cls(engine, location, origin, clock)
            book._renew_projections()
            with told_plainly(location.attachments):
                make_folder(location.attachments)
                attachments.sweep(location.attachments)
        except BaseException:
            engine.dispose()
            raise
        return book

    def close(self) -> None:
        """Close every connection."""
        self._engine.dispose()

    def __enter__(self) -> "Book":
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    # -- writing ---------------------------------------------------------------------------------------

    def open_job(
        self, camera: Camera, *, complaint: str = "", ticket: str | None = None, more: Sequence[Body] = ()
    ) -> tuple[Entry, ...]:
        """Open a job under a new id, on the next free ticket unless one is named; write `more` with it.

        Raises
        ------
        ConflictError
            If the ticket is taken.
        """
        self._require_attachments(more)
        with self._writing() as connection:
            ticket = resolving.next_ticket(connection) if ticket is None else ticket
            opening = Opened(ticket=ticket, camera=camera, complaint=complaint)
            entries, now = self._append(connection, uuid7(), (opening, *more))
        self._remember(now)
        return entries

    def write(self, job_id: UUID, bodies: Sequence[Body], *, expect_new: bool = False) -> tuple[Entry, ...]:
        """Append entries to a job, all of them or none.

        Parameters
        ----------
        expect_new : bool
            The job is opened by the first of `bodies`, and must not be in the book yet.

        Raises
        ------
        NotFoundError
            If the job is not in the book (and is not expected to be new).
        ConflictError
            If a job expected to be new is there already, its ticket is taken, or a cited attachment is missing.
        StorageError
            If folder or database refuse.
        """
        if not bodies:
            return ()
        self._require_attachments(bodies)
        with self._writing() as connection:
            begun = is_begun(connection, job_id)
            if begun and expect_new:
                raise ConflictError(Problem("job", f"job {job_id} is in the book already", "write to it as it is"))
            if not begun and not expect_new:
                raise NotFoundError(Problem("job", f"there is no job {job_id}", "open it first"))
            entries, now = self._append(connection, job_id, bodies)
        self._remember(now)
        return entries

    def merge(self, stored: Iterable[Stored]) -> merging.Merged:
        """Take in entries that another bench wrote (see `stored`); what is known already changes nothing.

        Attach the files they cite first.

        Raises
        ------
        BadInputError
            If an entry's hash is not that of its bytes.
        ConflictError
            If an entry contradicts one in the book, one before it is missing, nothing opens its job, or a
            cited attachment is missing.
        """
        return self.merge_all([stored])[0]

    def merge_all(
        self, groups: Iterable[Iterable[Stored]], *, excused: Collection[str] = ()
    ) -> tuple[merging.Merged, ...]:
        """Take in several groups of whole jobs in one transaction; `excused` attachments may be missing."""
        with self._writing() as connection:
            return tuple(self._merge_one(connection, group, excused) for group in groups)

    def would_merge(self, stored: Iterable[Stored], *, excused: Collection[str] = ()) -> None:
        """Raise what `merge` would raise; nothing is written, and `excused` attachments may be missing."""
        with self._writing() as connection:
            self._merge_one(connection, stored, excused)
            connection.rollback()

    def _merge_one(self, connection: Connection, stored: Iterable[Stored], excused: Collection[str]) -> merging.Merged:
        merged = merging.merge(connection, stored)
        added = set(merged.added)
        for job in merged.jobs:
            new = [entry.body for entry in entries_of(connection, job) if entry.id in added]
            self._require_attachments(new, excused)
        return merged

    def attach(self, source: IO[bytes] | Path, *, name: str, media_type: str) -> Attached:
        """Keep a file, so that an entry can cite what is returned."""
        return attachments.attach(self.location.attachments, source, name=name, media_type=media_type)

    def rebuild(self) -> None:
        """Drop the projections and make them again from the entries."""
        with self._writing() as connection:
            projections.rebuild(connection)

    # -- devices let in from the network ---------------------------------------------------------------

    def add_device(self, *, name: str, secret: str) -> Device:
        """Let a device in; only the hash of its secret is kept."""
        with self._writing() as connection:
            return devices.add(connection, name=name, secret=secret, now_ms=self._clock())

    def devices(self) -> tuple[Device, ...]:
        """Return the devices that are let in, the first paired first."""
        with self._reading() as connection:
            return devices.listed(connection)

    def device_with(self, secret: str) -> Device | None:
        """Return the device that holds this secret; None for one that was never let in, or was removed."""
        with self._reading() as connection:
            return devices.with_secret(connection, secret)

    def see_device(self, device_id: UUID) -> None:
        """Note that a device asked for something just now."""
        with self._writing() as connection:
            devices.see(connection, device_id, now_ms=self._clock())

    def remove_device(self, device_id: UUID) -> bool:
        """Let a device in no more, from its next request on; return whether there was one."""
        with self._writing() as connection:
            return devices.remove(connection, device_id)

    # -- reading ---------------------------------------------------------------------------------------

    def job(self, job_id: UUID) -> Job:
        """Return the job as it stands; folded again only when it has gained entries.

        Raises
        ------
        NotFoundError
        """
        with self._reading() as connection:
            line = lists.line(connection, job_id)
            known = self._folded.get(job_id)
            # Entries are never removed, so that their number tells whether any came since.
            if line is not None and known is not None and len(known.entries) == line.entries:
                return known
            entries = entries_of(connection, job_id)
        if not entries:
            raise NotFoundError(Problem("job", f"there is no job {job_id}", "run: asfound jobs"))
        return self._remember(fold(entries))

    def entries(self, job_id: UUID) -> tuple[Entry, ...]:
        """Return a job's entries in the order they fold; none for a job that is not in the book."""
        with self._reading() as connection:
            return entries_of(connection, job_id)

    def stored(self, job_id: UUID) -> tuple[Stored, ...]:
        """Return a job's entries as they are stored, to be merged elsewhere."""
        with self._reading() as connection:
            return stored_of(connection, job_id)

    def jobs(
        self, *, handed_over: bool | None = None, model: str | None = None, limit: int | None = None
    ) -> tuple[JobLine, ...]:
        """Return the list of jobs, the last touched first.

        Parameters
        ----------
        handed_over : bool, optional
            Only those that are gone, or only those that are not.
        model : str, optional
            Only those on this model; case and spacing of its name do not count.
        limit : int, optional
            So many at most.
        """
        with self._reading() as connection:
            return lists.lines(connection, handed_over=handed_over, model=model, limit=limit)

    def number_gone(self) -> int:
        """Return how many jobs were handed over."""
        with self._reading() as connection:
            return lists.number_gone(connection)

    def last_touched(self, *, model: str, without: UUID) -> int:
        """Return when another job on a model was last touched, in milliseconds since 1970; 0 where there is none."""
        with self._reading() as connection:
            return lists.last_touched(connection, model=model, without=without)

    def cameras_seen(self, *, model: str, without: UUID | None = None) -> tuple[CameraSeen, ...]:
        """Return what the job of each camera of a model tells of it, without serials; damaged jobs are left out.

        Parameters
        ----------
        model : str
            Case and spacing of its name do not count.
        without : UUID, optional
            A job to leave out.
        """
        with self._reading() as connection:
            return lists.cameras_seen(connection, model=model, without=without)

    def readings_seen(
        self, *, model: str, quantity: str, place: str, without: UUID
    ) -> tuple[tuple[UUID, ReadingSeen], ...]:
        """Return the readings of one quantity at one place on other cameras of a model, each with its job."""
        with self._reading() as connection:
            return lists.readings_seen(connection, model=model, quantity=quantity, place=place, without=without)

    def jobs_with(self, *, instrument: str, since_ms: int = 0) -> tuple[JobLine, ...]:
        """Return the jobs in which a reading, table or proof was taken with an instrument, the last touched first.

        Parameters
        ----------
        instrument : str
            Case and spacing of its name do not count.
        since_ms : int
            Only those in which one was taken at that moment or later, in milliseconds since 1970 UTC.
        """
        with self._reading() as connection:
            return lists.lines_with(connection, instrument=instrument, since_ms=since_ms)

    def instruments_used(self) -> tuple[InstrumentUsed, ...]:
        """Return every instrument that something in any job was taken with, how often and when last, by name."""
        with self._reading() as connection:
            return lists.instruments(connection)

    def line(self, job_id: UUID) -> JobLine:
        """Return one job's line in the list.

        Raises
        ------
        NotFoundError
        """
        with self._reading() as connection:
            line = lists.line(connection, job_id)
        if line is None:
            raise NotFoundError(Problem("job", f"there is no job {job_id}", "run: asfound jobs"))
        return line

    def lines_of(self, jobs: Sequence[UUID]) -> tuple[JobLine, ...]:
        """Return the lines of these jobs in the list, in no order; those not in the book are left out."""
        with self._reading() as connection:
            return lists.lines_of(connection, jobs)

    def resolve(self, name: str) -> UUID:
        """Return the job with this ticket, id, or unambiguous beginning of an id.

        Raises
        ------
        NotFoundError, ConflictError
        """
        with self._reading() as connection:
            return resolving.resolve(connection, name)

    def next_ticket(self) -> str:
        """Return the ticket that `open_job` would take next."""
        with self._reading() as connection:
            return resolving.next_ticket(connection)

    def search(self, text: str, *, limit: int = 50) -> tuple[search.Hit, ...]:
        """Return the entries in which every word of `text` begins some word, those written last first."""
        with self._reading() as connection:
            return search.find(connection, text, limit=limit)

    def attachment_path(self, sha256: str) -> Path:
        """Return the file of an attachment.

        Raises
        ------
        NotFoundError
            If there is no such file.
        """
        path = attachments.attachment_path(self.location.attachments, sha256)
        if not path.is_file():
            what = f"there is no attachment {sha256[:12]}…"
            raise NotFoundError(Problem("attachment", what, "run: asfound book check"))
        return path

    def check(self) -> checking.Checked:
        """Look through the whole book for anything damaged or missing; changes nothing."""
        with self._reading() as connection:
            return checking.check(connection, attachments=self.location.attachments, origin=self.origin)

    def backup(self, path: Path) -> Backup:
        """Write the whole book to a zip file and verify it; others may write to the book meanwhile.

        Raises
        ------
        ConflictError
            If `path` is there already.
        StorageError
            If the disk refuses.
        """
        with self._reading() as connection:
            place = self.location
            return write_backup(
                connection, folder=place.folder, attachments=place.attachments, path=path, made_ms=self._clock()
            )

    # -- within ----------------------------------------------------------------------------------------

    def _reading(self) -> contextlib.AbstractContextManager[Connection]:
        return reading(self._engine, self.location)

    @contextlib.contextmanager
    def _writing(self) -> Iterator[Connection]:
        # Threads of one program take turns here, where waiting costs nothing.
        with self._writer, writing(self._engine, self.location) as connection:
            yield connection

    def _append(self, connection: Connection, job_id: UUID, bodies: Sequence[Body]) -> tuple[tuple[Entry, ...], Job]:
        for body in bodies:
            if isinstance(body, Opened) and lists.with_ticket(connection, body.ticket):
                what = f"ticket {body.ticket} is on another job"
                raise ConflictError(Problem("ticket", what, f"take {resolving.next_ticket(connection)}"))
        composed = compose(connection, job=job_id, origin=self.origin, bodies=bodies, wall_ms=self._clock())
        insert(connection, composed)
        entries = tuple(entry for entry, _ in composed)
        return entries, projections.project(connection, job_id, entries)

    def _require_attachments(self, bodies: Iterable[Body], excused: Collection[str] = ()) -> None:
        for item in (item for body in bodies for item in attachments.cited(body)):
            path = attachments.attachment_path(self.location.attachments, item.sha256)
            if item.sha256 not in excused and not path.is_file():
                what = f"{item.name} is cited but not kept ({item.sha256[:12]}…)"
                raise ConflictError(Problem("attachment", what, "attach the file first; nothing was written"))

    def _renew_projections(self) -> None:
        found = self._projection_version()
        if found > PROJECTION_VERSION:
            what = f"the book has lists of version {found}, this program knows {PROJECTION_VERSION}"
            raise newer_book(self.location, what)
        if found < PROJECTION_VERSION:
            self.rebuild()

    def _projection_version(self) -> int:
        with self._reading() as connection:
            return projections.found_version(connection)

    def _remember(self, job: Job) -> Job:
        self._folded[job.id] = job
        while len(self._folded) > JOBS_REMEMBERED:
            self._folded.popitem(last=False)
        return job
