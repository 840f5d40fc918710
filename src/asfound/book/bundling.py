"""One job as a file of its own, to be merged into another bench's book.

The zip file holds `bundle.json`, which says what must be in it, `entries.txt` and `attachments/`. The same entries give
the same bytes. Whatever comes in is held to its hashes before anything is written.
"""

import contextlib
import hashlib
import secrets
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Literal
from uuid import UUID

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from asfound.book import archive as archives
from asfound.book.appending import Stored, parsed
from asfound.book.archive import Archive, Sort, entries_in, line_of
from asfound.book.attachments import cited
from asfound.book.failures import told_plainly
from asfound.book.merging import Merged
from asfound.book.store import Book
from asfound.book.writing import put_in_place, sync_file
from asfound.job import Entry
from asfound.job.bodies import Attached, Sha256
from asfound.problems import BadInputError, ConflictError, NotFoundError, Problem

SORT = Sort(
    called="bundle of a job",
    made_by="asfound book bundle",
    when_damaged="have it sent again; nothing was taken in",
    longest=8 << 20,
)
# More than any camera ever took; what is larger was not made at a bench.
MOST_ENTRIES = 20_000
MOST_TEXT = 48 << 20
_OWN_NAMES = frozenset({"bundle.json", "entries.txt"})


class Bundle(BaseModel):
    """What a bundle says of itself in `bundle.json`.

    Attributes
    ----------
    job : UUID
    ticket : str
        The job's number where it was bundled.
    entries : int
        How many.
    entries_sha256 : str
        Hash of `entries.txt`.
    attachments : tuple of str
        Hashes of the files that are in it, sorted.
    missing : tuple of str
        Hashes of those that entries cite but that were damaged or missing where it was bundled.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    asfound: Literal["bundle of a job"] = "bundle of a job"
    format: Literal[1] = 1
    job: UUID
    ticket: str = Field(min_length=1, max_length=200)
    entries: int = Field(ge=1, le=MOST_ENTRIES)
    entries_sha256: Sha256
    attachments: tuple[Sha256, ...] = ()
    missing: tuple[Sha256, ...] = ()


class Contents(BaseModel):
    """A bundle as one object: `bundle.json`, and each line of `entries.txt` after its hash and a space."""

    bundle: Bundle
    entries: tuple[Entry, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenIn:
    """What taking in a bundle did."""

    bundle: Bundle
    merged: Merged
    new_attachments: int


def write_bundle(book: Book, job_id: UUID, path: Path) -> Bundle:
    """Write a job to `path` as a bundle, verify it, and only then give it its name.

    Raises
    ------
    NotFoundError
        If the job is not in the book.
    ConflictError
        If `path` is there already.
    BadInputError
        If the job is damaged, or larger than a bundle may be.
    StorageError
        If the disk refuses.
    """
    if path.exists():
        raise ConflictError(Problem(str(path), "is there already", "name another file for the bundle"))
    stored = book.stored(job_id)
    if not stored:
        raise NotFoundError(Problem("job", f"there is no job {job_id}", "run: asfound jobs"))
    part = path.with_name(f".{path.name}.{secrets.token_hex(4)}.part")
    with told_plainly(path.parent):
        try:
            with zipfile.ZipFile(part, "x") as archive:
                bundle = _fill(archive, book, stored)
            sync_file(part)
            verify_bundle(part)
            put_in_place(part, path)
        finally:
            part.unlink(missing_ok=True)
    return bundle


def is_bundle(path: Path) -> bool:
    """Return whether a file names itself a bundle; it may be a damaged one."""
    try:
        with archives.opened(path, SORT) as archive:
            return "bundle.json" in archive.zip.namelist()
    except BadInputError:
        return False


def verify_bundle(path: Path) -> Bundle:
    """Read a whole bundle and hold everything in it to its hash.

    Raises
    ------
    BadInputError
        If anything is damaged, missing, too large or should not be there; the first such thing is named.
    """
    with archives.opened(path, SORT) as archive:
        bundle = _read_summary(archive)
        _verify_files(archive, bundle, _verified_entries(archive, bundle))
    return bundle


def take_in(book: Book, path: Path) -> TakenIn:
    """Merge a bundle into the book, all of it or nothing; the same bundle twice changes nothing.

    Raises
    ------
    BadInputError
        If anything in it is damaged, missing, too large or should not be there.
    ConflictError
        If it contradicts the book, or entries before its own are missing.
    StorageError
        If folder or database refuse.
    """
    with archives.opened(path, SORT) as archive:
        bundle = _read_summary(archive)
        stored = _verified_entries(archive, bundle)
        files = _verify_files(archive, bundle, stored)
        book.would_merge(stored, excused=files)
        new = [sha256 for sha256 in bundle.attachments if not _is_kept(book, sha256)]
        for sha256 in new:
            with archives.attachment_in(archive, sha256) as file:
                book.attach(file, name=files[sha256].name, media_type=files[sha256].media_type)
        merged = book.merge_all([stored], excused=bundle.missing)[0]
    return TakenIn(bundle=bundle, merged=merged, new_attachments=len(new))


def _is_kept(book: Book, sha256: str) -> bool:
    with contextlib.suppress(NotFoundError):
        return book.attachment_path(sha256).is_file()
    return False


def _fill(archive: zipfile.ZipFile, book: Book, stored: tuple[Stored, ...]) -> Bundle:
    entries = [parsed(item.content) for item in stored]
    text = b"".join(line_of(item) for item in stored)
    wanted = sorted({item.sha256 for entry in entries for item in cited(entry.body)})
    kept = {sha256: archives.add_attachment(archive, book.location.attachments, sha256) for sha256 in wanted}
    try:
        bundle = Bundle(
            job=entries[0].job,
            ticket=book.line(entries[0].job).ticket,
            entries=len(stored),
            entries_sha256=hashlib.sha256(text).hexdigest(),
            attachments=tuple(sha256 for sha256, there in kept.items() if there),
            missing=tuple(sha256 for sha256, there in kept.items() if not there),
        )
    except ValidationError as error:
        what = f"it is more than a bundle takes ({MOST_ENTRIES} entries)"
        raise BadInputError(Problem("job", what, "back up the whole book instead")) from error
    archive.writestr(archives.packed("entries.txt"), text)
    archive.writestr(archives.packed("bundle.json"), bundle.model_dump_json(indent=1))
    return bundle


def _read_summary(archive: Archive) -> Bundle:
    raw = archives.summary_bytes(archive, "bundle.json")
    try:
        bundle = Bundle.model_validate_json(raw)
    except ValidationError as error:
        if any(fault["loc"] == ("format",) for fault in error.errors()):
            what = "the bundle has a format that this program does not know"
            raise BadInputError(Problem(str(archive.path), what, "take it in with a newer asfound")) from error
        raise archives.unknown(archive.path, SORT) from error
    _refuse_strange_members(archive, bundle)
    return bundle


def _refuse_strange_members(archive: Archive, bundle: Bundle) -> None:
    """Refuse what is no part of a bundle, what is there twice, and what would grow when unpacked."""
    allowed = _OWN_NAMES | {f"attachments/{sha256}" for sha256 in bundle.attachments}
    seen: set[str] = set()
    for member in archive.zip.infolist():
        if member.filename not in allowed:
            raise archive.damaged(f"it holds {member.filename[:80]!r}, which is no part of a bundle")
        if member.filename in seen:
            raise archive.damaged(f"it holds {member.filename} twice")
        seen.add(member.filename)
        if member.filename not in _OWN_NAMES and member.compress_type != zipfile.ZIP_STORED:
            raise archive.damaged(f"{member.filename[:30]}… is packed, which an attachment of a bundle never is")


def _verified_entries(archive: Archive, bundle: Bundle) -> list[Stored]:
    stored: dict[str, Stored] = {}
    digest = hashlib.sha256()
    for item in _not_too_many(archive, entries_in(archive)):
        digest.update(line_of(item))
        if stored.setdefault(item.hash, item) is not item:
            raise archive.damaged(f"entry {len(stored) + 1} is there twice")
        job = parsed(item.content).job
        if job != bundle.job:
            raise archive.damaged(f"entry {len(stored)} is of another job")
    if (len(stored), digest.hexdigest()) != (bundle.entries, bundle.entries_sha256):
        raise archive.damaged("entries are missing or out of order")
    return list(stored.values())


def _not_too_many(archive: Archive, arriving: Iterator[Stored]) -> Iterator[Stored]:
    size = 0
    for number, item in enumerate(arriving, start=1):
        size += len(item.content)
        if number > MOST_ENTRIES or size > MOST_TEXT:
            raise archive.damaged(f"its entries are more than a bundle takes ({MOST_ENTRIES}, {MOST_TEXT >> 20} MiB)")
        yield item


def _verify_files(archive: Archive, bundle: Bundle, stored: list[Stored]) -> dict[str, Attached]:
    """Hold the attachments to their hashes and to the entries that cite them; return what is cited, by hash."""
    entries = (parsed(item.content) for item in stored)
    files = {item.sha256: item for entry in entries for item in cited(entry.body)}
    if set(files) != {*bundle.attachments, *bundle.missing}:
        raise archive.damaged("its attachments are not those that its entries cite")
    for sha256 in bundle.attachments:
        archives.hold_to_hash(archive, sha256, f"job {bundle.ticket}: attachment {files[sha256].name}")
    return files
