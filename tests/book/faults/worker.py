"""Sessions at a bench, each in a process of its own that may be killed, watched, or refused by its disk.

Reads orders from its input, a line of JSON each, and answers each with one: what the session said, and how it ended.
A session says every deed twice, when it begins and when it is acknowledged, so that what must be in the book is known
whatever happens to it. The processes are forked: modules are loaded once.
"""

import ctypes
import json
import os
import random
import select
import signal
import sys
import time
from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from typing import Any
from uuid import UUID

import alembic.command  # noqa: F401  # loaded before the fork
import numpy as np

from asfound.book import Book, in_folder
from asfound.book.spool import Spool, SpooledBlock, begin_spool
from asfound.job import Entry
from asfound.job.bodies import Camera, Note, Photo, Struck
from asfound.problems import AsfoundError

Say = Callable[[dict[str, Any]], None]
DISK = ctypes.CDLL(None) if "LD_PRELOAD" in os.environ else None
FRAMES = 2048


def acknowledged(number: object, entries: tuple[Entry, ...] = (), **more: object) -> dict[str, Any]:
    return {"done": number, "entries": [str(entry.id) for entry in entries], **more}


def notes(book: Book, job: UUID, number: int, chance: random.Random) -> dict[str, Any]:
    many, length = chance.randint(1, 4), chance.choice((0, 40, 9_000))
    texts = (f"deed {number}, {n} of {many} " + "x" * length for n in range(1, many + 1))
    return acknowledged(number, book.write(job, [Note(text=text) for text in texts]))


def photo(book: Book, job: UUID, number: int, chance: random.Random) -> dict[str, Any]:
    content = chance.randbytes(chance.choice((10, 5_000, 150_000)))
    attached = book.attach(BytesIO(content), name=f"{number}.png", media_type="image/png")
    entries = book.write(job, [Photo(attachment=attached, caption=f"deed {number}, 1 of 1")])
    return acknowledged(number, entries, attachment=attached.sha256)


def strike(book: Book, job: UUID, number: int, chance: random.Random) -> dict[str, Any]:
    meant = chance.choice(book.entries(job)).id
    return acknowledged(number, book.write(job, [Note(text=f"deed {number}, 1 of 1"), Struck(entry=meant)]))


def open_job(book: Book, _job: UUID, number: int, _chance: random.Random) -> dict[str, Any]:
    more = [Note(text=f"deed {number}, {n} of 2") for n in (1, 2)]
    return acknowledged(number, book.open_job(Camera(model="Otter"), more=more))


DEEDS = (notes, notes, photo, photo, strike, open_job)


class Firing:
    """Sound that comes in while the rest goes on, spooled."""

    def __init__(self, book: Book, seed: int) -> None:
        self.name = f"session-{seed}-{os.getpid()}"
        self.folder = book.location.folder
        self.spool: Spool | None = None
        self.blocks = 0

    def __call__(self, number: int) -> dict[str, Any]:
        if self.spool is None:
            self.spool = begin_spool(self.folder, self.name, {"seed": 1})
        samples = np.full(FRAMES, self.blocks, np.float32)
        self.spool.append(SpooledBlock(0, self.blocks * FRAMES, False, samples))
        self.blocks += 1
        self.spool.sync()
        return acknowledged(number, spool=self.spool.path.name, blocks=self.blocks)


def session(order: dict[str, Any], say: Say, mend: Callable[[], None]) -> None:
    """Do the deeds that the seed tells; one that is refused is said, and after `mend` everything must work."""
    chance = random.Random(order["seed"])
    try:
        book = open_book(order, say)
    except AsfoundError as error:
        say(refused("open", error))
        mend()
        book = open_book(order, say)
    firing = Firing(book, order["seed"])
    for number in range(order["first"], order["first"] + order["deeds"]):
        one_deed(book, firing, number, chance, say)
    mend()
    say({"mended": True})
    one_deed(book, firing, order["first"] + order["deeds"], chance, say)
    for number, kind in enumerate((notes, photo), start=order["first"] + order["deeds"] + 1):
        say({"begin": number})
        say(kind(book, book.jobs()[-1].id, number, chance))
    book.close()


def open_book(order: dict[str, Any], say: Say) -> Book:
    book = Book.open(in_folder(Path(order["folder"])))
    say(acknowledged("open"))
    return book


def one_deed(book: Book, firing: Firing, number: int, chance: random.Random, say: Say) -> None:
    say({"begin": number})
    try:
        jobs = book.jobs()
        if not jobs:
            say(open_job(book, UUID(int=0), number, chance))
        elif number % 4 == 3:
            say(firing(number))
        else:
            say(chance.choice(DEEDS)(book, jobs[0].id, number, chance))
    except AsfoundError as error:
        say(refused(number, error))


def refused(number: object, error: AsfoundError) -> dict[str, Any]:
    return {"refused": number, "error": type(error).__name__, "said": str(error)}


def child(order: dict[str, Any], pipe: int) -> None:
    def say(said: dict[str, Any]) -> None:
        line = json.dumps(said)
        if DISK is not None:
            DISK.disk_note(line.encode())
        os.write(pipe, line.encode() + b"\n")

    def mend() -> None:
        if DISK is not None and order.get("refuse"):
            say({"calls": DISK.disk_calls()})
            DISK.disk_refuse(ctypes.c_long(-1), ctypes.c_long(0), 0)

    if DISK is not None:
        DISK.disk_watch(order["watched"].encode(), order.get("log", "").encode())
        if order.get("refuse"):
            first, many, with_ = order["refuse"]
            DISK.disk_refuse(ctypes.c_long(first), ctypes.c_long(many), with_)
    session(order, say, mend)
    if order.get("kill"):
        signal.pause()  # on a busy machine the killer may come late


def run(order: dict[str, Any]) -> dict[str, Any]:
    """Run one session, and kill it where the order says: so many seconds after so many acknowledgements."""
    reading, writing = os.pipe()
    pid = os.fork()
    if pid == 0:
        os.close(reading)
        sys.excepthook = lambda *error: (sys.__excepthook__(*error), os._exit(1))
        child(order, writing)
        os._exit(0)
    os.close(writing)
    said = listen(reading, pid, order.get("kill"))
    return {"said": said, "status": os.waitpid(pid, 0)[1]}


def listen(reading: int, pid: int, kill: list[float] | None) -> list[dict[str, Any]]:
    """Return what the session said in whole lines; kill it when its time has come."""
    held, due = b"", None
    while True:
        if kill is not None and due is None and held.count(b'"done"') >= kill[0]:
            due = time.monotonic() + kill[1]
        wait = None if due is None else max(0.0, due - time.monotonic())
        if not select.select([reading], [], [], wait)[0]:
            os.kill(pid, signal.SIGKILL)
            kill, due = None, None
            continue
        block = os.read(reading, 1 << 16)
        if not block:
            os.close(reading)
            return [json.loads(line) for line in held.splitlines() if line.endswith(b"}")]
        held += block


if __name__ == "__main__":
    for line in sys.stdin:
        sys.stdout.write(json.dumps(run(json.loads(line))) + "\n")
        sys.stdout.flush()
