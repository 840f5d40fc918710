"""Files kept by the hash of their content, on the disk before the entry that cites them."""

import contextlib
import hashlib
import os
import secrets
import time
from collections.abc import Iterator
from pathlib import Path
from typing import IO

from pydantic import BaseModel

from asfound.book.failures import told_plainly
from asfound.book.writing import make_folder, put_in_place
from asfound.job.bodies import Attached
from asfound.problems import bad_input

BLOCK = 1 << 20
ABANDONED_S = 24 * 3600


def attachment_path(folder: Path, sha256: str) -> Path:
    """Return where the attachment with this hash is kept."""
    if len(sha256) != 64 or not set(sha256) <= set("0123456789abcdef"):
        raise bad_input("attachment", f"{sha256[:80]!r} is no SHA-256", "give 64 hexadecimal digits, in small letters")
    return folder / sha256[:2] / sha256


def attach(folder: Path, source: IO[bytes] | Path, *, name: str, media_type: str) -> Attached:
    """Keep a file: written beside, synced, then renamed to the hash of its content.

    The same content is kept once, and keeping it again mends a damaged copy.
    """
    with told_plainly(folder), _beside(folder) as part:
        with contextlib.ExitStack() as stack:
            stream = stack.enter_context(source.open("rb")) if isinstance(source, Path) else source
            sha256, size = _copy(stream, part)
        _put_in_place(part, attachment_path(folder, sha256))
    return Attached(sha256=sha256, name=name, media_type=media_type, size=size)


def file_hash(path: Path) -> str:
    """Return the SHA-256 of a file's content, in hexadecimal."""
    with path.open("rb") as file:
        return stream_hash(file)


def stream_hash(stream: IO[bytes]) -> str:
    """Return the SHA-256 of what is left in a stream, in hexadecimal."""
    digest = hashlib.sha256()
    while block := stream.read(BLOCK):
        digest.update(block)
    return digest.hexdigest()


def cited(body: BaseModel) -> tuple[Attached, ...]:
    """Return the attachments that an entry's body cites."""
    values = (getattr(body, name) for name in type(body).model_fields)
    return tuple(value for value in values if isinstance(value, Attached))


def sweep(folder: Path, *, now_s: float | None = None) -> None:
    """Remove what a program that died left half written, once it is a day old."""
    now_s = time.time() if now_s is None else now_s
    for part in (folder / "incoming").glob("*.part"):
        with contextlib.suppress(OSError):
            if now_s - part.stat().st_mtime > ABANDONED_S:
                part.unlink()


@contextlib.contextmanager
def _beside(folder: Path) -> Iterator[Path]:
    incoming = folder / "incoming"
    make_folder(incoming)
    part = incoming / f"{secrets.token_hex(16)}.part"
    try:
        yield part
    finally:
        part.unlink(missing_ok=True)


def _copy(source: IO[bytes], target: Path) -> tuple[str, int]:
    digest, size = hashlib.sha256(), 0
    with target.open("xb") as file:
        while block := source.read(BLOCK):
            digest.update(block)
            file.write(block)
            size += len(block)
        file.flush()
        os.fsync(file.fileno())
    return digest.hexdigest(), size


def _put_in_place(part: Path, target: Path) -> None:
    make_folder(target.parent)
    put_in_place(part, target)
