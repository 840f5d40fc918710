"""The store, on SQLite and on PostgreSQL alike."""

import threading
from collections.abc import Callable
from uuid import UUID, uuid4

import pytest
from uuid_utils.compat import uuid7

from asfound.book import Book, Location
from asfound.job import canonical_bytes, entry_hash, fold, summary
from asfound.job.bodies import Camera, Fault, HandedOver, Note, Opened, ReadingTaken, StepTaken, Struck
from asfound.job.observing import observe
from asfound.problems import ConflictError, NotFoundError
from asfound.quantity import Reading

OTTER = Camera(maker="Fennimore", model="Otter 6x9", serial="20417")
OpenBook = Callable[..., Book]


def notes(*texts: str) -> list[Note]:
    return [Note(text=text) for text in texts]


def opened(book: Book, **options: object) -> UUID:
    return book.open_job(OTTER, **options)[0].job  # type: ignore[arg-type]


def test_what_was_written_is_read_back_by_another_program(book: Book, location: Location, open_book: OpenBook) -> None:
    job = opened(book, complaint="slow speeds stick")
    written = book.write(job, notes("door stiff", "bellows sound"))
    assert open_book(location).entries(job)[1:] == written


def test_a_bench_numbers_its_entries_without_gaps_over_all_jobs(book: Book) -> None:
    first, second = opened(book), opened(book)
    book.write(first, notes("a", "b"))
    book.write(second, notes("c"))
    numbers = sorted(e.sequence for job in (first, second) for e in book.entries(job))
    assert numbers == [1, 2, 3, 4, 5]


def test_each_entry_carries_the_hash_of_the_one_before_it_in_its_job(book: Book) -> None:
    first, second = opened(book), opened(book)
    book.write(first, notes("a"))
    book.write(second, notes("b"))
    book.write(first, notes("c"))
    entries = book.entries(first)
    assert [e.previous for e in entries] == [None, *(entry_hash(canonical_bytes(e)) for e in entries[:-1])]


def test_ids_are_of_version_seven_and_never_repeat(book: Book) -> None:
    job = opened(book)
    book.write(job, notes(*"abcdef"))
    ids = [e.id for e in book.entries(job)]
    assert {id_.version for id_ in ids} == {7}
    assert len(set(ids)) == 7


def test_a_clock_set_back_does_not_reorder_entries(location: Location, open_book: OpenBook) -> None:
    job = opened(open_book(location, clock=lambda: 2_000_000))
    book = open_book(location, clock=lambda: 1_000_000)
    book.write(job, notes("later"))
    opening, note = book.entries(job)
    assert note.clock > opening.clock
    assert note.clock.wall_ms == 2_000_000


def test_entries_of_one_millisecond_keep_their_order(location: Location, open_book: OpenBook) -> None:
    book = open_book(location, clock=lambda: 5)
    job = opened(book)
    book.write(job, notes("one", "two", "three"))
    assert [e.clock.counter for e in book.entries(job)] == [0, 1, 2, 3]


def test_a_write_is_whole_or_nothing(book: Book) -> None:
    job = opened(book, ticket="7")
    with pytest.raises(ConflictError, match="ticket 7"):
        book.write(job, [Note(text="before"), Opened(ticket="7", camera=OTTER)])
    assert len(book.entries(job)) == 1
    assert book.search("before") == ()


def test_a_fold_that_fails_leaves_the_book_as_it_was(book: Book) -> None:
    with pytest.raises(NotFoundError):
        book.write(uuid7(), notes("nothing opens this"), expect_new=True)
    assert book.jobs() == ()
    assert book.check().entries == 0


def test_writing_to_a_job_that_is_not_there_is_refused(book: Book) -> None:
    with pytest.raises(NotFoundError):
        book.write(uuid4(), notes("lost"))


def test_a_new_job_must_be_new(book: Book) -> None:
    job = opened(book)
    with pytest.raises(ConflictError):
        book.write(job, [Opened(ticket="other", camera=OTTER)], expect_new=True)


def test_writing_nothing_writes_nothing(book: Book) -> None:
    assert book.write(uuid4(), []) == ()


def test_tickets_count_up_from_the_highest_number(book: Book) -> None:
    assert book.next_ticket() == "1"
    opened(book)
    opened(book, ticket="41")
    opened(book, ticket="Mill Lane 3")
    assert book.next_ticket() == "42"
    assert book.job(opened(book)).ticket == "42"


def test_a_ticket_is_given_once_whatever_its_case(book: Book) -> None:
    opened(book, ticket="Mill Lane")
    with pytest.raises(ConflictError, match="take 1"):
        opened(book, ticket="mill  lane")


def test_the_list_says_of_each_job_what_its_fold_says(book: Book) -> None:
    older, newer = opened(book, complaint="sticks"), opened(book)
    book.write(older, [Fault(fault="retard train gummed")])
    lines = book.jobs()
    assert [line.id for line in lines] == [older, newer]
    assert lines[0].summary == summary(fold(book.entries(older)))
    assert (lines[0].ticket, lines[0].complaint, lines[0].entries) == ("1", "sticks", 2)
    assert lines[0] == book.line(older)


def test_the_list_can_leave_out_what_was_handed_over(book: Book) -> None:
    gone, here = opened(book), opened(book)
    book.write(gone, [HandedOver(text="collected")])
    assert [line.id for line in book.jobs(handed_over=False)] == [here]
    assert len(book.jobs(limit=1)) == 1


def test_a_job_is_folded_again_after_another_program_wrote(book: Book, location: Location, open_book: OpenBook) -> None:
    job = opened(book)
    assert book.job(job) is book.job(job)
    written = open_book(location).write(job, notes("from elsewhere"))
    assert book.job(job).entries[-1] == written[0]


def test_a_struck_entry_stays_in_the_book(book: Book) -> None:
    job = opened(book)
    wrong = book.write(job, notes("wrong camera"))[0]
    book.write(job, [Struck(entry=wrong.id)])
    assert wrong in book.entries(job)
    assert wrong.id in book.job(job).struck


def test_a_job_that_is_not_there_is_said_so(book: Book) -> None:
    for ask in (book.job, book.line):
        with pytest.raises(NotFoundError):
            ask(uuid4())
    assert book.entries(uuid4()) == ()


def test_many_threads_lose_and_double_nothing(book: Book) -> None:
    job = opened(book)
    threads = [
        threading.Thread(target=lambda n=n: [book.write(job, notes(f"{n}-{i}")) for i in range(5)]) for n in range(4)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [e.sequence for e in book.entries(job)] == list(range(1, 22))
    assert book.check().problems == ()


def test_the_list_is_asked_for_by_model_and_standing(book: Book) -> None:
    first, other = (book.open_job(Camera(model=model))[0].job for model in ("Otter  Six", "Heron"))
    second = book.open_job(Camera(model="otter six"))[0].job
    book.write(second, [HandedOver()])
    assert {line.id for line in book.jobs(model="OTTER six")} == {first, second}
    assert [line.id for line in book.jobs(model="otter six", handed_over=True)] == [second]
    assert book.number_gone() == 1
    assert book.last_touched(model="Otter Six", without=first) == book.line(second).touched_ms
    assert book.last_touched(model="heron", without=other) == 0


def test_what_a_camera_tells_of_its_model_is_kept_as_its_job_tells_it(book: Book) -> None:
    height = ReadingTaken(quantity="height", place="3 o'clock", reading=Reading(value=0.35, unit="mm"))
    off = StepTaken(action="off", part="front ring", note="No. 4711 is on its back")
    camera = Camera(model="Otter", serial="4711")
    job = book.open_job(camera, more=[off, height, Fault(stage="observed", fault="drags")])[0].job
    assert book.cameras_seen(model=" OTTER") == (observe(book.job(job)),)
    book.write(job, [Struck(entry=book.job(job).readings[0].entry)])
    (seen,) = book.cameras_seen(model="Otter")
    assert seen == observe(book.job(job))
    assert (seen.readings, seen.steps[0].note) == ((), "No. … is on its back")
    assert not book.cameras_seen(model="Otter", without=job)
    assert not book.cameras_seen(model="Heron")
