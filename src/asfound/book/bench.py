"""Which bench this is: the origin of what is written here."""

import json
import platform
import secrets
from pathlib import Path

from filelock import FileLock

from asfound.book.engine import BUSY_S
from asfound.book.failures import told_plainly
from asfound.book.writing import make_folder, write_whole

BENCH_FILE = "bench.json"


def bench_origin(folder: Path) -> str:
    """Return this bench's name among origins, making one up the first time.

    A copied folder becomes a bench of its own: two copies writing under one name could never be merged. So
    the name holds only for the machine and folder it was made in.
    """
    with told_plainly(folder):
        make_folder(folder)
        known = _read(folder)
        if known is not None:
            return known
        with FileLock(folder / "bench.lock", timeout=BUSY_S):
            return _read(folder) or _make(folder)


def _place(folder: Path) -> dict[str, str]:
    return {"machine": platform.node(), "folder": str(folder.resolve())}


def _read(folder: Path) -> str | None:
    try:
        said = json.loads((folder / BENCH_FILE).read_text("utf-8"))
    except (FileNotFoundError, ValueError):
        return None
    if not isinstance(said, dict) or {k: said.get(k) for k in ("machine", "folder")} != _place(folder):
        return None
    origin = said.get("origin")
    return origin if isinstance(origin, str) and 0 < len(origin) <= 64 else None


def _make(folder: Path) -> str:
    origin = f"bench-{secrets.token_hex(8)}"
    write_whole(folder / BENCH_FILE, json.dumps({"origin": origin, **_place(folder)}).encode())
    return origin
