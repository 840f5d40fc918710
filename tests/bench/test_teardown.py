"""Access, the tray, and the order of the way back, on jobs of the book."""

import uuid

import pytest

from asfound.bench.access import access_on_job, access_on_model
from asfound.bench.jobs import open_job
from asfound.bench.order import say_freed, take_order
from asfound.bench.tray import ledger_at, ledger_of, tray_of
from asfound.job import offer_of, order_taken, way_back_of
from asfound.job.bodies import Camera, PartCondition, PartOrdered, StepTaken
from asfound.problems import BadInputError, ConflictError, NotFoundError


def opened(book, *bodies):
    job = open_job(book, camera=Camera(model="Otter"))
    book.write(job.id, list(bodies))
    return book.job(job.id)


def off(part, **more):
    return StepTaken(action="off", part=part, **more)


def back(part):
    return StepTaken(action="back", part=part)


def test_access_needs_what_came_off_before_and_is_back_on(book):
    job = opened(book, off("plate"), off("ring"), off("cell"), back("cell"), back("ring"))
    found = access_on_job(book, job.ticket, ["CELL"])
    assert [step.part for step in found.access.steps] == ["ring", "cell"]
    assert (found.targets, found.rests_on) == (("cell",), f"job {job.ticket}")


def test_what_was_never_off_in_the_job_is_looked_for_in_the_notes_of_its_model(book):
    opened(book, off("plate"), off("ring"))
    job = opened(book, off("plate"))
    found = access_on_job(book, job.ticket, ["ring"])
    assert [step.part for step in found.access.steps] == ["ring"]
    assert "notes of 1 other Otter" in found.rests_on


def test_the_easier_of_two_ways_seen_on_two_cameras_is_taken(book):
    for early in (("plate", "ring"), ("screw",)):
        job = opened(book, *map(off, early))
        book.write(job.id, [off("lid", freed_by=tuple(step.id for step in job.steps))])
    assert [step.part for step in access_on_model(book, "otter", ["lid"]).access.steps] == ["screw", "lid"]


def test_an_unknown_part_is_told_with_the_nearest(book):
    job = opened(book, off("name ring"))
    with pytest.raises(NotFoundError, match="did you mean 'name ring'"):
        access_on_job(book, job.ticket, ["nmae ring"])


def test_a_part_on_order_waits_and_one_lost_is_missing(book):
    job = opened(book, off("ring", lies="A1"), off("pin", lies="A2"), PartOrdered(part="ring"))
    assert ledger_of(job).counts(fasteners=False) == {"tray": 1, "camera": 0, "waiting": 1, "missing": 0}
    book.write(job.id, [PartCondition(part="pin", condition="lost")])
    assert ledger_of(book.job(job.id)).counts(fasteners=False)["missing"] == 1


def test_every_part_is_accounted_for_after_every_entry(practice_book):
    job = practice_book.job(practice_book.resolve("1"))
    parts = 0
    for number in range(1, len(job.entries) + 1):
        account = ledger_at(practice_book, job.id, number)
        now = sum(account.counts(fasteners=False).values())
        assert now >= parts
        parts = now
    assert parts == len(job.steps)


def test_the_map_of_the_tray_has_a_place_for_all_that_is_off(practice_book):
    job = practice_book.job(practice_book.resolve("1"))
    tray = tray_of(job)
    lying = [row for cell in tray.cells for row in cell.rows] + list(tray.nowhere)
    lying += [row for _, rows in tray.elsewhere for row in rows]
    assert sum(not row.fastener for row in lying) == sum(s.action != "slackened" and not s.back for s in job.steps)


def test_an_entry_that_is_not_there_is_told(book):
    job = opened(book)
    with pytest.raises(NotFoundError, match="there is no entry 5"):
        ledger_at(book, job.id, 5)


def three_pieces(book):
    """Return a job where the reverse order changes tools twice and another only once."""
    pieces = (("first", "fine blade"), ("second", "spanner"), ("third", "fine blade"))
    return opened(book, *(off(part, tool=tool, freed_by=()) for part, tool in pieces))


def test_a_better_order_is_kept_by_the_book_and_shown_from_then_on(book):
    job = three_pieces(book)
    offer = offer_of(job)
    assert offer.better
    taken = take_order(book, job.id)
    assert [back.step for back in way_back_of(taken).steps] == list(offer.order)
    assert order_taken(book.job(job.id)) == tuple(step.id for step in offer.order)
    with pytest.raises(ConflictError, match="no order better"):
        take_order(book, job.id)


def test_what_freed_a_step_is_said_later_and_loosens_the_order(book):
    job = opened(book, off("plate"), off("ring"), off("finder"))
    plate, ring, finder = job.steps
    assert finder.assumed
    say_freed(book, job.id, finder.id, [plate.id])
    loosened = book.job(job.id).steps[2]
    assert (loosened.assumed, loosened.freed_by) == (False, frozenset({plate.id}))
    with pytest.raises(BadInputError, match=r"did not come before|waits for itself"):
        say_freed(book, job.id, ring.id, [finder.id])
    with pytest.raises(NotFoundError, match="no such step"):
        say_freed(book, job.id, ring.id, [uuid.UUID(int=1)])
