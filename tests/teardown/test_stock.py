"""Screws, felt and donors in the drawer, and which screws would do for one that is lost."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfound.problems import BadInputError
from asfound.teardown.fastener import FastenerGroup
from asfound.teardown.stock import (
    NEAR_MM,
    StockScrew,
    fewer,
    fitting_screws,
    read_donor,
    read_felt,
    read_screw,
    screw_cells,
)


def screw(thread="M1.4", length="2.5", head="cheese", drive="slot", count="6", **more):
    return read_screw({"thread": thread, "length": length, "head": head, "drive": drive, "count": count, **more})


WANTED = FastenerGroup(thread="M1.4", length_mm=2.5, head="cheese", drive="slot")


def test_a_screw_of_the_same_thread_length_and_head_is_alike():
    (fit,) = fitting_screws([screw()], WANTED)
    assert fit.but == ()


@pytest.mark.parametrize("thread", ["M1.4", "m 1,4", "1.4", "M1.4 x 0.3"])
def test_a_thread_is_the_same_however_it_is_written(thread):
    assert len(fitting_screws([screw(thread)], WANTED)) == 1


def test_another_thread_is_never_offered_and_none_is_guessed():
    assert fitting_screws([screw("M1.6"), screw("14 BA")], WANTED) == ()
    assert fitting_screws([screw()], FastenerGroup(length_mm=2.5)) == ()


def test_a_longer_screw_is_offered_with_a_warning_and_one_much_longer_not_at_all():
    (fit,) = fitting_screws([screw(length="2.8"), screw(length="3.2")], WANTED)
    assert fit.but == ("0.3 mm longer: see what lies behind the hole",)


def test_the_most_alike_comes_first():
    stock = [screw(length="2.9"), screw(head="pan"), screw(), screw(length="")]
    fits = fitting_screws(stock, WANTED)
    assert fits[0].screw == screw()
    assert fits[0].but == ()
    assert all(fit.but for fit in fits[1:])


@given(st.floats(0.3, 20), st.floats(0.3, 20))
def test_no_screw_farther_off_than_said_is_offered(have, want):
    fits = fitting_screws([screw(length=str(have))], FastenerGroup(thread="M1.4", length_mm=want))
    assert bool(fits) == (abs(have - want) <= NEAR_MM + 1e-9)


@given(st.integers(1, 1000), st.integers(1, 1000))
def test_taking_out_leaves_what_was_not_taken(have, taken):
    stock = screw(count=str(have))
    if taken > have:
        with pytest.raises(BadInputError):
            fewer(stock, taken)
    else:
        left = fewer(stock, taken)
        assert (left.count if left else 0) == have - taken


def test_a_line_reads_back_to_the_same_screws():
    stock = screw(lies="tin 3", **{"from": "donor 2"})
    assert read_screw(screw_cells(stock)) == stock
    assert isinstance(stock, StockScrew)


def test_felt_is_known_by_its_thickness_in_mm_or_thou():
    assert read_felt({"thickness": "40 thou", "colour": "black"}).thickness_mm == pytest.approx(1.016)
    assert str(read_felt({"thickness": "1.2", "colour": "green"})) == "felt 1.2 mm, green"


def test_a_donor_is_named_with_what_it_has():
    assert (
        str(read_donor({"camera": "Ostrel Junior", "has": "bellows, struts"})) == "Ostrel Junior, has bellows, struts"
    )


@pytest.mark.parametrize(
    ("read", "cells", "where"),
    [
        (read_screw, {"length": "2"}, "thread"),
        (read_screw, {"thread": "M1.4", "length": "long"}, "length"),
        (read_screw, {"thread": "M1.4", "count": "-3"}, "count"),
        (read_screw, {"thread": "M1.4", "count": "0"}, "count"),
        (read_felt, {"thickness": ""}, "thickness"),
        (read_felt, {"thickness": "900"}, "thickness"),
        (read_donor, {"has": "bellows"}, "camera"),
    ],
)
def test_what_cannot_be_kept_is_said_at_its_column(read, cells, where):
    with pytest.raises(BadInputError) as caught:
        read(cells)
    assert caught.value.problems[0].where == where
