import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfound.shape import clock_to_deg, deg_to_clock, read_table

XY = (("x", "y"), ("angle", "radius"))


def read(text, layouts=XY):
    return read_table(text, where="ring.csv", layouts=layouts)


def test_columns_are_read_by_name_in_any_order_with_others_beside():
    table, problems = read("note,y_mm,x_mm\na,2,1\nb,4,3\n")
    assert problems == ()
    assert table.columns["x"] == pytest.approx([1, 3])
    assert table.columns["y"] == pytest.approx([2, 4])


@pytest.mark.parametrize("text", ["x_thou,y_thou\n1000,2000\n", "x_in,y_in\n1,2\n", "x_mm,y_mm\n25.4,50.8\n"])
def test_lengths_become_mm(text):
    table, _ = read(text)
    assert (table.columns["x"][0], table.columns["y"][0]) == pytest.approx((25.4, 50.8))


def test_semicolons_and_decimal_commas():
    table, problems = read("\ufeffx_mm;y_mm\n# a remark\n\n1,5;2,5\n")
    assert problems == ()
    assert table.columns["x"] == pytest.approx([1.5])


def test_clock_positions_are_angles():
    table, problems = read("clock,clearance_mm\n12,0.1\n3:00,0.2\n7:30,0.3\n", (("clock", "clearance"),))
    assert problems == ()
    assert table.columns["clock"] == pytest.approx([90, 0, 225])


@pytest.mark.parametrize(
    ("text", "where", "what"),
    [
        ("", "ring.csv", "empty"),
        ("a,b\n1,2\n", "line 1", "names"),
        ("x_mm,y_in\n1,2\n", "line 1", "mixed units"),
        ("x_mm,y_mm\n1,2\n0.5 in,3\n", "line 3", "mixed units"),
        ("x_mm,y_mm\n1,2\n1\n", "line 3", "fields"),
        ("x_mm,y_mm\n1,two\n", "line 2, column 2", "not a number"),
        ("x_mm,y_mm\n1,\n", "line 2, column 2", "empty"),
        ("x_mm,y_mm\n1,inf\n", "line 2", "finite"),
        ("clock,clearance_mm\n13,1\n", "line 2", "clock"),
    ],
)
def test_a_fault_is_told_with_its_place(text, where, what):
    layouts = (*XY, ("clock", "clearance"))
    table, problems = read(text, layouts)
    assert table is None
    assert len(problems) == 1
    assert where in problems[0].where
    assert what in problems[0].what
    assert problems[0].remedy


def test_many_faults_are_cut_short():
    _, problems = read("x_mm,y_mm\n" + "a,b\n" * 1000)
    assert len(problems) <= 11


@given(st.lists(st.tuples(st.floats(-1e6, 1e6), st.floats(-1e6, 1e6)), min_size=1, max_size=20))
def test_what_is_written_is_read(points):
    text = "x_mm,y_mm\n" + "".join(f"{x!r},{y!r}\n" for x, y in points)
    table, problems = read(text)
    assert problems == ()
    assert np.array_equal(np.column_stack([table.columns["x"], table.columns["y"]]), np.array(points))


@given(st.integers(0, 143))
def test_clock_and_degrees_are_each_others_way_back(twelfths):
    shown = deg_to_clock(clock_to_deg(twelfths / 12))
    hours, _, minutes = shown.partition(":")
    assert (int(hours) % 12) * 12 + int(minutes or 0) / 5 == twelfths
