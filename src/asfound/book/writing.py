"""Files that last: there whole or not at all, also after a power cut."""

import contextlib
import os
import secrets
from pathlib import Path


def make_folder(folder: Path) -> None:
    """Make a folder, and every one above it that is missing; their names last.

    The name is synced even where the folder is there: whoever made it may not have come to that yet.
    """
    if not folder.parent.exists():
        make_folder(folder.parent)
    folder.mkdir(exist_ok=True)
    with contextlib.suppress(PermissionError):
        # A folder above the book may be closed to us; then it was there before.
        sync_folder(folder.parent)


def write_whole(path: Path, content: bytes) -> None:
    """Give a file this content: written beside it, synced, and only then put in its place."""
    beside = path.with_name(f".{path.name}.{secrets.token_hex(8)}.part")
    try:
        with beside.open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        put_in_place(beside, path)
    finally:
        beside.unlink(missing_ok=True)


def put_in_place(beside: Path, path: Path) -> None:
    """Give a file that is synced its lasting name; what bore the name before is gone."""
    beside.replace(path)
    sync_folder(path.parent)


def sync_folder(folder: Path) -> None:
    """Make the names in a folder last through a power cut, where the system can."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def sync_file(path: Path) -> None:
    """Make a file's content last through a power cut."""
    with path.open("r+b") as file:
        os.fsync(file.fileno())
