"""The written estimate and the account, read back by an independent reader."""

import datetime
import io
from uuid import UUID

import pytest
from pypdf import PdfReader

from asfound.job.bodies import Account, Camera, CostLine, Estimate, Opened
from asfound.job.clock import Stamp
from asfound.job.entry import Entry
from asfound.job.fold import fold
from asfound.report.costs import account_paper, account_pdf, estimate_pdf

FELT = CostLine(what="felt strip", count="2", price="1.5")


def estimate(**more):
    told = {"low_minutes": 60, "likely_minutes": 90, "high_minutes": 180, "basis": "3 cameras of this model"}
    return Estimate(**{**told, "per_hour": "48.00", "currency": "EUR", "lines": (FELT,), **more})


@pytest.fixture
def job():
    camera = Camera(maker="Παράδειγμα", model="Otter")
    opened = Opened(ticket="12", camera=camera, complaint="the front wobbles")
    entry = Entry(
        id=UUID(int=1), origin="a", sequence=1, previous=None, clock=Stamp(0, 0), job=UUID(int=2), body=opened
    )
    return fold([entry])


def words(pdf):
    return " ".join(" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(pdf)).pages)


def test_the_estimate_says_sums_times_and_until_when_it_holds(job):
    text = words(estimate_pdf(job, estimate(holds_until=datetime.date(2026, 12, 24)), as_of="today"))
    for said in ("Estimate", "Παράδειγμα Otter", "the front wobbles", "Work, 1 h 30 min", "48.00 an hour", "72.00",
                 "felt strip", "1.50", "3.00", "75.00", "51.00", "147.00", "between 1 h and 3 h", "3 cameras",
                 "24 December 2026", "EUR"):  # fmt: skip
        assert said in text


def test_an_estimate_without_a_spread_tells_none(job):
    same = dict.fromkeys(("low_minutes", "likely_minutes", "high_minutes"), 60)
    text = words(estimate_pdf(job, estimate(**same), as_of="today"))
    assert "at most" not in text
    assert "between" not in text


@pytest.mark.parametrize(
    ("minutes", "said"), [(90, "this is within it"), (240, "48.00 EUR above its most"), (10, "below its least")]
)
def test_the_account_is_held_against_the_estimate(job, minutes, said):
    made = Account(minutes=minutes, per_hour="48.00", currency="EUR", lines=(FELT,))
    assert said in " ".join(account_paper(job, made, estimate(), as_of="today").remarks)
    assert "Account" in words(account_pdf(job, made, estimate(), as_of="today"))


def test_a_hundred_lines_and_long_names_run_over_the_page(job):
    lines = tuple(CostLine(what=f"part {n} " + "of a very long name " * 6, price="1.00") for n in range(100))
    pdf = estimate_pdf(job, estimate(lines=lines), as_of="today")
    assert len(PdfReader(io.BytesIO(pdf)).pages) > 2
    assert "part 99" in words(pdf)
