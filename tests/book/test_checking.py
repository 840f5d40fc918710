"""A check finds what is damaged and names the job."""

import io
import random
from collections.abc import Callable, Iterator
from pathlib import Path
from uuid import UUID

import pytest
import sqlalchemy as sa
from hypothesis import given, settings
from hypothesis import strategies as st

from asfound.book import Book, in_folder
from asfound.book.engine import writing
from asfound.job import canonical_bytes, entry_hash
from asfound.job.bodies import Camera, Note, Photo
from asfound.problems import AsfoundError, StorageError

OpenBook = Callable[..., Book]
AGAIN = "attach it again, or restore the book from its last backup"


@pytest.fixture
def full(book: Book) -> Book:
    attached = book.attach(io.BytesIO(b"front ring"), name="ring.png", media_type="image/png")
    for ticket in ("41", "42"):
        camera = Camera(model="Otter")
        book.open_job(camera, ticket=ticket, more=[Note(text=f"seen {ticket}"), Photo(attachment=attached)])
    return book


def tamper(book: Book, statement: str, **values: object) -> None:
    """Change an entry as no program of ours could: with the database's own guard taken away."""
    guard = {
        "sqlite": ["DROP TRIGGER IF EXISTS entry_no_update", "DROP TRIGGER IF EXISTS entry_no_delete"],
        "postgresql": ["DROP TRIGGER IF EXISTS entry_append_only ON entry"],
    }
    with writing(book._engine, book.location) as connection:
        for drop in guard[connection.dialect.name]:
            connection.execute(sa.text(drop))
        connection.execute(sa.text(statement), values)


def said(book: Book) -> list[str]:
    return [str(problem) for problem in book.check().problems]


def test_a_sound_book_is_said_to_be_sound(full: Book) -> None:
    checked = full.check()
    assert (checked.jobs, checked.entries, checked.attachments, checked.problems) == (2, 6, 1, ())


def test_every_flipped_byte_of_an_entry_is_found_and_its_job_named(full: Book) -> None:
    entry = full.entries(full.resolve("42"))[1]
    content = next(s.content for s in full.stored(entry.job) if str(entry.id) in s.content.decode())
    for place in range(0, len(content), 40):
        flipped = bytearray(content)
        flipped[place] ^= 1
        tamper(full, "UPDATE entry SET stored = :stored WHERE id = :id", stored=bytes(flipped), id=str(entry.id))
        assert any(line.startswith("job 42: entry 5 ") and "not as it was written" in line for line in said(full))
    tamper(full, "UPDATE entry SET stored = :stored WHERE id = :id", stored=content, id=str(entry.id))
    assert said(full) == []


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    """Give a book with several jobs, each with an attachment of its own; a test puts back what it damages."""
    with Book.open(in_folder(tmp_path_factory.mktemp("shelf"))) as book:
        for ticket in ("7", "8", "Mill Lane"):
            ring = book.attach(io.BytesIO(f"ring {ticket}".encode() * 40), name="ring.png", media_type="image/png")
            more = [Note(text=f"seen — {ticket}"), Photo(attachment=ring), Note(text="")]
            book.open_job(Camera(model="Otter"), ticket=ticket, more=more)
        yield book


def flipped(content: bytes, data: st.DataObject) -> bytes:
    changed = bytearray(content)
    changed[data.draw(st.integers(0, len(content) - 1), label="byte")] ^= 1 << data.draw(st.integers(0, 7), label="bit")
    return bytes(changed)


@settings(max_examples=40, deadline=None)
@given(st.data())
def test_any_flipped_bit_of_any_entry_is_found_and_its_job_named(shelf: Book, data: st.DataObject) -> None:
    line = data.draw(st.sampled_from(shelf.jobs()))
    entry, stored = data.draw(st.sampled_from(list(zip(shelf.entries(line.id), shelf.stored(line.id), strict=True))))
    change = "UPDATE entry SET stored = :stored WHERE id = :id"
    tamper(shelf, change, stored=flipped(stored.content, data), id=str(entry.id))
    try:
        assert [one for one in said(shelf) if one.startswith(f"job {line.ticket}: entry {entry.sequence} ")]
        assert not [one for one in said(shelf) if one.startswith("job ") and not one.startswith(f"job {line.ticket}:")]
    finally:
        tamper(shelf, change, stored=stored.content, id=str(entry.id))
    assert said(shelf) == []


@settings(max_examples=40, deadline=None)
@given(st.data())
def test_any_flipped_bit_of_any_attachment_is_found_and_its_job_named(shelf: Book, data: st.DataObject) -> None:
    line = data.draw(st.sampled_from(shelf.jobs()))
    photo = next(entry.body for entry in shelf.entries(line.id) if isinstance(entry.body, Photo))
    path = shelf.attachment_path(photo.attachment.sha256)
    content = path.read_bytes()
    path.write_bytes(flipped(content, data))
    try:
        found = said(shelf)
        assert found == [f"job {line.ticket}: ring.png: the attachment is not as it was kept; {AGAIN}"]
    finally:
        path.write_bytes(content)
    assert said(shelf) == []


def test_an_attachment_of_two_jobs_is_told_with_both(full: Book) -> None:
    next(full.location.attachments.glob("??/*")).unlink()
    assert [one.split(":")[0] for one in said(full)] == ["job 41", "job 42"]


def test_an_entry_whose_hash_was_changed_with_it_breaks_the_chain(full: Book) -> None:
    entry = full.entries(full.resolve("41"))[1]
    content = canonical_bytes(entry.model_copy(update={"body": Note(text="never seen")}))
    change = "UPDATE entry SET stored = :stored, hash = :hash WHERE id = :id"
    tamper(full, change, stored=content, hash=entry_hash(content), id=str(entry.id))
    assert any(line.startswith("job 41: entry 3 ") and "does not follow" in line for line in said(full))


def test_an_entry_filed_under_another_clock_is_found(full: Book) -> None:
    tamper(full, "UPDATE entry SET counter = counter + 1 WHERE sequence = 2")
    assert any("job 41: entry 2 " in line and "filed under another counter" in line for line in said(full))


def test_a_lost_entry_is_missed(full: Book) -> None:
    tamper(full, "DELETE FROM entry WHERE sequence = 2")
    lines = said(full)
    assert any(line.startswith("job 41: entry 3 ") for line in lines)
    assert any("wrote 6 entries, 1 of them are not in the book" in line for line in lines)


def test_a_flipped_byte_of_an_attachment_is_found(full: Book) -> None:
    next(full.location.attachments.glob("??/*")).write_bytes(b"front rinG")
    assert any("ring.png: the attachment is not as it was kept" in line for line in said(full))


def test_a_lost_attachment_is_missed(full: Book) -> None:
    next(full.location.attachments.glob("??/*")).unlink()
    assert any("ring.png: the attachment cannot be read" in line for line in said(full))


@pytest.mark.parametrize(
    ("statement", "name"),
    [
        ("UPDATE job_line SET summary = '{}'", "list of jobs"),
        ("DELETE FROM camera_seen", "list of cameras"),
        ("INSERT INTO reading_seen VALUES ('-', 0, '-', '-', '-', '{}')", "list of readings"),
        ("INSERT INTO instrument_used VALUES ('-', 0, '-', '-', 1, 1)", "list of instruments"),
        ("DELETE FROM search_line", "search"),
    ],
)
def test_a_list_that_does_not_follow_from_the_entries_is_mended_by_a_rebuild(
    full: Book, statement: str, name: str
) -> None:
    tamper(full, statement)
    assert said(full) == [f"the {name}: does not follow from the entries; run: asfound book rebuild"]
    full.rebuild()
    assert said(full) == []


def test_a_line_that_cannot_be_read_says_how_to_mend_it(full: Book) -> None:
    tamper(full, "UPDATE job_line SET summary = '{'")
    with pytest.raises(StorageError, match="run: asfound book rebuild"):
        full.jobs()
    full.rebuild()
    assert len(full.jobs()) == 2


def test_a_camera_that_cannot_be_read_says_how_to_mend_it(full: Book) -> None:
    tamper(full, "UPDATE camera_seen SET seen = '{}'")
    with pytest.raises(StorageError, match="run: asfound book rebuild"):
        full.cameras_seen(model="Otter")
    full.rebuild()
    assert full.cameras_seen(model="Otter")


@pytest.mark.parametrize(("number", "camera"), [(1, "damaged"), (2, "Otter")])
def test_one_damaged_entry_does_not_keep_the_rest_of_the_book_shut(full: Book, number: int, camera: str) -> None:
    tamper(full, "UPDATE entry SET stored = :stored WHERE sequence = :n", stored=b"{}", n=number)
    full.rebuild()
    lines = {line.camera: line for line in full.jobs() if line.ticket != "42"}
    assert lines[camera].waits_for.startswith("mending: it is damaged")
    assert len(full.cameras_seen(model="Otter")) == 1
    assert not full.cameras_seen(model="damaged")
    with pytest.raises(AsfoundError, match="cannot be read"):
        full.job(lines[camera].id)
    assert full.job(full.resolve("42")).ticket == "42"
    assert any("not as it was written" in line for line in said(full))


@pytest.mark.parametrize("job", ["no job at all", str(UUID(int=3))])
def test_an_entry_filed_under_no_job_or_a_wrong_one_is_found(full: Book, job: str) -> None:
    tamper(full, "UPDATE entry SET job = :job WHERE sequence = 2", job=job)
    full.rebuild()
    assert any("filed under" in line for line in said(full))


def test_no_flipped_byte_of_the_file_is_more_than_a_told_problem(tmp_path: Path) -> None:
    location = in_folder(tmp_path)
    with Book.open(location) as book:
        book.open_job(Camera(model="Otter"), more=[Note(text=f"seen {n}: " + "stiff " * 9) for n in range(90)])
    file = tmp_path / "book.sqlite"
    content, chance, found = file.read_bytes(), random.Random(7), 0
    for _ in range(60):
        flipped = bytearray(content)
        flipped[chance.randrange(len(content))] ^= 1 << chance.randrange(8)
        file.write_bytes(flipped)
        try:
            with Book.open(location) as book:
                found += bool(book.check().problems)
                book.jobs()
                book.search("seen")
                book.rebuild()
        except AsfoundError:
            found += 1
        for beside in tmp_path.glob("book.sqlite-*"):
            beside.unlink()
    # About half of the file is entries and their lists; the rest is room to grow and the index of the search.
    assert found > 10


def test_damage_to_the_file_itself_does_not_pass(open_book: OpenBook, tmp_path: Path) -> None:
    with Book.open(in_folder(tmp_path)) as book:
        job = book.open_job(Camera(model="Otter"))[0].job
        for number in range(60):
            book.write(job, [Note(text=f"note {number} " + "word " * 100)])
    file = tmp_path / "book.sqlite"
    content = bytearray(file.read_bytes())
    for page in range(4096 * 6, len(content), 4096):
        content[page : page + 64] = b"\xff" * 64
    file.write_bytes(content)
    try:
        problems = open_book(in_folder(tmp_path)).check().problems
    except StorageError as error:
        problems = error.problems
    assert problems
