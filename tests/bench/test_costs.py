"""An estimate rests on the model's other cameras; rate and prices are the user's, kept beside the book."""

from decimal import Decimal

import pytest

from asfound.bench.costs import (
    HOUR,
    PRICES_FILE,
    account_paper,
    print_lines,
    propose_account,
    propose_estimate,
    read_lines,
    read_minutes,
    read_price,
    read_prices,
    set_prices,
    write_account,
    write_estimate,
)
from asfound.bench.jobs import open_job
from asfound.job.bodies import Account, Camera, CostLine, Estimate, HandedOver, Note, PartOrdered, StepTaken
from asfound.problems import BadInputError, NotFoundError


@pytest.fixture
def clock():
    """Give a clock that a test sets, in milliseconds."""
    return {"ms": 1_700_000_000_000}


@pytest.fixture
def timed_book(location, open_book, clock):
    return open_book(location, clock=lambda: clock["ms"])


def repaired(book, clock, minutes, *parts, over=True):
    """Write a repair of so many minutes that sent for these parts; return the job."""
    job = open_job(book, camera=Camera(model="Otter"))
    bodies = [*(PartOrdered(part=part) for part in parts), StepTaken(action="off", part="plate")]
    for body in bodies:
        clock["ms"] += round(minutes * 60_000 / (len(bodies) + 1))
        book.write(job.id, [body])
    clock["ms"] += round(minutes * 60_000 / (len(bodies) + 1))
    book.write(job.id, [HandedOver()] if over else [Note(text="to go on")])
    return book.job(job.id)


def test_an_estimate_begins_with_what_other_cameras_took_and_needed(timed_book, clock):
    for minutes in (60, 80, 70):
        repaired(timed_book, clock, minutes, "bellows")
    repaired(timed_book, clock, 70, "blade")
    found = propose_estimate(timed_book, open_job(timed_book, camera=Camera(model="otter")))
    assert found.work is not None
    assert found.work.cameras == 4
    assert found.work.likely_minutes == pytest.approx((60 * 80 * 70 * 70) ** 0.25)
    assert [line.what for line in found.lines] == ["bellows"]
    assert found.seldom == (("blade", 1),)
    assert "4 cameras of this model, whole repairs" in found.basis


def test_without_a_finished_repair_taking_apart_is_counted_twice_and_said_to_be(timed_book, clock):
    repaired(timed_book, clock, 60, over=False)
    found = propose_estimate(timed_book, open_job(timed_book, camera=Camera(model="Otter")))
    assert found.work is not None
    assert found.work.likely_minutes == pytest.approx(2 * 30)
    assert "as long again for putting back" in found.basis


def test_a_camera_nobody_had_is_estimated_from_experience(book):
    found = propose_estimate(book, open_job(book, camera=Camera(model="Heron")))
    assert found.work is None
    assert found.basis == "experience; no other Heron was timed"


def test_rate_and_prices_of_one_estimate_are_those_of_the_next(book):
    job = open_job(book, camera=Camera(model="Otter"))
    felt = CostLine(what="felt strip", count=Decimal(2), price=Decimal("1.50"))
    estimate = Estimate(
        low_minutes=60, likely_minutes=60, high_minutes=60, basis="", per_hour="48.00", currency="EUR", lines=(felt,)
    )
    write_estimate(book, job, estimate)
    known = read_prices(book)
    assert (known.currency, known.per_hour) == ("EUR", Decimal("48.00"))
    book.write(job.id, [PartOrdered(part="Felt strip"), PartOrdered(part="bellows")])
    (_, bellows) = lines = propose_account(book, book.job(job.id)).lines
    assert lines[0] == felt
    assert (bellows.what, bellows.price) == ("bellows", 0)


def test_an_account_is_kept_as_written_and_typeset(book):
    job = open_job(book, camera=Camera(model="Otter"))
    with pytest.raises(NotFoundError, match="has none"):
        account_paper(job)
    body = Account(minutes=90, per_hour="48.00", currency="EUR", lines=(CostLine(what="felt", price="1.50"),))
    write_account(book, job, body)
    assert book.job(job.id).live[-1].body == body
    assert account_paper(book.job(job.id)).startswith(b"%PDF")


def test_prices_in_two_currencies_are_refused_with_their_names(book):
    set_prices(book, {HOUR: Decimal(48)}, currency="EUR")
    file = book.location.folder / PRICES_FILE
    file.write_text(file.read_text() + "felt,2.50,CHF\n")
    with pytest.raises(BadInputError, match="CHF, EUR"):
        read_prices(book)


@pytest.mark.parametrize("line", ["felt,much,EUR", "felt,-1,EUR", "felt,1", ",1,EUR", "felt,1,"])
def test_a_price_that_cannot_be_read_is_told_with_its_line(book, line):
    (book.location.folder / PRICES_FILE).write_text(f"what,price,currency\n{line}\n")
    with pytest.raises(BadInputError, match=r"prices.csv, line 2"):
        read_prices(book)


def test_lines_of_parts_are_read_back_as_printed():
    lines = read_lines('felt strip, 2, 1.50\n"bellows, front", 38.00\n\n')
    assert [(line.what, line.count, line.price) for line in lines] == [
        ("felt strip", 2, Decimal("1.50")),
        ("bellows, front", 1, Decimal("38.00")),
    ]
    assert read_lines(print_lines(lines)) == lines


@pytest.mark.parametrize("text", ["felt", "felt, some", "felt, 1, 2, 3", ", 2, 1", "felt, 0, 2", "felt, 1, -2"])
def test_a_line_of_parts_that_cannot_be_read_is_told_with_its_number(text):
    with pytest.raises(BadInputError, match="lines, line 2"):
        read_lines(f"blade, 1, 3\n{text}")


@pytest.mark.parametrize(
    ("text", "minutes"), [("210", 210), ("3 h 30 min", 210), ("3.5 h", 210), ("3,5h", 210), ("45 min", 45)]
)
def test_times_of_work_are_read_as_people_write_them(text, minutes):
    assert read_minutes(text, where="likely") == minutes


@pytest.mark.parametrize("text", ["", "soon", "-3", "3 h 30 s", "99999999 h"])
def test_what_is_no_time_of_work_is_refused(text):
    with pytest.raises(BadInputError, match="likely"):
        read_minutes(text, where="likely")


@pytest.mark.parametrize("text", ["", "-1", "NaN", "1e12", "1.23456", "infinity", "much"])
def test_what_is_no_price_is_refused(text):
    with pytest.raises(BadInputError, match="per_hour"):
        read_price(text, where="per_hour")
