"""What is written of springs, and the drawer."""

import pytest

from asfound.bench.drawer import drawer_file, put_in, stock_of, take_out
from asfound.bench.springs import as_typed, depends, latest, torques_at_lever, typed_before, write_measured, write_rate
from asfound.job.bodies import AdjusterMoved, StepTaken
from asfound.problems import BadInputError, NotFoundError
from asfound.springs import CONSTANTS, LeverTry, TorsionSpring, find_material, load_torsion, measure_spring

CELLS = {
    "name": "bag 7", "wire": "0.55", "outside diameter": "6 mm", "turns": "5.25", "leg 1": "12", "leg 2": "12",
    "hand": "right", "material": "music wire", "from": "an old clock, broken",
}  # fmt: skip


@pytest.fixture
def book(practice_book):
    return practice_book


@pytest.fixture
def job_id(book):
    return book.jobs()[0].id


def measured(low=0.45, high=0.9):
    tries = [
        LeverTry(angle_deg=angle, winding_n=(force + 0.1,), unwinding_n=(force - 0.1,))
        for angle, force in ((0.0, low), (80.0, high))
    ]
    return measure_spring(tries, arm_mm=30, u_force_n=0.02, clean=True)


def test_what_was_typed_comes_back_the_next_time(book, job_id):
    made = TorsionSpring(
        wire_diameter_mm=0.5, mean_diameter_mm=5, body_turns=6, modulus_mpa=203_400, constant=CONSTANTS["textbook"]
    )
    loaded = load_torsion(made, torque_n_mm=20, material=find_material("music wire"), u_wire_mm=0.005)
    typed = {"which": "left strut", "wire": "20 thou", "pin": ""}
    write_rate(book, job_id, which="left strut", loaded=loaded, typed=typed, stage="as found")
    assert typed_before(book.job(job_id), "spring rate") == {"which": "left strut", "wire": "20 thou"}
    reading = latest(book.job(job_id), "spring rate", "left strut")
    assert reading.value == pytest.approx(loaded.rate_n_mm_per_turn)
    assert reading.standard_uncertainty == pytest.approx(0.04 * loaded.rate_n_mm_per_turn)  # 4 times 1 % of the wire


def test_nothing_was_typed_before_the_first_time(book, job_id):
    assert typed_before(book.job(job_id), "spring rate") == {}
    assert latest(book.job(job_id), "spring rate") is None
    assert torques_at_lever(book.job(job_id)) == ()


def test_the_latest_measurement_at_the_lever_stands_apart_from_those_before(book, job_id):
    write_measured(book, job_id, which="left", measured=measured(), typed={"lever": "first"}, stage="as found")
    write_measured(book, job_id, which="left", measured=measured(0.5, 1.1), typed={"lever": "second"}, stage="working")
    assert [one.value for one in torques_at_lever(book.job(job_id))] == pytest.approx([15, 33])


def test_a_reading_goes_stale_when_its_spring_is_touched(book, job_id):
    write_measured(book, job_id, which="left strut", measured=measured(), typed={"x": "1"}, stage="working")
    assert book.job(job_id).readings[-1].stale_by is None
    book.write(job_id, [AdjusterMoved(adjuster="left strut spring", direction="legs bent")])
    assert book.job(job_id).readings[-1].stale_by is not None


def test_a_reading_stays_fresh_when_something_else_is_touched(book, job_id):
    write_measured(book, job_id, which="left strut", measured=measured(), typed={"x": "1"}, stage="working")
    book.write(job_id, [StepTaken(action="off", part="name plate")])
    assert book.job(job_id).readings[-1].stale_by is None


@pytest.mark.parametrize(("which", "part"), [("left strut", "left strut spring"), ("door Spring", "door Spring")])
def test_a_reading_depends_on_the_spring_by_its_name(which, part):
    assert depends(which) == (part,)


def test_empty_fields_are_not_kept():
    assert as_typed({"wire": "0.5 mm", "pin": " "}) == ("wire: 0.5 mm",)


def test_a_spring_put_into_the_drawer_is_found_there(book):
    assert stock_of(book) == ()
    put_in(book, CELLS)
    (line,) = stock_of(book)
    assert line.spring.donor == "an old clock, broken"
    assert line.spring.outside_diameter_mm == 6
    assert "bag 7" in drawer_file(book).read_text()


def test_a_spring_that_is_none_leaves_the_drawer_as_it_was(book):
    put_in(book, CELLS)
    with pytest.raises(BadInputError, match="no hand"):
        put_in(book, CELLS | {"hand": "both"})
    assert len(stock_of(book)) == 1


def test_what_is_taken_out_is_the_line_that_was_seen(book):
    put_in(book, CELLS)
    put_in(book, CELLS | {"name": "bag 8"})
    first, second = stock_of(book)
    take_out(book, first.number, first.text)
    assert [line.spring.name for line in stock_of(book)] == ["bag 8"]
    with pytest.raises(NotFoundError):
        take_out(book, second.number, second.text)
    assert len(stock_of(book)) == 1


def test_a_line_spoiled_in_an_editor_is_told_and_the_others_stay(book):
    put_in(book, CELLS)
    with drawer_file(book).open("a") as file:
        file.write("bag 9,much,6,5,12,12,right,music wire,\n")
    good, bad = stock_of(book)
    assert good.spring is not None
    assert bad.spring is None
    assert bad.problems[0].where == "drawer.csv, line 3"
    put_in(book, CELLS | {"name": "bag 10"})
    assert len(stock_of(book)) == 3


def test_columns_in_the_order_of_an_editor_are_kept(book):
    head = "wire,name,outside diameter,turns,leg 1,leg 2,hand,material,from"
    drawer_file(book).write_text(f"{head}\n0.5,bag 1,5.5,6,10,10,left,music wire,\n")
    put_in(book, CELLS)
    assert [line.spring.name for line in stock_of(book)] == ["bag 1", "bag 7"]
