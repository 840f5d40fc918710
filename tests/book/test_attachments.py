"""Files are kept by the hash of their content, whole or not at all."""

import errno
import hashlib
import io
import os
from pathlib import Path

import pytest

from asfound.book import Book
from asfound.book.attachments import sweep
from asfound.job.bodies import Attached, Camera, Photo
from asfound.problems import BadInputError, ConflictError, NotFoundError, StorageError

# FIPS 180-2, appendix B.1, the one-block message "abc" (from memory).
ABC_SHA256 = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


def kept(book: Book) -> list[Path]:
    return [path for path in book.location.attachments.rglob("*") if path.is_file()]


def test_a_file_is_named_by_its_sha_256(book: Book) -> None:
    attached = book.attach(io.BytesIO(b"abc"), name="abc.txt", media_type="text/plain")
    assert attached == Attached(sha256=ABC_SHA256, name="abc.txt", media_type="text/plain", size=3)
    assert book.attachment_path(ABC_SHA256).read_bytes() == b"abc"


def test_a_long_file_is_kept_whole(book: Book, tmp_path: Path) -> None:
    content = os.urandom(3 * 1024 * 1024 + 17)
    source = tmp_path / "firing.wav"
    source.write_bytes(content)
    attached = book.attach(source, name="firing.wav", media_type="audio/wav")
    assert attached.sha256 == hashlib.sha256(content).hexdigest()
    assert book.attachment_path(attached.sha256).read_bytes() == content
    assert source.exists()


def test_the_same_content_is_kept_once_under_two_names(book: Book) -> None:
    first = book.attach(io.BytesIO(b"abc"), name="a", media_type="text/plain")
    second = book.attach(io.BytesIO(b"abc"), name="b", media_type="text/plain")
    assert first.sha256 == second.sha256
    assert len(kept(book)) == 1


def test_keeping_it_again_mends_a_damaged_copy(book: Book) -> None:
    book.attach(io.BytesIO(b"abc"), name="a", media_type="text/plain")
    book.attachment_path(ABC_SHA256).write_bytes(b"abd")
    book.attach(io.BytesIO(b"abc"), name="a", media_type="text/plain")
    assert book.attachment_path(ABC_SHA256).read_bytes() == b"abc"


def test_an_entry_cannot_cite_what_is_not_kept(book: Book) -> None:
    missing = Attached(sha256=ABC_SHA256, name="ring.png", media_type="image/png", size=3)
    with pytest.raises(ConflictError, match=r"ring\.png is cited but not kept"):
        book.open_job(Camera(model="Otter"), more=[Photo(attachment=missing)])
    assert book.jobs() == ()


def test_a_full_disk_leaves_nothing_behind(book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_handle: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(StorageError, match="make room"):
        book.attach(io.BytesIO(b"abc"), name="a", media_type="text/plain")
    assert kept(book) == []


def test_an_upload_that_breaks_off_leaves_nothing_behind(book: Book) -> None:
    class Breaking(io.BytesIO):
        def read(self, size: int | None = -1) -> bytes:
            raise ConnectionResetError("gone")

    with pytest.raises(StorageError):
        book.attach(Breaking(), name="a", media_type="text/plain")
    assert kept(book) == []


def test_content_is_on_the_disk_before_it_gets_its_name(book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    order: list[str] = []
    fsync, replace = os.fsync, Path.replace

    def noted_fsync(handle: int) -> None:
        order.append("folder" if os.path.isdir(f"/proc/self/fd/{handle}") else "file")  # noqa: PTH112
        fsync(handle)

    def noted_replace(path: Path, target: Path) -> Path:
        order.append("name")
        return replace(path, target)

    monkeypatch.setattr(os, "fsync", noted_fsync)
    monkeypatch.setattr(Path, "replace", noted_replace)
    book.attach(io.BytesIO(b"abc"), name="a", media_type="text/plain")
    assert order[order.index("file") :] == ["file", "folder", "name", "folder"]


@pytest.mark.parametrize("name", ["", "../../etc/passwd", "A" * 64, "a" * 63, "a" * 63 + "/"])
def test_only_a_hash_leads_to_a_file(book: Book, name: str) -> None:
    with pytest.raises(BadInputError):
        book.attachment_path(name)


def test_a_hash_that_nobody_kept_is_not_found(book: Book) -> None:
    with pytest.raises(NotFoundError):
        book.attachment_path("0" * 64)


def test_what_was_left_half_written_goes_after_a_day(tmp_path: Path) -> None:
    incoming = tmp_path / "incoming"
    incoming.mkdir()
    old, fresh = incoming / "old.part", incoming / "fresh.part"
    for part in (old, fresh):
        part.write_bytes(b"half")
    os.utime(old, (0, 0))
    sweep(tmp_path)
    assert [path.name for path in incoming.iterdir()] == ["fresh.part"]
