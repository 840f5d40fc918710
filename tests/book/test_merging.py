"""Two benches' entries come together: once each, in any order, or not at all."""

import random
import secrets
from collections.abc import Callable, Iterator
from pathlib import Path
from uuid import UUID

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from asfound.book import Book, Stored, in_folder
from asfound.job import canonical_bytes, entry_hash
from asfound.job.bodies import Attached, Camera, Note, PartCondition, Photo, Restored, Struck
from asfound.problems import BadInputError, ConflictError

OTTER = Camera(model="Otter 6x9")
OpenBook = Callable[..., Book]


@pytest.fixture
def elsewhere(open_book: OpenBook, tmp_path: Path) -> Book:
    return open_book(in_folder(tmp_path / "elsewhere"))


def a_job(book: Book) -> UUID:
    job = book.open_job(OTTER, complaint="sticks")[0].job
    book.write(job, [Note(text="at home"), PartCondition(part="retard train", condition="dirty")])
    return job


def test_a_job_merged_elsewhere_folds_the_same(book: Book, elsewhere: Book) -> None:
    job = a_job(elsewhere)
    merged = book.merge(elsewhere.stored(job))
    assert (len(merged.added), merged.known, merged.jobs) == (3, 0, (job,))
    assert book.job(job) == elsewhere.job(job)
    assert book.line(job) == elsewhere.line(job)


def test_the_same_entries_twice_change_nothing(book: Book, elsewhere: Book) -> None:
    job = a_job(elsewhere)
    book.merge(elsewhere.stored(job))
    merged = book.merge([*elsewhere.stored(job), *elsewhere.stored(job)])
    assert (merged.added, merged.known, merged.jobs) == ((), 3, ())
    assert len(book.entries(job)) == 3
    assert len(book.search("home")) == 1


def test_a_bench_goes_on_after_what_it_merged(elsewhere: Book, open_book: OpenBook, tmp_path: Path) -> None:
    job = a_job(elsewhere)
    slow = open_book(in_folder(tmp_path / "slow"), clock=lambda: 1)
    slow.merge(elsewhere.stored(job))
    written = slow.write(job, [Note(text="at the other bench")])
    assert slow.entries(job)[-1] == written[0]
    assert written[0].sequence == 1
    assert written[0].previous is None


def test_a_changed_byte_is_refused_and_nothing_taken_in(book: Book, elsewhere: Book) -> None:
    stored = list(elsewhere.stored(a_job(elsewhere)))
    stored[1] = stored[1]._replace(content=stored[1].content.replace(b"at home", b"at tome"))
    with pytest.raises(BadInputError, match="not as it was written"):
        book.merge(stored)
    assert book.jobs() == ()


def forged(book: Book, job: UUID, number: int, **changes: object) -> Stored:
    content = canonical_bytes(book.entries(job)[number].model_copy(update=changes))
    return Stored(entry_hash(content), content)


def test_an_entry_that_differs_from_the_one_in_the_book_is_refused(book: Book, elsewhere: Book) -> None:
    job = a_job(elsewhere)
    book.merge(elsewhere.stored(job))
    with pytest.raises(ConflictError, match="differs"):
        book.merge([forged(elsewhere, job, 1, body=Note(text="something else"))])
    assert book.job(job) == elsewhere.job(job)


def test_a_place_that_is_taken_is_refused(book: Book, elsewhere: Book) -> None:
    job = a_job(elsewhere)
    book.merge(elsewhere.stored(job))
    with pytest.raises(ConflictError, match="has the place"):
        book.merge([forged(elsewhere, job, 1, id=UUID(int=7))])


@pytest.mark.parametrize("lost", [0, 1])
def test_a_missing_entry_is_noticed(book: Book, elsewhere: Book, lost: int) -> None:
    stored = list(elsewhere.stored(a_job(elsewhere)))
    del stored[lost]
    with pytest.raises(ConflictError, match="follows one that is not there"):
        book.merge(stored)
    assert book.jobs() == ()


def test_entries_of_a_job_that_nothing_opens_are_refused(
    book: Book, elsewhere: Book, open_book: OpenBook, tmp_path: Path
) -> None:
    job = a_job(elsewhere)
    third = open_book(in_folder(tmp_path / "third"))
    third.merge(elsewhere.stored(job))
    third.write(job, [Note(text="mine alone")])
    with pytest.raises(ConflictError, match="nothing opens"):
        book.merge(third.stored(job)[-1:] if third.origin > elsewhere.origin else third.stored(job)[:1])
    assert book.check().entries == 0


def test_a_cited_file_must_be_there_first(book: Book, elsewhere: Book, tmp_path: Path) -> None:
    picture = tmp_path / "ring.png"
    picture.write_bytes(b"front ring")
    attached = elsewhere.attach(picture, name="ring.png", media_type="image/png")
    job = a_job(elsewhere)
    elsewhere.write(job, [Photo(attachment=attached)])
    with pytest.raises(ConflictError, match="attach the file first"):
        book.merge(elsewhere.stored(job))
    assert isinstance(book.attach(picture, name="ring.png", media_type="image/png"), Attached)
    book.merge(elsewhere.stored(job))
    assert book.job(job) == elsewhere.job(job)


# What a bench does next: write a note, a condition, strike or restore one of the entries it knows.
DEED = st.tuples(st.sampled_from(["note", "condition", "strike", "restore"]), st.integers(0, 20))


def do(book: Book, job: UUID, deed: tuple[str, int]) -> None:
    what, number = deed
    entries = book.entries(job)
    meant = entries[number % len(entries)].id
    bodies = {
        "note": Note(text=f"note {number}"),
        "condition": PartCondition(part="pallet", condition="dry" if number % 2 else "dirty"),
        "strike": Struck(entry=meant),
        "restore": Restored(entry=meant),
    }
    book.write(job, [bodies[what]])


@pytest.fixture(scope="module")
def benches(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Book, Book, Book]]:
    """Give three benches, one of them with a clock that is years behind."""
    folder = tmp_path_factory.mktemp("benches")
    with (
        Book.open(in_folder(folder / "home")) as home,
        Book.open(in_folder(folder / "away"), clock=lambda: 1_000) as away,
        Book.open(in_folder(folder / "third")) as third,
    ):
        yield home, away, third


@settings(max_examples=25, deadline=None)
@given(at_home=st.lists(DEED, max_size=5), at_other=st.lists(DEED, max_size=5), seed=st.integers(0, 1000))
def test_two_benches_on_one_job_merge_to_the_same_fold_in_either_order(
    benches: tuple[Book, Book, Book], at_home: list[tuple[str, int]], at_other: list[tuple[str, int]], seed: int
) -> None:
    home, away, third = benches
    job = home.open_job(OTTER, ticket=secrets.token_hex(6), more=[Note(text="begun")])[0].job
    away.merge(home.stored(job))
    for deed in at_home:
        do(home, job, deed)
    for deed in at_other:
        do(away, job, deed)
    mine, theirs = home.stored(job), away.stored(job)
    shuffled = [*mine, *theirs]
    random.Random(seed).shuffle(shuffled)
    for book, arriving in ((home, theirs), (away, mine), (third, shuffled)):
        book.merge(arriving)
    assert home.job(job) == away.job(job) == third.job(job)
    assert home.line(job) == away.line(job) == third.line(job)
    assert {len(book.entries(job)) for book in benches} == {2 + len(at_home) + len(at_other)}
