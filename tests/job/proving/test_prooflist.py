"""The proof list: derived from the camera, fed by what the rooms write, never passed by what is stale."""

import datetime

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from asfound.job.bodies import (
    AdjusterMoved,
    Camera,
    CameraDetails,
    InstrumentWrong,
    Opened,
    Proof,
    ProofLater,
    ReadingTaken,
    ShutterTable,
    SpeedRow,
    StateChanged,
    StepTaken,
)
from asfound.job.fold import fold
from asfound.job.proving import in_plain_words, line_called, proof_list, unsettled
from asfound.quantity import CameraState, Reading
from asfound.quantity.tolerance import Tolerance

CAMERA = Camera(
    model="Practice Six-Nine",
    film_format="6x9",
    largest_aperture=4.5,
    marked_speeds=("1", "1/25", "1/250", "B"),
    marked_apertures=(4.5, 8.0),
    shutter_kind="between the lens, synchronised",
    focusing_kind="whole lens on a helical",
)


def row(marked, error, verdict="within"):
    return SpeedRow(
        marked=marked,
        reference_s=0.04,
        times_s=(0.04,),
        mean_s=0.04,
        error_stops=error,
        u_error_stops=0.03,
        tolerance_stops=1 / 3,
        verdict=verdict,
    )


def table(stage, *rows):
    return ShutterTable(stage=stage, rows=rows, tolerance_source="agreed")


def taken(quantity, value, unit="mm", u=0.01, **more):
    reading = Reading(value=value, unit=unit, standard_uncertainty=u)
    return ReadingTaken(quantity=quantity, reading=reading, stage=more.pop("stage", "as left"), **more)


@pytest.fixture
def job_of(bench):
    bench.write(CameraDetails(camera=CAMERA))

    def made(*bodies):
        bench.all(bodies)
        return fold(bench.entries)

    return made


def standing(job, name):
    return next(line.standing for line in proof_list(job) if line.name == name)


def called(job, name):
    return line_called(proof_list(job), name)


def test_each_marked_speed_and_aperture_has_a_line_and_the_rest_of_the_trade_s_list(job_of):
    names = [line.name for line in proof_list(job_of())]
    assert names[:3] == ["speed 1", "speed 1/25", "speed 1/250"]
    wanted = (
        "setting B, setting T, flash sync, self-timer, aperture f/4.5, aperture f/8, infinity, near distance, "
        "distance scale, focusing effort, parallelism, struts lock, front holds, scatter of erection, play, "
        "film transport, frame spacing, pressure plate, bellows light-tight, back light-tight, folds shut"
    )
    assert names[3:] == wanted.split(", ")


def test_what_nobody_said_of_the_camera_is_asked_and_what_was_said_is_open(job_of):
    job = job_of()
    assert standing(job, "self-timer") == "not said yet"
    assert standing(job, "setting T") == "not said yet"
    assert standing(job, "setting B") == "open"
    assert standing(job, "flash sync") == "open"  # "synchronised" stands in its particulars


def test_that_something_does_not_apply_is_said_and_only_then_settled(job_of):
    job = job_of(Proof(what="self-timer", verdict="not applicable", text="none on this model"))
    line = called(job, "self-timer")
    assert line.standing == "not applicable"
    assert line.settled
    assert line.left.text == "none on this model"


def test_fixed_focus_is_asked_to_be_confirmed_not_taken_for_granted(bench):
    bench.write(CameraDetails(camera=Camera(model="Box", focusing_kind="fixed")))
    line = called(fold(bench.entries), "distance scale")
    assert line.standing == "not said yet"
    assert "fixed" in line.wanted.asks


def test_a_speed_is_proved_by_the_latest_table_as_left_that_has_it(job_of):
    job = job_of(
        table("as found", row("1", 0.9, "outside"), row("1/25", 0.1)),
        table("as left", row("1", 0.1), row("1/25", 0.1)),
        table("as left", row("1/25", 0.5, "outside")),
    )
    assert standing(job, "speed 1") == "within"
    assert standing(job, "speed 1/25") == "outside"
    assert standing(job, "speed 1/250") == "open"
    assert called(job, "speed 1").found.reading.value == 0.9


def test_a_stale_proof_is_no_pass(job_of):
    job = job_of(table("as left", row("1", 0.1)), AdjusterMoved(adjuster="shutter", direction="in"))
    line = called(job, "speed 1")
    assert line.standing == "stale"
    assert not line.settled
    assert line in unsettled(proof_list(job))


def test_what_was_so_as_found_proves_nothing_as_left(job_of):
    job = job_of(Proof(what="infinity", verdict="within", stage="as found"))
    assert standing(job, "infinity") == "open"
    assert called(job, "infinity").found.verdict == "within"


def test_values_taken_in_different_states_say_so(job_of):
    job = job_of(
        StateChanged(state=CameraState(aperture=4.5, surface="dirty")),
        table("as found", row("1", 0.9, "outside")),
        StateChanged(state=CameraState(aperture=8.0, surface="dry")),
        table("as left", row("1", 0.1)),
    )
    assert called(job, "speed 1").differs == ("aperture", "surface")


def test_a_reading_is_judged_by_its_own_tolerance_and_guarded(job_of):
    held = Tolerance(unit="stop", source="own", lower=-0.5, upper=0.5)
    job = job_of(
        taken("aperture", 0.20, "stop", 0.05, place="f/8", tolerance=held),
        taken("aperture", 0.30, "stop", 0.05, place="f/4.5"),
    )
    good, doubtful = called(job, "aperture f/8"), called(job, "aperture f/4.5")
    assert good.standing == "within"
    assert good.left.guard == pytest.approx(0.1)
    assert good.left.risk == pytest.approx(0.0, abs=1e-6)
    assert doubtful.standing == "cannot tell"  # 0.30 and twice 0.05 is over a third of a stop
    assert doubtful.tolerance.source == "common practice, no source"


def test_one_proof_of_all_apertures_speaks_for_each_that_has_none_of_its_own(job_of):
    job = job_of(taken("aperture", 0.6, "stop", 0.05, place="f/8"), Proof(what="apertures", verdict="within"))
    assert standing(job, "aperture f/4.5") == "within"
    assert standing(job, "aperture f/8") == "outside"


def test_of_several_places_the_worst_counts(job_of):
    held = Tolerance(unit="mm", source="own", upper=0.1)
    job = job_of(
        taken("play", 0.02, place="ring", tolerance=held), taken("play", 0.3, place="standard", tolerance=held)
    )
    assert called(job, "play").left.text == "standard"
    assert standing(job, "play") == "outside"


def test_a_reading_that_nothing_judges_cannot_tell_but_a_proof_by_hand_can(job_of):
    bare = job_of(taken("focusing effort", 3.0, "N"))
    assert standing(bare, "focusing effort") == "cannot tell"
    assert standing(job_of(Proof(what="focus effort", verdict="within")), "focusing effort") == "within"


def test_four_corner_depths_are_held_to_the_focus_budget_corner_to_corner(job_of):
    # +-N c at f/4.5 on a frame of 84 x 56 mm, c = diagonal / 1500: 4.5 * 100.96 / 1500 = 0.3029 mm (worked here from
    # the formula in Ray, The Photographic Lens, as quoted, read).
    places = ("top left", "top right", "bottom right", "bottom left")
    job = job_of(*(taken("corner depth", v, place=p) for v, p in zip((63.4, 63.41, 63.39, 63.62), places, strict=True)))
    line = called(job, "parallelism")
    assert line.left.reading.value == pytest.approx(0.23)
    assert line.tolerance.upper == pytest.approx(2 * 0.3029, abs=2e-4)
    assert line.standing == "within"
    assert line.left.reading.standard_uncertainty == pytest.approx(0.01 * 2**0.5)


def test_put_off_is_chased_until_something_is_said(job_of):
    job = job_of(ProofLater(what="infinity", text="no far view in this fog"))
    assert standing(job, "infinity") == "later"
    assert called(job, "infinity").put_off == "no far view in this fog"
    assert standing(job_of(Proof(what="infinity", verdict="within")), "infinity") == "within"


def test_put_off_after_it_was_proved_it_is_open_again(job_of):
    job = job_of(Proof(what="infinity", verdict="within"), ProofLater(what="infinity"))
    assert standing(job, "infinity") == "later"


def test_what_was_proved_beside_the_list_stands_in_it(job_of):
    job = job_of(Proof(what="strap lugs", verdict="outside"))
    assert (proof_list(job)[-1].name, proof_list(job)[-1].standing) == ("strap lugs", "outside")


@pytest.mark.parametrize(
    ("bodies", "begins"),
    [
        ((), "Not proved:"),
        ((Proof(what="infinity", verdict="within"),), "Proved: sharpness at infinity is as it should be."),
        ((Proof(what="infinity", verdict="outside"),), "Not in order: infinity."),
        ((Proof(what="infinity", verdict="cannot tell"),), "The measurement cannot tell"),
        ((Proof(what="infinity", verdict="not applicable"),), "Does not apply"),
        (
            (
                Proof(what="infinity", verdict="within", depends_on=("helical",)),
                StepTaken(action="off", part="helical"),
            ),
            "Whether sharpness at infinity is as it should be was proved, but",
        ),
    ],
)
def test_an_owner_reads_how_it_stands(job_of, bodies, begins):
    assert in_plain_words(called(job_of(*bodies), "infinity")).startswith(begins)


def test_a_proof_whose_instrument_read_wrongly_says_so_to_its_owner_and_to_the_bench(job_of):
    wrong = InstrumentWrong(instrument="collimator", since=datetime.date(2023, 11, 1), since_ms=0)
    line = called(job_of(Proof(what="infinity", verdict="within", instrument="Collimator"), wrong), "infinity")
    assert (line.standing, line.left.instrument, line.left.read_wrongly) == ("stale", "Collimator", "collimator")
    assert "what it was proved with was found to read wrongly later" in in_plain_words(line)


speeds = st.lists(st.sampled_from(("1", "1/2", "1/25", "B", "T", "1/100", "X")), unique=True, max_size=6)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(marked=speeds, shutter=st.text(max_size=30), focusing=st.text(max_size=30), frame=st.text(max_size=12))
def test_any_camera_has_a_list_in_which_every_name_stands_once(new_bench, marked, shutter, focusing, frame):
    camera = Camera(
        model="Any",
        marked_speeds=tuple(marked),
        shutter_kind=shutter,
        focusing_kind=focusing,
        film_format=frame,
        largest_aperture=3.5,
    )
    bench = new_bench()
    bench.write(Opened(ticket="1", camera=camera))
    names = [line.name for line in proof_list(fold(bench.entries))]
    assert len(set(names)) == len(names) >= 20
