"""What is found of the focus goes into the job with what it depends on, and later work makes it stale."""

import pytest

from asfound.bench.focus import (
    LENS_SEAT,
    Page,
    budget_tolerance,
    worst_of,
    write_apertures,
    write_budget,
    write_effort,
    write_front_travel,
    write_height,
    write_infinity,
    write_rangefinder,
    write_scale,
    write_shim,
    write_spacers,
    write_start,
    write_turn,
)
from asfound.bench.jobs import load_job, open_job
from asfound.focus import (
    Effort,
    Helical,
    UnitFocusing,
    aperture_finding,
    choose_leaves,
    datum_correction,
    effort_finding,
    fit_scale,
    focus_budget,
    front_travel,
    rangefinder_coupling,
    set_infinity,
    two_groups,
    which_start,
)
from asfound.job.bodies import Camera
from asfound.quantity import Reading

LENS = UnitFocusing(focal_length_mm=105)
BUDGET = focus_budget(f_number=4.5, circle_mm=0.06)  # ± 0.27 mm
HEIGHT = Reading(value=1.52, unit="mm", standard_uncertainty=0.02)


@pytest.fixture
def page(book):
    job = open_job(book, camera=Camera(model="Practice Six"))
    return Page(book=book, job_id=job.id, typed={"lead": "9 mm", "u": ""}, stage="as found")


def job_of(page):
    return load_job(page.book, page.job_id)


def test_a_reading_keeps_what_was_typed_but_not_what_was_left_empty(page):
    write_height(page, HEIGHT, BUDGET)
    body = job_of(page).readings[-1].body
    assert body.raw == ("lead: 9 mm",)
    assert (body.tolerance.lower, body.tolerance.upper) == (-BUDGET.half_width_mm, BUDGET.half_width_mm)


@pytest.mark.parametrize("touched", LENS_SEAT)
def test_whoever_touches_what_holds_the_lens_makes_its_height_stale(page, touched):
    from asfound.job.bodies import AdjusterMoved

    write_height(page, HEIGHT, None)
    (moved,) = page.book.write(page.job_id, [AdjusterMoved(adjuster=touched)])
    assert job_of(page).readings[-1].stale_by == moved.id


def test_a_shim_laid_under_the_lens_makes_infinity_stale_and_is_in_the_register(page):
    setting = set_infinity(
        sharpest=Reading(value=0.1, unit="mm", standard_uncertainty=0.01), focusing=LENS, budget=BUDGET
    )
    write_infinity(page, setting, BUDGET)
    (stack,) = choose_leaves(wanted_mm=0.1, drawer_mm=[0.1])
    (shim,) = write_shim(page, stack)
    job = job_of(page)
    assert job.proofs[-1].body.verdict == "within"
    assert job.proofs[-1].stale_by == shim.id
    assert [(body.name, body.thickness.value) for _, body in job.spacers] == [("shim 0.1 mm", 0.1)]


def test_a_late_found_spacer_makes_earlier_heights_stale(page):
    write_height(page, HEIGHT, None)
    (found,) = write_spacers(page, [("collar", Reading(value=0.5, unit="mm"))], late=True)
    job = job_of(page)
    assert job.readings[-1].stale_by == found.id
    assert job.spacers[-1][1].late


def test_entering_anew_names_how_many_starts(page):
    finding = which_start(height_error=HEIGHT, helicals=(Helical(lead_mm=9, starts=6),))
    write_start(page, finding)
    moved = job_of(page).entries[-1].body
    assert (moved.adjuster, moved.amount) == ("helical", "1 start")
    assert "re-enter one start earlier" in moved.direction


@pytest.mark.parametrize(("error", "way"), [(0.225, "in"), (-0.225, "out")])
def test_a_turn_takes_out_what_it_was_reckoned_for(page, error, way):
    # 360 x 0.225 / 9 = 9 degrees (a thread's definition).
    reading = Reading(value=error, unit="mm", standard_uncertainty=0.01)
    write_turn(page, datum_correction(height_error=reading, lead_mm=9), adjuster="helical")
    moved = job_of(page).entries[-1].body
    assert (moved.direction, moved.amount, moved.before) == (way, "9.0 deg", f"{error:+.3f} mm off")


def test_a_scale_without_a_budget_proves_nothing(page):
    fit = fit_scale(focusing=LENS, marks=[(2000, 247.2), (5000, 92.1), (float("inf"), 0)], u_angle_deg=1)
    assert [entry.body.kind for entry in write_scale(page, fit, None)] == ["reading", "reading"]


def test_a_scale_with_one_mark_outside_is_outside(page):
    fit = fit_scale(
        focusing=LENS, marks=[(2000, 290), (5000, 92.1), (float("inf"), 0)], u_angle_deg=1, lead_mm=9, infinity_deg=0,
        budget=BUDGET,
    )  # fmt: skip
    write_scale(page, fit, BUDGET)
    assert job_of(page).proofs[-1].body.verdict == "outside"


def test_each_aperture_is_a_reading_and_all_are_one_proof(page):
    finding = aperture_finding(
        focal_length_mm=100,
        diameters=[
            (mark, Reading(value=d, unit="mm", standard_uncertainty=0.05)) for mark, d in ((4, 25.0), (8, 12.5))
        ],
    )
    entries = write_apertures(page, finding, tolerance_stops=1 / 3)
    assert [entry.body.kind for entry in entries] == ["reading", "reading", "proof"]
    assert job_of(page).readings[-1].body.reading.value == pytest.approx(0)  # 100 / 12.5 = 8


def test_the_rest_is_written_with_its_unit_and_what_it_depends_on(page):
    groups = two_groups(front_mm=40, rear_mm=-120, separation_mm=10)
    write_front_travel(page, front_travel(groups=groups, distance_mm=1000, origin="front"), place="1 m")
    write_budget(page, BUDGET)
    forces = [Effort(position=n, force_n=1 + n / 10, surface="dry", ring="off", way="out") for n in range(6)]
    write_effort(page, effort_finding(readings=forces, u_force_n=0.05))
    coupling = rangefinder_coupling(focusing=LENS, readings=[(2000, 1900), (5000, 4500), (2000, 1890)])
    write_rangefinder(page, coupling)
    told = [(kept.body.quantity, kept.body.reading.unit, bool(kept.body.depends_on)) for kept in job_of(page).readings]
    assert told == [
        ("front cell travel", "mm", True),
        ("focus budget", "mm", False),
        ("focusing effort", "N", True),
        ("rangefinder offset", "mm", True),
        ("rangefinder rate", "1", True),
    ]


def test_the_worst_of_several_verdicts_is_theirs():
    assert worst_of(["within", "outside", "cannot tell"]) == "outside"
    assert worst_of(["within", "cannot tell"]) == "cannot tell"
    assert worst_of(["within", "within"]) == "within"
    assert worst_of([]) == "cannot tell"


def test_without_a_budget_there_is_no_tolerance():
    assert budget_tolerance(None) is None
