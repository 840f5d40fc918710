"""The power is cut: whatever of the unsynced is lost, torn or out of order, all that was acknowledged is there.

A session is watched call by call. The disk of the model keeps what was synced, by the rules of POSIX and no better: a
file's content lasts once the file was synced, a name once its folder was. Of all else, at any moment between two calls,
any part may have reached the disk: all, nothing, or some writes, in any order, the last of them torn at a sector. What
may be left is laid out as a folder, and the book in it is opened. SQLite's own files are watched like all others.
"""

import hashlib
import json
import random
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., dict[str, Any]]
Kept = Callable[[Path, list[dict[str, Any]]], None]
SECTOR = 512


@dataclass(frozen=True)
class Call:
    """A line of the log."""

    kind: str
    inode: int
    place: int
    one: str
    two: str
    content: bytes


def calls_in(log: Path) -> Iterator[Call]:
    with log.open("rb") as file:
        while line := file.readline():
            kind, inode, place, length, one, two = line.decode().rstrip("\n").split("\t")
            content = file.read(int(length))
            assert file.read(1) == b"\n"
            yield Call(kind, int(inode), int(place), one, two, content)


@dataclass(eq=False)
class File:
    """A file's content on the disk, and what was done to it since it was synced."""

    content: bytearray = field(default_factory=bytearray)
    pending: list[Call] = field(default_factory=list)

    def sync(self) -> None:
        for call in self.pending:
            do(self.content, call)
        self.pending.clear()


@dataclass(eq=False)
class Folder:
    """A folder's names on the disk, and those given or taken since it was synced (None: taken)."""

    names: dict[str, "File | Folder"] = field(default_factory=dict)
    pending: list[tuple[str, "File | Folder | None"]] = field(default_factory=list)

    def now(self) -> dict[str, "File | Folder"]:
        return with_names(self.names, self.pending)

    def sync(self) -> None:
        self.names = self.now()
        self.pending.clear()


def with_names(
    names: dict[str, "File | Folder"], changes: list[tuple[str, "File | Folder | None"]]
) -> dict[str, "File | Folder"]:
    made = dict(names)
    for name, what in changes:
        made.pop(name, None)
        if what is not None:
            made[name] = what
    return made


def do(content: bytearray, call: Call) -> None:
    """Do a write or a change of length to a file's content."""
    if len(content) < call.place:
        content.extend(bytes(call.place - len(content)))
    if call.kind == "cut":
        del content[call.place :]
    else:
        content[call.place : call.place + len(call.content)] = call.content


class Disk:
    """The model of a disk: what lasts, and what is pending."""

    def __init__(self, top: Path) -> None:
        self.top = str(top)
        self.root = Folder()
        self.inodes: dict[int, File] = {}

    def _at(self, path: str) -> tuple[Folder, str]:
        """Return the folder that a path lies in, as it is now, and its last name."""
        folder, names = self.root, path.removeprefix(self.top).strip("/").split("/")
        for name in names[:-1]:
            inner = folder.now()[name]
            assert isinstance(inner, Folder)
            folder = inner
        return folder, names[-1]

    def do(self, call: Call) -> None:
        if call.one.endswith("-shm"):
            return  # shared memory of running programs; made anew by the next one that opens the book
        if call.kind in ("write", "cut"):
            self.inodes[call.inode].pending.append(call)
        elif call.kind == "sync":
            self._sync(call)
        elif call.kind == "rename":
            self._rename(call)
        elif call.kind in ("create", "mkdir"):
            made = self.inodes[call.inode] = File() if call.kind == "create" else Folder()  # type: ignore[assignment]
            folder, name = self._at(call.one)
            folder.pending.append((name, made))
        else:
            assert call.kind in ("unlink", "rmdir")
            folder, name = self._at(call.one)
            folder.pending.append((name, None))

    def _sync(self, call: Call) -> None:
        if call.one == self.top:
            self.root.sync()
            return
        folder, name = self._at(call.one)
        what = folder.now()[name]
        what.sync()

    def _rename(self, call: Call) -> None:
        (source, old), (target, new) = self._at(call.one), self._at(call.two)
        what = source.now()[old]
        target.pending.append((new, what))
        source.pending.append((old, None))

    def left(self, chance: random.Random | None, *, all_of_it: bool) -> dict[str, bytes]:
        """Return what a power cut may leave: everything, only what was synced, or that and some of the rest."""
        return dict(_laid_out(self.root, "", chance, all_of_it))


def _laid_out(folder: Folder, at: str, chance: random.Random | None, all_of_it: bool) -> Iterator[tuple[str, bytes]]:
    for name, what in sorted(with_names(folder.names, _some(folder.pending, chance, all_of_it)).items()):
        if isinstance(what, Folder):
            yield f"{at}{name}/", b""
            yield from _laid_out(what, f"{at}{name}/", chance, all_of_it)
            continue
        content = bytearray(what.content)
        for call in _some(what.pending, chance, all_of_it):
            do(content, _torn(call, chance) if chance else call)
        yield at + name, bytes(content)


def _some(pending: list[Any], chance: random.Random | None, all_of_it: bool) -> list[Any]:
    """Return what has reached the disk of what is pending; of changes of one name or place the order is kept."""
    if chance is None:
        return pending if all_of_it else []
    share = chance.choice((0.2, 0.5, 0.9))
    return [one for one in pending if chance.random() < share]


def _torn(call: Call, chance: random.Random) -> Call:
    if call.kind == "cut" or chance.random() < 0.7:
        return call
    sectors = chance.randrange(len(call.content) // SECTOR + 1)
    return Call(call.kind, call.inode, call.place, call.one, call.two, call.content[: sectors * SECTOR])


def lay_out(left: dict[str, bytes], top: Path) -> None:
    shutil.rmtree(top, ignore_errors=True)
    top.mkdir(parents=True)
    for path, content in left.items():
        if path.endswith("/"):
            (top / path).mkdir()
        else:
            (top / path).write_bytes(content)


def cut_at_every_call(
    bench: Run,
    assert_kept: Kept,
    folder: Path,
    *,
    seed: int,
    deeds: int,
    chances: int,
    every: int = 1,
    left_out: str = "",
) -> int:
    """Cut the power after every call of a session; return how many different disks were looked at."""
    (folder / "disk").mkdir()
    place = str(folder / "disk" / "book")
    order = {"folder": place, "watched": str(folder / "disk"), "log": str(folder / "log"), "seed": seed}
    ended = bench(**order, first=0, deeds=deeds)
    assert ended["status"] == 0
    disk, said, seen = Disk(folder / "disk"), [], set[bytes]()
    for number, call in enumerate(calls_in(folder / "log")):
        if call.kind == "note":
            said.append(json.loads(call.one))
            continue
        if call.kind != left_out:
            disk.do(call)
        if number % every:
            continue
        chance = random.Random(f"{seed} {number}")
        for left in (
            disk.left(None, all_of_it=True),
            disk.left(None, all_of_it=False),
            *(disk.left(chance, all_of_it=False) for _ in range(chances)),
        ):
            looks = hashlib.sha256(repr((sorted(left.items()), len(said))).encode()).digest()
            if looks not in seen:
                seen.add(looks)
                lay_out(left, folder / "left")
                assert_kept(folder / "left" / "book", said)
    assert [one for one in said if "done" in one] == [one for one in ended["said"] if "done" in one]
    return len(seen)


def test_whenever_the_power_is_cut_all_that_was_acknowledged_is_kept(
    watched_bench: Run, assert_kept: Kept, tmp_path: Path
) -> None:
    assert cut_at_every_call(watched_bench, assert_kept, tmp_path, seed=3, deeds=8, chances=1, every=4) > 150


def test_a_book_that_synced_nothing_would_be_found_out(watched_bench: Run, assert_kept: Kept, tmp_path: Path) -> None:
    with pytest.raises(AssertionError):
        cut_at_every_call(watched_bench, assert_kept, tmp_path, seed=3, deeds=2, chances=0, left_out="sync")


@pytest.mark.soak
@pytest.mark.parametrize("seed", range(4))
def test_for_long_whenever_the_power_is_cut_all_that_was_acknowledged_is_kept(
    watched_bench: Run, assert_kept: Kept, tmp_path: Path, seed: int
) -> None:
    assert cut_at_every_call(watched_bench, assert_kept, tmp_path, seed=seed, deeds=12, chances=4) > 1_000
