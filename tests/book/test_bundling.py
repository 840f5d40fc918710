"""One job goes to another bench and comes back: whole, once, in any order, or not at all."""

import hashlib
import io
import json
import tracemalloc
import zipfile
from collections.abc import Callable
from pathlib import Path
from uuid import UUID

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from asfound.book import Book, Stored, in_folder, take_in, verify_bundle, write_bundle
from asfound.book.bundling import Contents
from asfound.job import canonical_bytes, entry_hash
from asfound.job.bodies import Camera, Note, Photo, Struck
from asfound.problems import BadInputError, ConflictError, NotFoundError

OpenBook = Callable[..., Book]
SCHEMA = Path(__file__).parents[2] / "docs" / "bundle.schema.json"
RING = b"front ring" * 1000


def a_job(book: Book) -> UUID:
    """Open a job with a photograph and a struck line."""
    attached = book.attach(io.BytesIO(RING), name="ring.png", media_type="image/png")
    job = book.open_job(Camera(model="Otter"), complaint="sticks")[0].job
    line = book.write(job, [Note(text="line\nbreak — “bellows”"), Photo(attachment=attached)])[0]
    book.write(job, [Struck(entry=line.id)])
    return job


@pytest.fixture
def elsewhere(open_book: OpenBook, tmp_path: Path) -> Book:
    return open_book(in_folder(tmp_path / "elsewhere"))


@pytest.fixture
def bundle(elsewhere: Book, tmp_path: Path) -> Path:
    write_bundle(elsewhere, a_job(elsewhere), tmp_path / "job.zip")
    return tmp_path / "job.zip"


def contents(path: Path) -> dict[str, object]:
    """Return a bundle as the one object that its schema describes, read with a plain zip reader."""
    with zipfile.ZipFile(path) as archive:
        lines = archive.read("entries.txt").splitlines()
        return {
            "bundle": json.loads(archive.read("bundle.json")),
            "entries": [json.loads(line.partition(b" ")[2]) for line in lines],
        }


def test_a_bundle_taken_in_gives_the_same_job_on_either_store(book: Book, elsewhere: Book, bundle: Path) -> None:
    done = take_in(book, bundle)
    job = done.bundle.job
    assert (len(done.merged.added), done.new_attachments) == (4, 1)
    assert book.job(job) == elsewhere.job(job)
    assert book.line(job) == elsewhere.line(job)
    assert book.attachment_path(hashlib.sha256(RING).hexdigest()).read_bytes() == RING
    assert book.check().problems == ()


def test_the_same_bundle_twice_changes_nothing(book: Book, bundle: Path) -> None:
    job = take_in(book, bundle).bundle.job
    before = book.stored(job), book.jobs(), book.search("bellows")
    again = take_in(book, bundle)
    assert (again.merged.added, again.merged.known, again.new_attachments) == ((), 4, 0)
    assert (book.stored(job), book.jobs(), book.search("bellows")) == before


def test_a_job_that_did_not_change_gives_the_same_bundle_to_the_byte(elsewhere: Book, tmp_path: Path) -> None:
    job = a_job(elsewhere)
    for name in ("one.zip", "two.zip"):
        write_bundle(elsewhere, job, tmp_path / name)
    assert (tmp_path / "one.zip").read_bytes() == (tmp_path / "two.zip").read_bytes()


def test_a_bundle_goes_to_and_fro_between_two_benches(
    book: Book, elsewhere: Book, bundle: Path, tmp_path: Path
) -> None:
    job = take_in(book, bundle).bundle.job
    book.write(job, [Note(text="at home")])
    elsewhere.write(job, [Note(text="away")])
    write_bundle(book, job, tmp_path / "home.zip")
    write_bundle(elsewhere, job, tmp_path / "away.zip")
    take_in(elsewhere, tmp_path / "home.zip")
    take_in(book, tmp_path / "away.zip")
    assert book.job(job) == elsewhere.job(job)
    assert len(book.entries(job)) == 6
    assert book.check().problems == elsewhere.check().problems == ()


def test_an_older_bundle_after_a_newer_one_takes_nothing_back(book: Book, elsewhere: Book, tmp_path: Path) -> None:
    job = a_job(elsewhere)
    write_bundle(elsewhere, job, tmp_path / "old.zip")
    elsewhere.write(job, [Note(text="later")])
    write_bundle(elsewhere, job, tmp_path / "new.zip")
    take_in(book, tmp_path / "new.zip")
    assert take_in(book, tmp_path / "old.zip").merged.known == 4
    assert book.job(job) == elsewhere.job(job)


def test_a_bundle_keeps_to_the_published_schema(bundle: Path) -> None:
    jsonschema.Draft202012Validator(json.loads(SCHEMA.read_text("utf-8"))).validate(contents(bundle))


def test_the_practice_job_as_a_bundle_keeps_to_the_published_schema_and_comes_back_whole(
    practice_book: Book, book: Book, tmp_path: Path
) -> None:
    job = practice_book.jobs()[0].id
    write_bundle(practice_book, job, tmp_path / "job.zip")
    schema = json.loads(SCHEMA.read_text("utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.Draft202012Validator(schema).validate(contents(tmp_path / "job.zip"))
    take_in(book, tmp_path / "job.zip")
    assert book.job(job) == practice_book.job(job)


def test_the_published_schema_is_that_of_the_program() -> None:
    published = json.loads(SCHEMA.read_text("utf-8"))
    ours = Contents.model_json_schema()
    assert published == {"$schema": published["$schema"], **ours}, "run: make docs"


@pytest.mark.parametrize(
    ("place", "value"),
    [
        (("bundle", "format"), 2),
        (("bundle", "job"), None),
        (("bundle", "attachments"), ["../x"]),
        (("entries", 0, "clock"), "yesterday"),
        (("entries", 1, "body"), {"kind": "no such kind"}),
        (("entries", 1, "sequence"), 0),
    ],
)
def test_the_published_schema_refuses_what_the_program_refuses(
    bundle: Path, place: tuple[str | int, ...], value: object
) -> None:
    held = contents(bundle)
    inner: object = held
    for name in place[:-1]:
        inner = inner[name]  # type: ignore[index]
    inner[place[-1]] = value  # type: ignore[index]
    assert not jsonschema.Draft202012Validator(json.loads(SCHEMA.read_text("utf-8"))).is_valid(held)


def test_a_job_that_lost_an_attachment_can_be_bundled_and_says_so(book: Book, elsewhere: Book, tmp_path: Path) -> None:
    job = a_job(elsewhere)
    next(elsewhere.location.attachments.glob("??/*")).write_bytes(b"no ring")
    made = write_bundle(elsewhere, job, tmp_path / "job.zip")
    assert (made.attachments, len(made.missing)) == ((), 1)
    take_in(book, tmp_path / "job.zip")
    assert book.job(job) == elsewhere.job(job)


def test_a_bundle_never_replaces_a_file(elsewhere: Book, bundle: Path) -> None:
    before = bundle.read_bytes()
    with pytest.raises(ConflictError, match="name another file"):
        write_bundle(elsewhere, elsewhere.jobs()[0].id, bundle)
    assert bundle.read_bytes() == before


def test_a_job_that_is_not_there_cannot_be_bundled(elsewhere: Book, tmp_path: Path) -> None:
    with pytest.raises(NotFoundError):
        write_bundle(elsewhere, UUID(int=1), tmp_path / "job.zip")
    assert not (tmp_path / "job.zip").exists()


# -- what is refused -----------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, bytes]:
    """Give a sound bundle and its bytes; a test may write others into the file."""
    folder = tmp_path_factory.mktemp("sound")
    with Book.open(in_folder(folder / "book")) as book:
        write_bundle(book, a_job(book), folder / "job.zip")
    return folder / "job.zip", (folder / "job.zip").read_bytes()


@settings(deadline=None)
@given(st.data())
def test_no_flipped_bit_of_what_a_bundle_holds_passes(sound: tuple[Path, bytes], data: st.DataObject) -> None:
    file, content = sound
    flipped = bytearray(content)
    flipped[data.draw(st.integers(0, len(content) - 1))] ^= 1 << data.draw(st.integers(0, 7))
    before = held(content)
    file.write_bytes(flipped)
    # A zip file has bytes that say nothing of its content, such as dates: there it must read the same.
    try:
        verify_bundle(file)
    except BadInputError:
        return
    assert held(bytes(flipped)) == before


def held(content: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


@settings(deadline=None)
@given(st.integers(0, 10_000))
def test_a_bundle_cut_short_is_refused(sound: tuple[Path, bytes], length: int) -> None:
    file, content = sound
    file.write_bytes(content[: length % len(content)])
    with pytest.raises(BadInputError):
        verify_bundle(file)


def changed(bundle: Path, change: Callable[[dict[str, bytes]], object]) -> Path:
    """Write the zip file again, sound as a zip file, with other members."""
    members = held(bundle.read_bytes())
    change(members)
    target = bundle.with_name("changed.zip")
    with zipfile.ZipFile(target, "w") as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return target


def rehashed(members: dict[str, bytes]) -> None:
    """Let the summary say what the entries now are, as a forger would."""
    said = json.loads(members["bundle.json"])
    said["entries"] = len(members["entries.txt"].splitlines())
    said["entries_sha256"] = hashlib.sha256(members["entries.txt"]).hexdigest()
    members["bundle.json"] = json.dumps(said).encode()


def relined(members: dict[str, bytes], change: Callable[[list[bytes]], list[bytes]]) -> None:
    members["entries.txt"] = b"".join(change(members["entries.txt"].splitlines(keepends=True)))
    rehashed(members)


def forged(line: bytes) -> bytes:
    """Return an entry's line with another text and the hash that goes with it."""
    content = line.rstrip(b"\n").partition(b" ")[2].replace(b"bellows", b"leather")
    return entry_hash(content).encode() + b" " + content + b"\n"


def named(members: dict[str, bytes], change: Callable[[str], str]) -> None:
    said = json.loads(members["bundle.json"])
    said["attachments"] = [change(name) for name in said["attachments"]]
    members["bundle.json"] = json.dumps(said).encode()


def photo_name(members: dict[str, bytes]) -> str:
    return next(name for name in members if name.startswith("attachments/"))


REFUSED = {
    "a path out of the folder": (lambda m: m.update({"../../evil": b"x"}), "no part of a bundle"),
    "a path from the root": (lambda m: m.update({"/etc/evil": b"x"}), "no part of a bundle"),
    "an attachment by another name": (lambda m: named(m, lambda _: "../../evil"), "is no bundle of a job"),
    "a file more": (lambda m: m.update({"attachments/" + "0" * 64: b"x"}), "no part of a bundle"),
    "a file that nothing cites": (
        lambda m: (m.update({"attachments/" + "0" * 64: b"x"}), named(m, lambda _: "0" * 64), m.pop(photo_name(m))),
        "not those that its entries cite",
    ),
    "an attachment less": (lambda m: m.pop(photo_name(m)), "missing"),
    "another attachment": (lambda m: m.update({photo_name(m): RING[:-1] + b"!"}), r"ring\.png is damaged"),
    "another text": (
        lambda m: m.update({"entries.txt": m["entries.txt"].replace(b"bellows", b"leather")}),
        "entry 2 is not as it was written",
    ),
    "an entry less": (lambda m: m.update({"entries.txt": m["entries.txt"].splitlines(True)[0]}), "missing or out"),
    "the same entry twice": (lambda m: relined(m, lambda lines: [*lines, lines[-1]]), "twice"),
    "no entries": (lambda m: m.pop("entries.txt"), "entries are missing"),
    "no summary": (lambda m: m.pop("bundle.json"), "is no bundle of a job"),
    "another format": (
        lambda m: m.update({"bundle.json": m["bundle.json"].replace(b'"format": 1', b'"format": 2')}),
        "newer asfound",
    ),
    "a summary that is no JSON": (lambda m: m.update({"bundle.json": b"{"}), "is no bundle of a job"),
    "deep JSON": (
        lambda m: relined(m, lambda _: [entry_hash(b"[" * 100_000).encode() + b" " + b"[" * 100_000 + b"\n"]),
        "entry 1: an entry cannot be read",
    ),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_is_wrong_is_refused_and_nothing_taken_in(
    elsewhere: Book, bundle: Path, open_book: OpenBook, tmp_path: Path, name: str
) -> None:
    change, said = REFUSED[name]
    book = open_book(in_folder(tmp_path / "home"))
    with pytest.raises(BadInputError, match=said):
        take_in(book, changed(bundle, change))
    assert book.jobs() == ()
    assert [path for path in book.location.attachments.rglob("*") if path.is_file()] == []
    assert not list(tmp_path.rglob("*evil*"))


CONTRADICTING: dict[str, Callable[[list[bytes]], list[bytes]]] = {
    "an entry forged with its hash": lambda lines: [lines[0], forged(lines[1]), *lines[2:]],
    "an entry left out": lambda lines: [lines[0], *lines[2:]],
    "no opening": lambda lines: lines[1:],
}


@pytest.mark.parametrize("name", CONTRADICTING)
def test_a_broken_chain_is_refused_before_a_file_is_kept(
    bundle: Path, open_book: OpenBook, tmp_path: Path, name: str
) -> None:
    change = CONTRADICTING[name]
    book = open_book(in_folder(tmp_path / "home"))
    with pytest.raises(ConflictError, match="follows one that is not there"):
        take_in(book, changed(bundle, lambda members: relined(members, change)))
    assert book.jobs() == ()
    assert [path for path in book.location.attachments.rglob("*") if path.is_file()] == []


def test_an_entry_that_differs_from_the_one_in_the_book_is_refused(
    book: Book, elsewhere: Book, bundle: Path, tmp_path: Path
) -> None:
    take_in(book, bundle)

    def last_forged(lines: list[bytes]) -> list[bytes]:
        last = elsewhere.entries(elsewhere.jobs()[0].id)[-1]
        content = canonical_bytes(last.model_copy(update={"body": Note(text="something else")}))
        return [*lines[:-1], entry_hash(content).encode() + b" " + content + b"\n"]

    before = book.stored(book.jobs()[0].id)
    with pytest.raises(ConflictError, match="differs from the one in the book"):
        take_in(book, changed(bundle, lambda members: relined(members, last_forged)))
    assert book.stored(book.jobs()[0].id) == before


def test_an_entry_of_another_job_is_refused(elsewhere: Book, bundle: Path, book: Book) -> None:
    other: Stored = elsewhere.stored(elsewhere.open_job(Camera(model="Heron"))[0].job)[0]
    line = other.hash.encode() + b" " + other.content + b"\n"
    with pytest.raises(BadInputError, match="entry 5 is of another job"):
        take_in(book, changed(bundle, lambda members: relined(members, lambda lines: [*lines, line])))
    assert book.jobs() == ()


def test_a_name_that_is_there_twice_is_refused(bundle: Path, elsewhere: Book) -> None:
    with pytest.warns(UserWarning, match="Duplicate name"), zipfile.ZipFile(bundle, "a") as archive:
        archive.writestr("entries.txt", b"")
    with pytest.raises(BadInputError, match="twice"):
        take_in(elsewhere, bundle)


def bombs(bundle: Path) -> dict[str, Path]:
    """Make small files that grow to gigabytes, or hold a crowd of names."""
    members = held(bundle.read_bytes())
    made = {}
    for name in ("entries.txt", "bundle.json", photo_name(members)):
        made[name] = bundle.with_name(f"bomb-{len(made)}.zip")
        with zipfile.ZipFile(made[name], "w", zipfile.ZIP_DEFLATED) as archive:
            for member, content in members.items():
                if member != name:
                    archive.writestr(member, content, zipfile.ZIP_STORED)
            with archive.open(name, "w") as file:
                for _ in range(150):
                    file.write(bytes(1 << 20))
    made["a crowd"] = bundle.with_name("crowd.zip")
    with zipfile.ZipFile(made["a crowd"], "w") as archive:
        for number in range(50_000):
            archive.writestr(zipfile.ZipInfo("x" * 150 + f"{number}"), b"")
    return made


def test_what_would_grow_when_unpacked_is_refused_in_little_memory(elsewhere: Book, bundle: Path) -> None:
    for name, path in bombs(bundle).items():
        assert path.stat().st_size < 24 << 20, name
        tracemalloc.start()
        try:
            with pytest.raises(BadInputError):
                take_in(elsewhere, path)
            assert tracemalloc.get_traced_memory()[1] < 100 << 20, name
        finally:
            tracemalloc.stop()


@pytest.mark.parametrize("content", [b"", b"a letter", b"PK\x05\x06" + b"\0" * 18])
def test_what_is_no_bundle_is_refused(tmp_path: Path, elsewhere: Book, content: bytes) -> None:
    (tmp_path / "letter.zip").write_bytes(content)
    with pytest.raises(BadInputError, match=r"letter\.zip"):
        take_in(elsewhere, tmp_path / "letter.zip")


def test_a_backup_is_no_bundle_and_says_so(elsewhere: Book, tmp_path: Path) -> None:
    a_job(elsewhere)
    elsewhere.backup(tmp_path / "book.zip")
    with pytest.raises(BadInputError, match="is no bundle of a job; name a file made by asfound book bundle"):
        take_in(elsewhere, tmp_path / "book.zip")
