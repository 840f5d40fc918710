"""A spool: what comes in while somebody fires, on the disk before it is acknowledged.

One file to a session: a line that names the format, a line of JSON that says what it is about, then records. A
record is its head, of fixed size, with a checksum, and its content. A torn last record, left by a crash or a power
cut, is cut off when the spool is opened again; what stands before it is whole.
"""

import contextlib
import json
import os
import struct
import threading
import zlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

import numpy as np
from filelock import FileLock, Timeout

from asfound.book.failures import told_plainly
from asfound.book.writing import make_folder, sync_folder
from asfound.problems import ConflictError, Problem, bad_input
from asfound.shutter.timing.block import Samples

FIRST_LINE = b"asfound spool 1\n"
ENDING = ".spool"
_HELD = ".held"
# Sort of record, whether samples may be missing before it, length of its content, epoch, first frame.
_HEAD, _CHECKSUM = struct.Struct("<cBxxIIQ"), struct.Struct("<I")
_SAMPLES, _TOLD = b"S", b"T"
_LONGEST = 1 << 24


@dataclass(frozen=True, slots=True, eq=False)
class SpooledBlock:
    """Samples as they were received.

    Attributes
    ----------
    epoch : int
        Frames are counted anew in each: the page was opened again, or its sound input was.
    frame : int
        Number of the first sample.
    doubtful : bool
        Whether samples may be missing before it although the numbers do not show it.
    samples : ndarray of float32
    """

    epoch: int
    frame: int
    doubtful: bool
    samples: Samples


Record = SpooledBlock | dict[str, Any]


@dataclass(frozen=True, slots=True)
class Spooled:
    """What a spool is about, and where its whole records begin and end."""

    path: Path
    about: dict[str, Any]
    begin: int
    end: int

    def records(self) -> Iterator[Record]:
        """Yield the whole records, in the order they came."""
        with self.path.open("rb") as file:
            file.seek(self.begin)
            for record, _ in _whole(file):
                if file.tell() > self.end:
                    return
                yield record


def live_folder(folder: Path) -> Path:
    """Return where the spools of a book's folder are kept."""
    return folder / "live"


class Spool:
    """A spool that is being written: appended by one thread, synced by another."""

    def __init__(self, path: Path, file: IO[bytes], about: Mapping[str, Any], held: FileLock) -> None:
        self.path, self.about = path, dict(about)
        self._file = file
        self._held = held
        self._lock = threading.Lock()
        self._syncing = threading.Lock()  # apart, so that nothing waits for the disk to append
        self.size = file.tell()

    def append(self, block: SpooledBlock) -> None:
        """Append samples; they are safe only after `sync`."""
        content = np.ascontiguousarray(block.samples, dtype="<f4").tobytes()
        self._write(_record(_SAMPLES, block.doubtful, block.epoch, block.frame, content))

    def tell(self, told: Mapping[str, Any]) -> None:
        """Append what else is to be kept, as JSON."""
        self._write(_record(_TOLD, False, 0, 0, json.dumps(told).encode()))

    def sync(self) -> None:
        """Make everything appended so far last through a power cut."""
        with self._syncing, told_plainly(self.path):
            if not self._file.closed:
                os.fsync(self._file.fileno())

    def close(self) -> None:
        """Close the file; it stays where it is, and takes nothing more."""
        with self._lock, self._syncing:
            self._file.close()
            self._held.release()

    def _write(self, record: bytes) -> None:
        with self._lock, told_plainly(self.path):
            if self._file.closed:
                raise ConflictError(Problem("live session", "it was ended", "look at its recording"))
            try:
                _all_of(self._file, record)
            except OSError:
                # Half a record would hide all that comes after it.
                with contextlib.suppress(OSError):
                    self._file.truncate(self.size)
                    self._file.seek(self.size)
                raise
            self.size += len(record)


def _all_of(file: IO[bytes], content: bytes) -> None:
    """Write all of it: an unbuffered file may take less at a time."""
    left = memoryview(content)
    while left:
        left = left[file.write(left) :]


def begin_spool(folder: Path, name: str, about: Mapping[str, Any]) -> Spool:
    """Begin a spool; its name is on the disk when this returns."""
    path = live_folder(folder) / f"{name}{ENDING}"
    with told_plainly(path):
        make_folder(path.parent)
        held = _hold(path)
        file = path.open("xb", buffering=0)
        _all_of(file, FIRST_LINE + json.dumps(about).encode() + b"\n")
        os.fsync(file.fileno())
        sync_folder(path.parent)
        return Spool(path, file, about, held)


def read_spool(path: Path) -> Spooled:
    """Return what is whole in a spool.

    Raises
    ------
    BadInputError
        If it is no spool, or broke off before its first record.
    """
    with told_plainly(path), path.open("rb") as file:
        about = _about(file)
        if about is None:
            what = "it is no spool of a session, or broke off before its first sound"
            raise bad_input(path.name, what, "remove this file: there is nothing in it to be kept")
        begin = file.tell()
        end = max((place for _, place in _whole(file)), default=begin)
        return Spooled(path, about, begin, end)


def about_of(path: Path) -> dict[str, Any]:
    """Return what a spool is about, without reading it; nothing where that cannot be told."""
    try:
        with path.open("rb") as file:
            return _about(file) or {}
    except OSError:
        return {}


def reopen_spool(path: Path) -> Spool:
    """Open a spool to go on with it; a torn last record is cut off.

    Raises
    ------
    ConflictError
        If another server has it open.
    """
    with told_plainly(path):
        held = _hold(path)
    try:
        return _reopen(path, held)
    except BaseException:
        held.release()
        raise


def _reopen(path: Path, held: FileLock) -> Spool:
    spooled = read_spool(path)
    with told_plainly(path):
        file = path.open("r+b", buffering=0)
        file.truncate(spooled.end)
        file.seek(spooled.end)
        os.fsync(file.fileno())
        return Spool(path, file, spooled.about, held)


def left_spools(folder: Path) -> tuple[Path, ...]:
    """Return the spools that are there, the oldest first."""
    return tuple(sorted(live_folder(folder).glob(f"*{ENDING}"), key=lambda path: (path.stat().st_mtime, path.name)))


def remove_spool(path: Path) -> None:
    """Remove a spool whose content is kept elsewhere, or is not wanted."""
    with told_plainly(path):
        path.unlink(missing_ok=True)
        path.with_suffix(_HELD).unlink(missing_ok=True)
        sync_folder(path.parent)


def is_held(path: Path) -> bool:
    """Return whether a server is writing a spool, in this program or another; the system lets go of a dead one's."""
    try:
        with told_plainly(path):
            _hold(path).release()
    except ConflictError:
        return True
    return False


def _hold(path: Path) -> FileLock:
    # Several servers of one user may share a book that is no file, and with it this folder.
    lock = FileLock(path.with_suffix(_HELD), timeout=0, thread_local=False)
    try:
        lock.acquire()
    except Timeout:
        what = "another server of this machine is writing it"
        raise ConflictError(Problem("live session", what, "go on there, or stop that server first")) from None
    return lock


def _record(sort: bytes, doubtful: bool, epoch: int, frame: int, content: bytes) -> bytes:
    head = _HEAD.pack(sort, doubtful, len(content), epoch, frame)
    return head + _CHECKSUM.pack(_checksum(head, content)) + content


def _checksum(head: bytes, content: bytes) -> int:
    return zlib.crc32(content, zlib.crc32(head))


def _about(file: IO[bytes]) -> dict[str, Any] | None:
    if file.readline(len(FIRST_LINE)) != FIRST_LINE:
        return None
    line = file.readline(_LONGEST)
    try:
        about = json.loads(line) if line.endswith(b"\n") else None
    except ValueError:
        return None
    return about if isinstance(about, dict) else None


def _whole(file: IO[bytes]) -> Iterator[tuple[Record, int]]:
    """Yield whole records with the place after each, up to the first that is not whole."""
    while len(start := file.read(_HEAD.size + _CHECKSUM.size)) == _HEAD.size + _CHECKSUM.size:
        head = start[: _HEAD.size]
        sort, doubtful, length, epoch, frame = _HEAD.unpack(head)
        content = file.read(length) if length <= _LONGEST else b""
        if len(content) != length or _checksum(head, content) != _CHECKSUM.unpack(start[_HEAD.size :])[0]:
            return
        yield _read(sort, bool(doubtful), epoch, frame, content), file.tell()


def _read(sort: bytes, doubtful: bool, epoch: int, frame: int, content: bytes) -> Record:
    if sort == _SAMPLES:
        return SpooledBlock(epoch, frame, doubtful, np.frombuffer(content, "<f4").astype(np.float32))
    told: dict[str, Any] = json.loads(content)
    return told
