"""Gaps, depths and tables as typed; readings of shape as they are written into the job."""

import contextlib
import io
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfound.bench.jobs import load_job, open_job
from asfound.bench.shape import (
    Context,
    kept_text,
    read_depths,
    read_tries,
    take_table,
    text_of,
    write_erection,
    write_fit,
    write_gap,
    write_ring,
    write_seat,
    write_standard,
    write_work,
)
from asfound.job.bodies import AdjusterMoved, Camera
from asfound.problems import BadInputError
from asfound.quantity import FeelerAnswer, Reading, Station, bracket, seat
from asfound.shape import (
    compare_struts,
    corner_points,
    erection,
    fit_of,
    fit_plane,
    frame_focus,
    give,
    ring_from_radii,
)


@pytest.fixture
def job(book):
    return open_job(book, camera=Camera(model="Merle Six-Nine"))


@pytest.fixture
def context(book, job):
    typed = {"tries": "35 loose 40 no", "place": ""}
    return Context(book=book, job=job.id, stage="as found", typed=typed, depends_on=("distance ring",))


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("35 loose 40 no", [((0.35,), "loose"), ((0.40,), "no")]),
        (".35l .40n", [((0.35,), "loose"), ((0.40,), "no")]),
        ("35 loose\n37 drag", [((0.35,), "loose"), ((0.37,), "drag")]),
        (".30+.05 drag", [((0.30, 0.05), "drag")]),
        ("37", [((0.37,), "drag")]),
        ("14 thou drag", [((0.3556,), "drag")]),  # 1 thou = 0.0254 mm exactly (NIST SP 811, from memory)
    ],
)
def test_tries_are_typed_as_on_the_quick_line(typed, expected):
    found = read_tries(typed, where="tries")
    assert [(answer.leaf_mm, answer.answer) for answer in found] == [
        (tuple(pytest.approx(leaf) for leaf in leaves), answer) for leaves, answer in expected
    ]


@pytest.mark.parametrize("typed", ["", "  ", "abc", "5 kg", "35 loose 40 no; wobbly", "35 36", ".35 loose .30 no"])
def test_what_is_no_try_is_refused_at_its_field(typed):
    with pytest.raises(BadInputError) as refused:
        read_tries(typed, where="tries_2")
    assert refused.value.problems[0].where == "tries_2"


@given(st.text(max_size=60))
def test_any_text_is_read_as_tries_or_refused(typed):
    with contextlib.suppress(BadInputError):
        assert read_tries(typed, where="tries")


@given(st.floats(5, 200), st.lists(st.integers(-90, 90), max_size=6))
def test_depths_in_hundredths_are_the_first_and_steps_from_it(first, steps):
    first = round(first, 2)
    steps = [step for step in steps if first <= 20 or step <= first / 2]
    typed = " ".join([f"{first:.2f}", *map(str, steps)])
    found = read_depths(typed, where="depths", hundredths=True)
    assert found == pytest.approx([first, *(first + step / 100 for step in steps)], abs=1e-9)


def test_four_corner_depths_take_few_characters():
    # The first of three, then a space and one or two for each of the others.
    assert read_depths("9.4 -2 1 0", where="depths", hundredths=True) == pytest.approx((9.4, 9.38, 9.41, 9.4))


@pytest.mark.parametrize("typed", ["63.42 63.40 63.38 63.61", "63.42 x", "", "mm", "63.42 2000", "63.42 nan"])
def test_whole_depths_taken_for_hundredths_are_asked_about(typed):
    with pytest.raises(BadInputError):
        read_depths(typed, where="depths", hundredths=True)


def test_units_stay_with_their_number():
    found = read_depths("2.5 in, 63 mm; 2480 thou", where="depths", hundredths=False)
    assert found == pytest.approx((63.5, 63.0, 62.992))


def test_a_gap_is_written_with_its_tries_and_goes_stale_with_its_part(book, job, context):
    answers = [FeelerAnswer((0.35,), "loose"), FeelerAnswer((0.40,), "no")]
    gap, _ = bracket(answers)
    (entry,) = write_gap(context, quantity="gap", place="at the pointer", answers=answers, gap=gap)
    assert entry.body.raw == ("0.35 mm loose", "0.4 mm no")
    # JCGM 100:2008, 4.3.7 (read): equally likely within a width of 0.05 mm.
    assert entry.body.reading.standard_uncertainty == pytest.approx(0.05 / math.sqrt(12))
    book.write(job.id, [AdjusterMoved(adjuster="Distance ring", direction="in")])
    (kept,) = load_job(book, job.id).readings
    assert kept.stale_by is not None


def test_what_was_written_of_a_gap_reads_back_as_it_was_tried(context):
    answers = read_tries("35 loose .30+.08 drag 14 thou loose", where="tries")
    gap, _ = bracket(answers)
    (entry,) = write_gap(context, quantity="gap", place="", answers=answers, gap=gap)
    again = read_tries(" ".join(entry.body.raw), where="tries")
    assert [one.size_mm for one in again] == pytest.approx([one.size_mm for one in answers])


def test_three_stations_give_three_heights_a_mean_a_rise_and_a_rock(context):
    tried = []
    for angle, leaf in ((90, 0.40), (330, 0.43), (210, 0.46)):
        answers = (FeelerAnswer((leaf,), "drag"),)
        reading, _ = bracket(answers)
        lifted, _ = bracket([FeelerAnswer((leaf + 0.03,), "drag")])
        tried.append((Station(angle_deg=angle, pressed=reading, lifted=lifted), answers))
    found = seat([station for station, _ in tried], radius_mm=25)
    entries = write_seat(context, quantity="height", stations=tried, seat=found)
    names = [(entry.body.quantity, entry.body.place) for entry in entries]
    assert names[:3] == [("height", "12 o'clock"), ("height", "4 o'clock"), ("height", "8 o'clock")]
    assert [quantity for quantity, _ in names[3:]] == ["height, mean", "height, rise over the ring", "height, rock"]
    # Three points at R = 25, 0.40, 0.46, 0.43 at 90, 210, 330 deg: 0.0793913 deg by geometry; times the diameter.
    assert entries[4].body.reading.value == pytest.approx(50 * math.tan(math.radians(0.0793913)), abs=1e-6)
    assert entries[5].body.reading.value == pytest.approx(0.03)


def test_a_ring_is_written_with_its_uncertainty(context):
    angle = np.arange(0, 360, 15.0)
    ring = ring_from_radii(angle_deg=angle, radius_mm=20 + 0.02 * np.cos(2 * np.radians(angle)))
    entries = write_ring(context, which="distance ring", ring=ring, u_radius_mm=0.01, u_out_of_round_mm=0.014)
    out, diameter = (entry.body for entry in entries)
    # r = 20 + 0.02 cos 2t lies between 19.98 and 20.02: out of round 0.04 (derived).
    assert out.reading.value == pytest.approx(0.04, abs=1e-9)
    assert (out.reading.standard_uncertainty, diameter.reading.standard_uncertainty) == (0.014, 0.02)
    assert out.depends_on == ("distance ring",)


def test_the_standard_is_written_corner_by_corner_and_held_to_the_budget(context):
    points = corner_points(width_mm=60, height_mm=40, depth_mm=[50.02, 50.10, 50.06, 49.98])
    fit = fit_plane(points, depth_uncertainty_mm=0.01)
    focus = frame_focus(fit, width_mm=84, height_mm=56, circle_mm=0.05, f_numbers=[8, 3.5])
    depths = {"top left": 49.98, "top right": 50.06, "bottom right": 50.10, "bottom left": 50.02}
    entries = write_standard(context, depths_mm=depths, u_depth_mm=0.01, fit=fit, focus=focus)
    by_name = {(e.body.quantity, e.body.place): e.body for e in entries}
    assert by_name["corner depth", "bottom right"].reading.value == 50.10
    # Slopes 1.33333e-3 and -1.0e-3, uncertainties u/W and u/H (derived).
    across = by_name["front standard tilt left and right", ""].reading
    assert across.value == pytest.approx(math.degrees(math.atan(4 / 3000)))
    assert across.standard_uncertainty == pytest.approx(math.degrees(0.01 / 60), rel=1e-6)
    worst = by_name["defocus at the worst corner", ""]
    assert (worst.tolerance.lower, worst.tolerance.upper) == pytest.approx((-0.175, 0.175))
    assert "f/3.5" in worst.tolerance.source


def test_the_scatter_of_erection_is_written_with_how_sure_it_is(context):
    found = erection([63.42, 63.40, 63.43, 63.42, 63.45])
    gives = compare_struts(
        {
            name: give(pushed_mm=40, pulled_mm=pulled, push_n=5, pull_n=5, u_height_mm=0.01)
            for name, pulled in (("left", 40.2), ("right", 40.05))
        }
    )
    entries = write_erection(context, found=found, gives=gives)
    scatter = next(e.body for e in entries if e.body.quantity == "scatter of erection").reading
    assert scatter.value == pytest.approx(np.std([42, 40, 43, 42, 45], ddof=1) / 100)
    # JCGM 100:2008, table E.1 (from memory): the standard deviation of s of five is 36 % of it.
    assert scatter.standard_uncertainty / scatter.value == pytest.approx(0.36, abs=0.01)
    assert [e.body.place for e in entries if e.body.quantity == "give to a push and a pull"] == ["left", "right"]


def test_a_fit_is_written_with_the_angle_it_rattles_through(context):
    sizes = [Reading(value=size, unit="mm", standard_uncertainty=0.01) for size in (3.12, 3.02)]
    entries = write_fit(context, which="pin", fit=fit_of(outer=sizes[:1], inner=sizes[1:], radius_mm=14))
    assert [e.body.quantity for e in entries] == ["play", "rattle"]
    assert entries[1].body.reading.value == pytest.approx(math.degrees(2 * math.asin(0.1 / 28)))


def test_fault_work_joins_its_fault(book, job, context):
    write_work(context, fault="Distance ring catches", text="press in at 8")
    (fault,) = load_job(book, job.id).faults
    assert fault.name == "Distance ring catches"
    assert fault.open


@given(st.lists(st.text(st.characters(codec="ascii", exclude_categories=["C"]), max_size=50), max_size=60))
def test_nothing_typed_is_cut_off_when_it_is_kept(lines):
    kept = kept_text({"points": "\n".join(lines)})
    assert all(len(line) <= 400 for line in kept)
    again = "; ".join(line.removeprefix("points: ") for line in kept)
    assert again == "; ".join(line.strip() for line in "\n".join(lines).strip().splitlines())


def test_a_short_table_is_laid_into_the_form_and_a_long_one_is_kept(book):
    short = "x_mm,y_mm\r\n1,2\r\n"
    assert take_table(book, io.BytesIO(b"\xef\xbb\xbf" + short.encode()), "ring.csv") == "x_mm,y_mm\n1,2"
    long = "x_mm,y_mm\n" + "1.2345,6.7890\n" * 2000
    mark = take_table(book, io.BytesIO(long.encode()), "ring.csv")
    assert len(mark) < 200
    assert text_of(book, mark, where="points") == long.rstrip("\n")


@pytest.mark.parametrize("mark", ["file: ", "file: ../../etc/passwd", "file: " + "0" * 64 + " x"])
def test_a_file_that_is_not_kept_is_said(book, mark):
    with pytest.raises(BadInputError, match="no such file is kept"):
        text_of(book, mark, where="points")


def test_a_file_that_is_no_text_is_refused(book):
    with pytest.raises(BadInputError, match="not a text file"):
        take_table(book, io.BytesIO(b"\xff\xfe\x00"), "ring.csv")
