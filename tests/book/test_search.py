"""Search finds the same on either store."""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from asfound.book import Book
from asfound.book.words import words
from asfound.job.bodies import Camera, Fault, Note, Struck


def texts(book: Book, wanted: str) -> list[str]:
    return [hit.text for hit in book.search(wanted)]


@pytest.fixture
def shelf(book: Book) -> Book:
    job = book.open_job(Camera(maker="Fennimore", model="Otter 6x9"), complaint="Verschluß klemmt")[0].job
    book.write(job, [Note(text="Helical: 0.04 mm off, lens à baïonnette"), Note(text="helical greased")])
    book.write(job, [Fault(fault="retard train gummed", text="held with O'Brien's \"wax\" & more:*")])
    return book


@pytest.mark.parametrize("wanted", ["helical", "HELIC", "hel gre", "greased, helical!"])
def test_words_are_found_by_their_beginnings_in_any_order_and_case(shelf: Book, wanted: str) -> None:
    assert "helical greased" in texts(shelf, wanted)


@pytest.mark.parametrize("wanted", ["a baionnette", "0.04 mm", "verschluss klemmt", "o'brien's wax", "more:*", "6x9"])
def test_accents_and_marks_do_not_matter(shelf: Book, wanted: str) -> None:
    assert len(texts(shelf, wanted)) == 1


@pytest.mark.parametrize("wanted", ["", "   ", "*", "'", '"', "elical", "helical bellows", "NOT", "helical OR zzz"])
def test_what_is_not_there_is_not_found(shelf: Book, wanted: str) -> None:
    assert texts(shelf, wanted) == []


def test_the_last_written_comes_first_and_the_limit_holds(shelf: Book) -> None:
    assert texts(shelf, "helical")[0] == "helical greased"
    assert len(shelf.search("helical", limit=1)) == 1


def test_a_hit_leads_to_its_entry(shelf: Book) -> None:
    hit = shelf.search("gummed")[0]
    entry = next(e for e in shelf.entries(hit.job) if e.id == hit.entry)
    assert (hit.kind, hit.wall_ms) == ("fault", entry.clock.wall_ms)
    assert shelf.line(hit.job).camera == "Fennimore Otter 6x9"


def test_a_struck_entry_can_still_be_found(shelf: Book) -> None:
    hit = shelf.search("gummed")[0]
    shelf.write(hit.job, [Struck(entry=hit.entry, reason="mistaken")])
    assert shelf.search("gummed")[0].entry == hit.entry


def test_a_character_that_no_text_should_hold_is_kept_and_does_no_harm(book: Book) -> None:
    job = book.open_job(Camera(model="Otter"), ticket="no\0ise")[0].job
    written = book.write(job, [Note(text="lens\0cell")])[0]
    assert book.entries(job)[-1] == written
    assert book.resolve("no\0ise") == job
    assert book.search("lens")[0].entry == book.search("cell")[0].entry == written.id


def test_names_of_kinds_are_not_words(shelf: Book) -> None:
    assert texts(shelf, "observed") == []


@settings(max_examples=50)
@given(st.text(max_size=60))
def test_words_are_made_once(text: str) -> None:
    assert words(" ".join(words(text))) == words(text)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(text=st.text(max_size=60))
def test_no_text_breaks_a_search_and_every_text_is_found_by_itself(book: Book, text: str) -> None:
    job = book.jobs()[0].id if book.jobs() else book.open_job(Camera(model="Otter"))[0].job
    written = book.write(job, [Note(text=text)])[0]
    found = [hit.entry for hit in book.search(text)]
    assert (written.id in found) == bool(words(text))
