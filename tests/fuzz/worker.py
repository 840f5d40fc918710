"""A process that takes in one damaged file after another, with little memory, and says of each how it went.

Each line of its input is a number: the case. Each line of its output: "taken", "refused", or the fault in a line.
"""

import io
import os
import random
import resource
import sys
import tempfile
import traceback
import warnings
from collections.abc import Callable
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path

MEMORY = 1 << 30

os.environ.update(OMP_NUM_THREADS="1", OPENBLAS_NUM_THREADS="1", MPLBACKEND="svg")

import mutations  # noqa: E402
import samples  # noqa: E402

from asfound.bench import bundles, notes, photographs, recordings  # noqa: E402
from asfound.bench.practice import write_practice_job  # noqa: E402
from asfound.book import Book, in_folder, restore  # noqa: E402
from asfound.capture.photograph import read_light  # noqa: E402
from asfound.cli.main import main  # noqa: E402
from asfound.problems import AsfoundError, Problem  # noqa: E402

Take = Callable[[random.Random], None]


def new_book(folder: Path) -> Book:
    return Book.open(in_folder(folder))


def opened(folder: Path) -> tuple[Book, Path]:
    """Return a book with the practice job, and a folder for files."""
    book = new_book(folder / "book")
    write_practice_job(book)
    files = folder / "files"
    files.mkdir()
    return book, files


def take_recording(folder: Path) -> Take:
    """Keep it in a job, then measure it, as the shutter's page does."""
    book, _ = opened(folder)
    job, kinds = book.jobs()[0].id, samples.recordings()

    def take(draw: random.Random) -> None:
        ending = draw.choice(sorted(kinds))
        content = mutations.damaged(kinds[ending], draw)
        entry = recordings.keep_recording(book, job, io.BytesIO(content), f"r{ending}", stage="working")
        body, path = recordings.recording_of(book, job, entry.id)
        recordings.measure(path, progress=lambda _: None, cancelled=lambda: False, name=body.attachment.name)

    return take


def take_photograph(folder: Path) -> Take:
    """Keep it in a job, make a small one of it, and read its light, as the pages do."""
    book, _ = opened(folder)
    job, kinds = book.jobs()[0].id, samples.photographs()

    def take(draw: random.Random) -> None:
        ending = draw.choice(sorted(kinds))
        content = mutations.damaged(kinds[ending], draw)
        entry = photographs.add_photo(book, job, io.BytesIO(content), f"p{ending}")
        sha256 = entry.body.attachment.sha256  # type: ignore[union-attr]
        photographs.thumbnail(book, sha256, width=320)
        read_light(book.attachment_path(sha256))

    return take


def take_bundle(folder: Path) -> Take:
    """Take in a bundle of a job, restore a backup, take in a file of service notes."""
    book, files = opened(folder)
    line = book.jobs()[0]
    bundle = bundles.bundle_job(book, line.id, files).read_bytes()
    book.backup(files / "backup.zip")
    backup = (files / "backup.zip").read_bytes()
    model = book.job(line.id).camera.model
    told = notes.notes_file(model, notes.cameras_seen(book, model)).encode()
    other = new_book(folder / "other")

    def take(draw: random.Random) -> None:
        which = draw.randrange(4)
        if which < 2:
            bundles.take_in_upload(other, io.BytesIO(mutations.repacked(bundle, draw)))
        elif which == 2:
            (files / "hurt.zip").write_bytes(mutations.repacked(backup, draw))
            with tempfile.TemporaryDirectory(dir=folder) as place:
                restore(files / "hurt.zip", in_folder(Path(place) / "book"))
        else:
            (files / "notes.json").write_bytes(mutations.reworded(told, draw))
            notes.take_in(other, files / "notes.json")

    return take


def take_table(folder: Path) -> Take:
    """Give it to the command that reads it."""
    kinds, file = samples.tables(), folder / "table.csv"
    choose = (
        "spring choose --erected 60Nmm --travel 90deg --pin 4mm --outside 7mm --between-cheeks 6mm --sizes metric "
        "--turns 2,8 --diameter-step 0.5mm --preload-step 30deg --drawer"
    )
    commands = {
        "ring": "shape ring",
        "plane": "shape plane",
        "effort": "focus effort --u 5gf",
        "why": "shutter why",
        "drawer": choose,
    }

    def take(draw: random.Random) -> None:
        kind = draw.choice(sorted(kinds))
        file.write_bytes(mutations.reworded(kinds[kind], draw))
        with redirect_stdout(io.StringIO()), redirect_stderr(io.StringIO()) as said:
            try:
                main([*commands[kind].split(), str(file)])
            except SystemExit as ended:
                if ended.code not in (None, 0, 2):
                    raise RuntimeError(f"exit status {ended.code}: {said.getvalue()[-300:]}") from None
                if ended.code == 2:
                    raise refused(said.getvalue()) from None

    return take


def refused(said: str) -> Exception:
    """Return the refusal that a command printed; a fault where it gives no reason."""
    if not said.startswith("asfound: ") or "Traceback" in said:
        return RuntimeError(f"not a clear refusal: {said[-300:]!r}")
    return AsfoundError(Problem("table", said, ""))


TAKES = {
    "recordings": take_recording,
    "photographs": take_photograph,
    "bundles": take_bundle,
    "tables": take_table,
}


def answer(take: Take, case: str) -> str:
    """Return in a line how a case went."""
    draw = random.Random(case)
    try:
        take(draw)
    except AsfoundError:
        return "refused"
    except BaseException as error:  # noqa: BLE001 (whatever it is, it is told)
        where = traceback.extract_tb(error.__traceback__)[-1]
        return f"fault: {type(error).__name__}: {error} at {where.filename}:{where.lineno}".replace("\n", " ")
    return "taken"


def run(kind: str) -> None:
    """Answer each case of the input."""
    answers = os.fdopen(os.dup(1), "w", buffering=1)
    os.dup2(2, 1)  # what a decoder prints is no answer
    warnings.simplefilter("ignore")
    with tempfile.TemporaryDirectory() as folder:
        take = TAKES[kind](Path(folder))
        resource.setrlimit(resource.RLIMIT_DATA, (MEMORY, MEMORY))
        print("ready", file=answers)
        for line in sys.stdin:
            said = answer(take, f"{kind} {line.strip()}")
            print(said, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024, sep="\t", file=answers)


if __name__ == "__main__":
    run(sys.argv[1])
