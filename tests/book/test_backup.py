"""A backup gives the same book elsewhere, or says what is wrong with it."""

import io
import json
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from asfound.book import Book, Location, in_folder, restore, verify
from asfound.job.bodies import Camera, Note, Photo
from asfound.problems import BadInputError, ConflictError, StorageError

OpenBook = Callable[..., Book]


def fill(book: Book) -> None:
    attached = book.attach(io.BytesIO(b"front ring" * 1000), name="ring.png", media_type="image/png")
    for ticket in ("1", "2", "3"):
        job = book.open_job(Camera(model="Otter"), ticket=ticket)[0].job
        book.write(job, [Note(text=f"line\nbreak {ticket} — “bellows”"), Photo(attachment=attached)])


@pytest.fixture
def backup(tmp_path: Path) -> Path:
    with Book.open(in_folder(tmp_path / "first")) as book:
        fill(book)
        book.backup(tmp_path / "book.zip")
    return tmp_path / "book.zip"


@pytest.fixture(scope="module")
def untouched_backup(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, bytes]:
    """Give a backup and its bytes; a test may write others into the file."""
    folder = tmp_path_factory.mktemp("untouched")
    with Book.open(in_folder(folder / "book")) as book:
        fill(book)
        book.backup(folder / "book.zip")
    return folder / "book.zip", (folder / "book.zip").read_bytes()


def test_a_restored_book_is_the_same_on_the_other_store_too(book: Book, tmp_path: Path, open_book: OpenBook) -> None:
    fill(book)
    made = book.backup(tmp_path / "book.zip")
    assert verify(tmp_path / "book.zip") == made
    restore(tmp_path / "book.zip", in_folder(tmp_path / "again"))
    again = open_book(in_folder(tmp_path / "again"))
    assert again.jobs() == book.jobs()
    assert [again.job(line.id) for line in again.jobs()] == [book.job(line.id) for line in book.jobs()]
    assert again.check().problems == ()
    assert len(again.search("bellows")) == 3


def test_a_backup_of_a_folder_can_be_restored_into_a_database(
    backup: Path, location: Location, open_book: OpenBook
) -> None:
    made = restore(backup, location)
    book = open_book(location)
    assert (made.jobs, made.entries, len(made.attachments)) == (3, 9, 1)
    assert book.check().problems == ()
    assert book.attachment_path(made.attachments[0]).read_bytes() == b"front ring" * 1000


def test_the_restored_bench_writes_under_a_new_name(backup: Path, tmp_path: Path, open_book: OpenBook) -> None:
    restore(backup, in_folder(tmp_path / "again"))
    first, again = open_book(in_folder(tmp_path / "first")), open_book(in_folder(tmp_path / "again"))
    job = first.resolve("1")
    late = first.write(job, [Note(text="after the backup")])
    again.write(job, [Note(text="after the loss")])
    again.merge(first.stored(job))
    assert late[0] in again.entries(job)
    assert again.check().problems == ()


def test_a_backup_is_one_state_of_a_book_in_use(
    tmp_path: Path, open_book: OpenBook, monkeypatch: pytest.MonkeyPatch
) -> None:
    from asfound.book import backup as module

    book, other = open_book(in_folder(tmp_path / "a")), open_book(in_folder(tmp_path / "a"))
    jobs = [book.open_job(Camera(model="Otter"))[0].job for _ in range(3)]
    read = module.stored_of

    def read_while_another_writes(*arguments: object) -> object:
        other.write(jobs[2], [Note(text="meanwhile")])
        return read(*arguments)  # type: ignore[arg-type]

    monkeypatch.setattr(module, "stored_of", read_while_another_writes)
    made = book.backup(tmp_path / "book.zip")
    assert (made.entries, len(book.entries(jobs[2]))) == (3, 4)


def test_a_backup_never_replaces_a_file(backup: Path, tmp_path: Path, open_book: OpenBook) -> None:
    before = backup.read_bytes()
    with pytest.raises(ConflictError, match="name another file"):
        open_book(in_folder(tmp_path / "first")).backup(backup)
    assert backup.read_bytes() == before


def test_a_backup_into_no_folder_is_told_plainly(tmp_path: Path, open_book: OpenBook) -> None:
    with pytest.raises(StorageError, match="nowhere"):
        open_book(in_folder(tmp_path / "a")).backup(tmp_path / "nowhere" / "book.zip")


def test_a_book_that_lost_an_attachment_can_be_backed_up_and_says_so(tmp_path: Path, open_book: OpenBook) -> None:
    book = open_book(in_folder(tmp_path / "a"))
    fill(book)
    next(book.location.attachments.glob("??/*")).unlink()
    made = book.backup(tmp_path / "book.zip")
    assert (made.attachments, len(made.missing)) == ((), 1)
    restore(tmp_path / "book.zip", in_folder(tmp_path / "again"))
    again = open_book(in_folder(tmp_path / "again"))
    assert again.jobs() == book.jobs()
    assert [problem.where for problem in again.check().problems] == [f"job {n}: ring.png" for n in (1, 2, 3)]


def test_a_place_with_a_book_is_left_alone(backup: Path, tmp_path: Path, open_book: OpenBook) -> None:
    with pytest.raises(ConflictError, match="there is a book already"):
        restore(backup, in_folder(tmp_path / "first"))
    assert len(open_book(in_folder(tmp_path / "first")).jobs()) == 3


@settings(deadline=None)
@given(st.data())
def test_no_flipped_bit_anywhere_in_the_file_passes(untouched_backup: tuple[Path, bytes], data: st.DataObject) -> None:
    file, content = untouched_backup
    flipped = bytearray(content)
    flipped[data.draw(st.integers(0, len(content) - 1))] ^= 1 << data.draw(st.integers(0, 7))
    file.write_bytes(flipped)
    with pytest.raises(BadInputError):
        verify(file)


def test_no_byte_of_the_table_of_contents_may_be_another(backup: Path) -> None:
    content = backup.read_bytes()
    assert verify(backup).sealed
    for place in range(content.index(b"PK\x01\x02"), len(content)):
        backup.write_bytes(content[:place] + bytes([content[place] ^ 0xFF]) + content[place + 1 :])
        with pytest.raises(BadInputError):
            verify(backup)


def test_a_damaged_attachment_of_a_backup_is_named_with_its_job(backup: Path) -> None:
    content = bytearray(backup.read_bytes())
    content[content.index(b"front ring" * 10)] ^= 1
    backup.write_bytes(content)
    with pytest.raises(BadInputError, match=r"job 3: attachment ring\.png is damaged"):
        verify(backup)


def test_a_backup_cut_short_is_refused(backup: Path) -> None:
    content = backup.read_bytes()
    for length in range(0, len(content), 41):
        backup.write_bytes(content[:length])
        with pytest.raises(BadInputError):
            verify(backup)


def test_a_damaged_backup_leaves_no_book_behind(backup: Path, tmp_path: Path) -> None:
    content = bytearray(backup.read_bytes())
    content[200] ^= 4
    backup.write_bytes(content)
    with pytest.raises(BadInputError, match=r"book\.zip"):
        restore(backup, in_folder(tmp_path / "again"))
    assert not (tmp_path / "again").exists()


@pytest.mark.parametrize("content", [b"", b"a letter", b"PK\x05\x06" + b"\0" * 18])
def test_what_is_no_backup_is_refused(tmp_path: Path, content: bytes) -> None:
    file = tmp_path / "letter.zip"
    file.write_bytes(content)
    with pytest.raises(BadInputError, match=r"letter\.zip"):
        restore(file, in_folder(tmp_path / "again"))


def rewritten(backup: Path, name: str, change: Callable[[bytes], bytes]) -> Path:
    """Write the zip file again, sound as a zip file, with one member changed."""
    target = backup.with_name("changed.zip")
    with zipfile.ZipFile(backup) as old, zipfile.ZipFile(target, "w") as new:
        for member in old.namelist():
            content = old.read(member)
            new.writestr(member, change(content) if member == name else content)
    return target


@pytest.mark.parametrize(
    ("name", "change", "said"),
    [
        ("entries.txt", lambda text: text.replace(b"bellows", b"bellowS", 1), "entry 2 is not as it was written"),
        ("entries.txt", lambda text: b"".join(text.splitlines(keepends=True)[:-1]), "missing or out of order"),
        ("entries.txt", lambda _text: b"", "missing or out of order"),
        ("backup.json", lambda text: text.replace(b'"format": 1', b'"format": 99'), "newer asfound"),
        ("backup.json", lambda _text: b"{}", "no backup of a bench book"),
        ("backup.json", lambda text: text.replace(b'attachments": [\n  "', b'attachments": [\n  "../'), "SHA-256"),
    ],
)
def test_a_changed_member_is_found(
    backup: Path, tmp_path: Path, name: str, change: Callable[[bytes], bytes], said: str
) -> None:
    with pytest.raises(BadInputError, match=said):
        restore(rewritten(backup, name, change), in_folder(tmp_path / "again"))


def test_a_file_that_is_not_there_is_said_so(tmp_path: Path) -> None:
    with pytest.raises(BadInputError, match="there is no such file"):
        restore(tmp_path / "none.zip", in_folder(tmp_path / "again"))


BESIDE = {"drawer.csv": b"name,wire\nspring of a donor,0.4\n", "notes/otter.json": b"{}\n"}


@pytest.fixture
def with_files(tmp_path: Path) -> Path:
    """Back up a book that has a drawer and service notes taken in."""
    with Book.open(in_folder(tmp_path / "first")) as book:
        fill(book)
        (book.location.folder / "notes").mkdir()
        for name, content in BESIDE.items():
            (book.location.folder / name).write_bytes(content)
        made = book.backup(tmp_path / "book.zip")
    assert [name for name, _ in made.files] == sorted(BESIDE)
    return tmp_path / "book.zip"


def test_the_drawer_and_service_notes_come_back_with_the_book(with_files: Path, location: Location) -> None:
    restore(with_files, location)
    for name, content in BESIDE.items():
        assert (location.folder / name).read_bytes() == content


def test_another_drawer_in_the_place_is_left_alone_and_nothing_is_restored(
    with_files: Path, tmp_path: Path, open_book: OpenBook
) -> None:
    (tmp_path / "again").mkdir()
    (tmp_path / "again" / "drawer.csv").write_bytes(b"mine\n")
    with pytest.raises(ConflictError, match=r"drawer\.csv"):
        restore(with_files, in_folder(tmp_path / "again"))
    assert (tmp_path / "again" / "drawer.csv").read_bytes() == b"mine\n"
    assert not (tmp_path / "again" / "notes").exists()
    assert open_book(in_folder(tmp_path / "again")).jobs() == ()


@pytest.mark.parametrize(
    ("name", "change", "said"),
    [
        ("files/drawer.csv", lambda content: content + b"more", r"drawer\.csv is damaged"),
        ("backup.json", lambda text: text.replace(b'"drawer.csv"', b'"../drawer.csv"'), "no file of a book"),
        ("backup.json", lambda text: text.replace(b"notes/otter.json", b"notes/heron.json"), "is missing"),
    ],
)
def test_a_changed_file_beside_the_book_is_found(
    with_files: Path, name: str, change: Callable[[bytes], bytes], said: str
) -> None:
    with pytest.raises(BadInputError, match=said):
        verify(rewritten(with_files, name, change))


def test_a_backup_made_before_files_were_kept_is_still_sound(backup: Path) -> None:
    def older(text: bytes) -> bytes:
        said = json.loads(text)
        del said["files"], said["sealed"]
        return json.dumps(said).encode()

    assert verify(rewritten(backup, "backup.json", older)).files == ()


def test_an_attachment_that_would_unfold_to_fill_the_disk_is_refused(backup: Path, tmp_path: Path) -> None:
    target = backup.with_name("packed.zip")
    with zipfile.ZipFile(backup) as old, zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as new:
        for member in old.namelist():
            new.writestr(member, old.read(member))
    with pytest.raises(BadInputError, match="is packed"):
        restore(target, in_folder(tmp_path / "again"))
    with Book.open(in_folder(tmp_path / "again")) as book:
        assert book.jobs() == ()
