"""The drawer beside the book: put in, counted together, taken out."""

import pytest

from asfound.bench.stock import KINDS, put, rows_of, screws_like, take
from asfound.problems import BadInputError, NotFoundError
from asfound.teardown.fastener import FastenerGroup

SCREW = {"thread": "M1.4", "length": "2.5", "head": "cheese", "count": "3"}
THINGS = {
    "springs": {
        "name": "bag 7",
        "wire": "0.5",
        "outside diameter": "5.5",
        "turns": "6.25",
        "leg 1": "10",
        "leg 2": "10",
        "hand": "right",
    },
    "screws": SCREW,
    "felt": {"thickness": "1.2", "colour": "black"},
    "donors": {"camera": "Ostrel Junior", "has": "bellows"},
}


@pytest.mark.parametrize("kind", KINDS)
def test_what_is_put_in_is_found_there_and_taken_out_once(book, kind):
    assert rows_of(book, kind) == ()
    item = put(book, kind, THINGS[kind])
    (row,) = rows_of(book, kind)
    assert row.item == item
    assert take(book, kind, 1, text=row.text).item == item
    assert rows_of(book, kind) == ()
    with pytest.raises(NotFoundError):
        take(book, kind, 1)


def test_screws_like_those_there_are_counted_to_them(book):
    put(book, "screws", SCREW)
    put(book, "screws", SCREW | {"count": "4"})
    put(book, "screws", SCREW | {"head": "pan"})
    assert [row.item.count for row in rows_of(book, "screws")] == [7, 3]


def test_screws_are_taken_out_by_number_until_none_is_left(book):
    put(book, "screws", SCREW)
    take(book, "screws", 1, count=2)
    assert [row.item.count for row in rows_of(book, "screws")] == [1]
    with pytest.raises(BadInputError):
        take(book, "screws", 1, count=2)
    take(book, "screws", 1, count=1)
    assert rows_of(book, "screws") == ()


def test_a_table_kept_in_an_editor_keeps_its_own_columns_and_its_faults_are_told(book):
    path = book.location.folder / "screws.csv"
    path.write_text("Count,Thread,shelf\n3,M1.4,top\nmany,M1.4,top\n", encoding="utf-8")
    good, bad = rows_of(book, "screws")
    assert good.item.count == 3
    assert bad.problems[0].where == "screws.csv, line 3, count"
    take(book, "screws", 1, count=1)
    assert path.read_text().splitlines()[1] == "2,M1.4,top"


def test_a_line_that_changed_meanwhile_is_not_taken_out(book):
    put(book, "felt", THINGS["felt"])
    with pytest.raises(NotFoundError):
        take(book, "felt", 1, text="something else")
    assert len(rows_of(book, "felt")) == 1


def test_only_screws_are_counted(book):
    put(book, "donors", THINGS["donors"])
    with pytest.raises(BadInputError):
        take(book, "donors", 1, count=1)


def test_a_lost_screw_is_looked_for_in_the_drawer(book):
    put(book, "screws", SCREW)
    (fit,) = screws_like(book, FastenerGroup(thread="M1.4", length_mm=2.5, head="cheese"))
    assert (fit.screw.count, fit.but) == (3, ())


def test_there_is_nothing_else_in_a_drawer(book):
    with pytest.raises(NotFoundError):
        rows_of(book, "lenses")
