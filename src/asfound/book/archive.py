"""The zip file that a backup or a bundle is: opened, read and written so that nothing in it is taken on trust.

`entries.txt` holds an entry a line, its hash before it; `attachments/` the files by their hash, as they are. Nothing
is ever unpacked under a name that the file gives.
"""

import contextlib
import errno
import hashlib
import io
import re
import struct
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from shutil import copyfileobj
from typing import IO

from asfound.book.appending import Stored, parsed
from asfound.book.attachments import BLOCK, attachment_path, file_hash, stream_hash
from asfound.book.failures import told_plainly
from asfound.job import entry_hash
from asfound.problems import AsfoundError, BadInputError, Problem

LONGEST_LINE = 8 << 20
_HEXADECIMAL = 64
# What the zip reader raises on bytes that make no sense; RuntimeError is "encrypted".
_ZIP_NONSENSE = (zipfile.BadZipFile, zlib.error, struct.error, EOFError, RuntimeError, ValueError, OverflowError)
_SHA256 = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Sort:
    """What a sort of archive is called, which command makes it, and what to do where one is damaged.

    `longest` is the most bytes that its table of contents, or what it says of itself, may have.
    """

    called: str
    made_by: str
    when_damaged: str
    longest: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Archive:
    """An archive open to be read."""

    zip: zipfile.ZipFile
    path: Path
    sort: Sort

    def damaged(self, what: str) -> BadInputError:
        """Return the error for something that is wrong with it."""
        return damaged(self.path, self.sort, what)


def damaged(path: Path, sort: Sort, what: str) -> BadInputError:
    """Return the error for something that is wrong with an archive."""
    return BadInputError(Problem(str(path), what, sort.when_damaged))


class _Sparing(io.FileIO):
    """A file of which only so much is read at once: the zip reader takes in a table of contents of any length."""

    def __init__(self, path: Path, longest: int) -> None:
        super().__init__(path)
        self.longest = longest

    def read(self, size: int | None = -1, /) -> bytes:
        if size is not None and size > self.longest:
            raise zipfile.BadZipFile("its table of contents is too long")
        return super().read(-1 if size is None else size)


@contextlib.contextmanager
def opened(path: Path, sort: Sort) -> Iterator[Archive]:
    """Open an archive; whatever is wrong inside the block with the zip file is told plainly."""
    with told_plainly(path):
        if not path.is_file():
            raise BadInputError(Problem(str(path), "there is no such file", f"name a file made by {sort.made_by}"))
        try:
            with _Sparing(path, sort.longest) as raw, zipfile.ZipFile(raw) as file:
                yield Archive(zip=file, path=path, sort=sort)
        except _ZIP_NONSENSE as error:
            raise damaged(path, sort, str(error) or type(error).__name__) from error
        except OSError as error:
            if error.errno not in (None, errno.EINVAL):
                raise
            # A place in the file that cannot be, led to by a damaged table of contents.
            raise damaged(path, sort, "its table of contents is damaged") from error


def summary_bytes(archive: Archive, name: str) -> bytes:
    """Return what an archive says of itself."""
    try:
        with archive.zip.open(name) as file:
            raw = file.read(archive.sort.longest + 1)
    except KeyError:
        raise unknown(archive.path, archive.sort) from None
    if len(raw) > archive.sort.longest:
        raise archive.damaged(f"{name} is too long")
    return raw


def unknown(path: Path, sort: Sort) -> BadInputError:
    """Return the error for a file of another sort."""
    return BadInputError(Problem(str(path), f"is no {sort.called}", f"name a file made by {sort.made_by}"))


def entries_in(archive: Archive) -> Iterator[Stored]:
    """Return the entries, each held to its hash."""
    try:
        file = io.BufferedReader(archive.zip.open("entries.txt"), BLOCK)  # type: ignore[type-var]
    except KeyError as error:
        raise archive.damaged("its entries are missing") from error
    with file:
        lines = iter(lambda: file.readline(LONGEST_LINE), b"")
        for number, line in enumerate(lines, start=1):
            yield _stored(archive, line, number)


def _stored(archive: Archive, line: bytes, number: int) -> Stored:
    hash_, _, content = line.rstrip(b"\n").partition(b" ")
    stored = Stored(hash_.decode("ascii", "replace"), content)
    if entry_hash(content) != stored.hash:
        raise archive.damaged(f"entry {number} is not as it was written")
    try:
        parsed(content)
    except AsfoundError as error:
        raise archive.damaged(f"entry {number}: {error.problems[0].what}") from error
    return stored


def attachment_in(archive: Archive, sha256: str) -> IO[bytes]:
    """Return an attachment, open to be read."""
    if not _SHA256.fullmatch(sha256):
        raise archive.damaged(f"{sha256[:80]!r} is no SHA-256")
    try:
        member = archive.zip.getinfo(f"attachments/{sha256}")
    except KeyError as error:
        raise archive.damaged(f"attachment {sha256[:12]}… is missing") from error
    if member.compress_type != zipfile.ZIP_STORED:
        # Ours never are; a small file could unfold to fill the disk.
        raise archive.damaged(f"attachment {sha256[:12]}… is packed")
    return archive.zip.open(member)


def hold_to_hash(archive: Archive, sha256: str, name: str) -> None:
    """Read an attachment through; `name` is what it is called where it is damaged."""
    try:
        with attachment_in(archive, sha256) as file:
            sound = stream_hash(file) == sha256
    except _ZIP_NONSENSE:
        sound = False
    if not sound:
        raise archive.damaged(f"{name} is damaged")


def line_of(stored: Stored) -> bytes:
    """Return the line that holds an entry; canonical JSON has no line break of its own."""
    return stored.hash.encode() + b" " + stored.content + b"\n"


def add_attachment(archive: zipfile.ZipFile, folder: Path, sha256: str) -> bool:
    """Put in an attachment of the book; return whether it was there and sound."""
    source = attachment_path(folder, sha256)
    try:
        if file_hash(source) != sha256:
            return False
    except OSError:
        return False
    # Photographs and recordings hardly shrink; stored as they are they can be read by any program.
    with source.open("rb") as read, archive.open(zipfile.ZipInfo(f"attachments/{sha256}"), "w", force_zip64=True) as to:
        copyfileobj(read, to, BLOCK)
    return True


def packed(name: str) -> zipfile.ZipInfo:
    """Return how a text goes into an archive: made small, and under no date, so that alike stays alike."""
    how = zipfile.ZipInfo(name)
    how.compress_type = zipfile.ZIP_DEFLATED
    return how


def leave_room_for_seal(archive: zipfile.ZipFile) -> None:
    """Let the file end in a comment that `seal` will fill; to be called before the zip file is closed."""
    archive.comment = b"0" * _HEXADECIMAL


def seal(path: Path) -> None:
    """Write the hash of everything before it at the end of the file, so that no byte of it goes unguarded."""
    with path.open("r+b") as file:
        digest = _hash_of_all_but_seal(file)
        file.write(digest.encode())


def is_sealed(path: Path) -> bool:
    """Return whether the file is as it was when it was sealed."""
    with path.open("rb") as file:
        return _hash_of_all_but_seal(file).encode() == file.read()


def _hash_of_all_but_seal(file: IO[bytes]) -> str:
    left = file.seek(0, io.SEEK_END) - _HEXADECIMAL
    file.seek(0)
    digest = hashlib.sha256()
    while left > 0 and (block := file.read(min(BLOCK, left))):
        digest.update(block)
        left -= len(block)
    return digest.hexdigest()
