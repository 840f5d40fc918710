"""Access, the tray, and the order of the way back, on jobs of the book."""

import uuid

import pytest

from asfound.bench.access import access_on_job, access_on_model
from asfound.bench.jobs import open_job
from asfound.bench.line import preview_line, write_line
from asfound.bench.order import keep_order, loosen, put_off, say_freed, take_order
from asfound.bench.tray import ledger_at, ledger_of, tray_of
from asfound.job import offer_of, order_taken, way_back_of
from asfound.job.bodies import Camera, PartCondition, PartOrdered, ReadingTaken, StepTaken, Tick
from asfound.job.remembering import memory_of
from asfound.problems import BadInputError, ConflictError, NotFoundError
from asfound.quantity import Reading
from asfound.report import open_items
from asfound.teardown.freeing import freed_by, just_before


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


def just_freed(job):
    """Return what each step is shown to be freed by, as numbers."""
    number = {step.id: step.number for step in job.steps}
    return {number[id_]: [number[by] for by in just] for id_, just in just_before(job.steps).items()}


def test_one_assumed_freeing_is_loosened_and_the_rest_stays_assumed(book):
    job = opened(book, off("plate"), off("ring"), off("cell"))
    plate, ring, cell = (step.id for step in job.steps)
    assert just_freed(job) == {"1": [], "2": ["1"], "3": ["2"]}
    loosen(book, job.id, cell, ring)
    job = book.job(job.id)
    assert just_freed(job) == {"1": [], "2": ["1"], "3": ["1"]}
    assert job.steps[2].assumed
    loosen(book, job.id, cell, plate)
    assert freed_by(book.job(job.id).steps)[0][cell] == frozenset()
    with pytest.raises(ConflictError, match="not assumed"):
        loosen(book, job.id, cell, plate)


def test_loosening_is_undone_by_one_strike(book):
    job = opened(book, off("plate"), off("ring"))
    loosen(book, job.id, job.steps[1].id, job.steps[0].id)
    write_line(book, job.id, "undo")
    assert just_freed(book.job(job.id)) == {"1": [], "2": ["1"]}


def test_what_freed_a_step_is_said_on_the_line_and_a_circle_is_named(book):
    job = opened(book, off("plate"), off("ring"), off("cell"))
    write_line(book, job.id, "freed 3 by 1")
    assert just_freed(book.job(job.id))["3"] == ["1"]
    with pytest.raises(BadInputError, match="plate waits for itself: 1 freed by 3 freed by 1"):
        write_line(book, job.id, "freed 1 by 3")


def test_an_order_that_cannot_be_is_refused_with_the_two_parts(book):
    job = opened(book, off("plate"), off("ring"), off("cell", freed_by=()))
    with pytest.raises(BadInputError, match="1 plate freed 2 ring: it cannot go back first"):
        write_line(book, job.id, "way back 1 2 3")
    with pytest.raises(BadInputError, match="2 ring would be put back twice"):
        write_line(book, job.id, "way back 2 2 1")
    write_line(book, job.id, "way back 2 1 3")
    assert [back.step.part for back in way_back_of(book.job(job.id)).steps] == ["ring", "plate", "cell"]


def test_the_order_worked_by_is_kept_from_the_first_step_on_whatever_waits_later(book):
    job = opened(book, off("plate", freed_by=()), off("ring", freed_by=()), off("cell", freed_by=()))
    keep_order(book, job.id)
    book.write(job.id, [Tick(step=job.steps[2].id)])
    book.write(job.id, [PartCondition(part="ring", condition="soaking")])
    assert [back.step.part for back in way_back_of(book.job(job.id)).steps] == ["cell", "ring", "plate"]


def gap(value, stage="as found", **more):
    return ReadingTaken(
        quantity="gap", reading=Reading(value=value, unit="mm"), stage=stage, depends_on=("ring",), restore=True, **more
    )


def test_a_check_is_put_off_by_one_word_and_the_handover_asks_for_it(book):
    job = opened(book, off("plate"), off("ring"), gap(0.3))
    assert memory_of(job).due == ()
    job_id = job.id
    book.write(job_id, [Tick(step=job.steps[1].id)])
    assert memory_of(book.job(job_id)).due == ("gap",)
    write_line(book, job_id, "later")
    assert memory_of(book.job(job_id)).due == ()
    assert "gap not restored, put off" in open_items(book.job(job_id))
    book.write(job_id, [gap(0.3, "as left")])
    assert not any(item.startswith("gap") for item in open_items(book.job(job_id)))


def test_what_the_way_back_does_not_ask_for_cannot_be_put_off(book):
    job = opened(book, off("ring"), gap(0.3))
    with pytest.raises(NotFoundError, match="did you mean 'gap'"):
        put_off(book, job.id, "gapp")
    assert put_off(book, job.id, "GAP").body.what == "gap"


def test_the_line_tells_of_a_part_off_twice_or_put_back_that_is_not_off(book):
    job = opened(book, off("plate"), off("ring"), back("ring"))
    for line, told in (
        ("off plate", "plate is off already, step 1"),
        ("back ring", "ring is back already; put back twice?"),
        ("back plat", "did you mean plate?"),
    ):
        assert told in " ".join(preview_line(job, line).hints)


def test_a_reading_at_the_line_is_held_against_the_other_cameras(book):
    for value in (0.30, 0.31, 0.29):
        opened(book, off("ring"), gap(value))
    job = opened(book, off("ring"))
    (told,) = preview_line(job, "gap 0.31", book=book).hints
    assert told.startswith("elsewhere: gap: 0.30")
    (told,) = preview_line(job, "gap 0.9", book=book).hints
    assert told.startswith("look again: 0.9 mm lies outside what other cameras had")
    assert write_line(book, job.id, "gap 0.9").understood.hints == (told,)


def test_the_only_camera_of_its_model_is_held_against_none(book):
    job = opened(book, off("ring"), gap(0.3))
    assert preview_line(job, "gap 0.9", book=book).hints == ()


def test_the_line_warns_of_oil_near_blades_and_of_a_helical_left_dry(book):
    job = opened(book, off("iris blades"), off("helical"))
    (told,) = preview_line(job, "lubricated iris blades with oil").hints
    assert "oil creeps between blades" in told
    (told,) = preview_line(job, "dry helical").hints
    assert "a helical runs greased" in told
    assert preview_line(job, "lubricated helical with grease").hints == ()
