import time
from datetime import date
from unittest.mock import ANY

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from asfound.job.bodies import (
    Camera,
    Fault,
    InstrumentWrong,
    Opened,
    PartOrdered,
    Proof,
    ReadingTaken,
    ShutterTable,
    SpeedRow,
    StateChanged,
    StepTaken,
)
from asfound.job.proving import proof_list
from asfound.quantity import CameraState, Reading
from asfound.quantity.tolerance import Tolerance
from asfound.report import InstrumentCheck, handover_content, open_items
from asfound.report.owner import LETTERS_IN_LINE, LINES_ON_PAGE, owner_page
from asfound.report.saying import say_day_of, say_reading, say_speed, say_stops, say_tolerance, shorten


def section(job, name):
    return next(s for s in handover_content(job, as_of="today").sections if s.name == name)


def proof_row(job, name):
    return next(row for row in section(job, "proofs").rows if row[0] == name)


def dial(stage, error=0.5, verdict="outside", marked="1/50"):
    row = SpeedRow(
        marked=marked,
        reference_s=0.02,
        times_s=(0.02 * 2**error,),
        mean_s=0.02 * 2**error,
        error_stops=error,
        u_error_stops=0.05,
        tolerance_stops=1 / 3,
        verdict=verdict,
    )
    return ShutterTable(stage=stage, rows=(row,), tolerance_source="agreed with the owner", depends_on=("shutter",))


OPENED = Opened(ticket="T-1", camera=Camera(model="Practice Six"))


def test_as_found_and_as_left_stand_side_by_side_per_marked_speed(full_job):
    rows = handover_content(full_job, as_of="today").dial.rows
    assert [row.marked for row in rows] == list(full_job.camera.marked_speeds)
    last = rows[-1]
    assert (last.found.error, last.found.verdict) == ("+0.90 ± 0.03", "outside")
    assert (last.left.measured, last.left.error) == ("5.46 ms (1/183 s)", "+0.45 ± 0.03")
    assert rows[2].left.error == "−0.10 ± 0.03"


def test_a_difference_of_state_between_the_two_tables_is_said(full_job):
    notes = handover_content(full_job, as_of="today").dial.notes
    assert "As found and as left were not taken in the same state: aperture f/3.5, then 8." in notes


def test_tables_in_the_same_state_are_compared_without_remark(write):
    job = write([OPENED, StateChanged(state=CameraState(aperture=8)), dial("as found"), dial("as left")])
    assert not any("same state" in note for note in handover_content(job, as_of="today").dial.notes)


def test_a_missing_table_is_said_and_its_cells_are_not_invented(write):
    content = handover_content(write([OPENED, dial("as found")]), as_of="today")
    assert "No as-left table was measured." in content.dial.notes
    assert [row.left for row in content.dial.rows] == [None]


def test_a_table_as_left_is_stale_when_the_shutter_was_touched_after_it(write):
    job = write([OPENED, dial("as found"), dial("as left", 0.1, "within"), StepTaken(action="off", part="shutter")])
    content = handover_content(job, as_of="today")
    assert content.dial.left_is_stale
    assert any("entry 4 touched" in note for note in content.dial.notes)
    assert not any("Speeds:" in line for line in content.owner.proved)
    assert any("count as not measured" in line for line in content.owner.know)


def test_a_bare_job_says_what_is_missing_and_leaves_nothing_blank(bare_job):
    content = handover_content(bare_job, as_of="today")
    assert content.owner.complaint == "No complaint was written down."
    assert content.owner.found == ("No fault was written down.",)
    assert content.owner.proved == ("Nothing was proved.",)
    assert content.dial.notes[:2] == ("No as-found table was measured.", "No as-left table was measured.")
    assert all(value == "not written down" for _, value in content.particulars)
    assert all(s.rows or s.missing for s in content.sections)
    assert content.about[0].endswith("None was struck through.")


def test_no_cell_of_the_record_is_blank_but_a_fault_said_above(full_job):
    for one in handover_content(full_job, as_of="today").sections:
        for row in one.rows:
            assert len(row) == len(one.heads)
            assert all(row[1 if one.name == "faults" else 0 :]), (one.name, row)


def test_a_camera_not_together_is_told_to_the_owner_in_one_line(write):
    steps = [StepTaken(action="off", part=f"part {n}", lies="tray") for n in range(9)]
    know = owner_page(write([OPENED, *steps])).know
    assert know[-1] == "The camera is not yet together: 9 things are still to be done, first: put back part 8."
    assert sum("still to be done" in line or "put back" in line for line in know) == 1
    assert sum("not done:" in line for line in open_items(write([OPENED, *steps]))) == 9


def test_a_fault_is_told_with_all_its_stages(full_job):
    rows = section(full_job, "faults").rows
    assert [row[1] for row in rows] == ["observed", "suspected", "work", "proof"]
    assert rows[0][0] == "slow speeds (proved gone)"
    assert [row[4] for row in rows] == ["2", "3", "15", "25"]


def test_what_was_struck_through_is_counted_and_not_told(full_job):
    content = handover_content(full_job, as_of="today")
    assert "1 was struck through" in content.about[0]
    assert not any("slip of the pen" in cell for s in content.sections for row in s.rows for cell in row)


def test_a_reading_restored_is_judged_as_left_with_its_uncertainty(full_job):
    ((what, found, left, tolerance, verdict),) = section(full_job, "restored").rows
    assert what == "front standard height, top left"
    assert found == "12.350 ± 0.010 mm (486.2 thou)"
    assert left == "12.360 ± 0.010 mm (486.6 thou), in another state (see below)"
    assert section(full_job, "restored").notes == (
        "As found and as left were not taken in the same state (aperture f/3.5, then 8): "
        "front standard height, top left.",
    )
    assert tolerance == "12.3 to 12.4 mm (484.3 to 488.2 thou); as found, focus budget"
    assert verdict == "within"


def restored_verdict(write, value, u):
    def taken(value, stage, restore):
        return ReadingTaken(
            quantity="height",
            reading=Reading(value=value, unit="mm", standard_uncertainty=u),
            stage=stage,
            restore=restore,
            tolerance=Tolerance(unit="mm", lower=9.9, upper=10.1, source="as found"),
        )

    job = write([OPENED, taken(10.0, "as found", True), taken(value, "as left", False)])
    return section(job, "restored").rows[0][4]


@pytest.mark.parametrize(
    ("value", "u", "verdict"),
    [(10.05, 0.02, "within"), (10.09, 0.02, "cannot tell"), (10.2, 0.02, "outside"), (10.09, None, "within")],
)
def test_a_reading_near_its_bound_cannot_be_told(write, value, u, verdict):
    assert restored_verdict(write, value, u) == verdict


def test_a_reading_not_taken_again_is_not_restored(write):
    taken = ReadingTaken(quantity="height", reading=Reading(value=10.0, unit="mm"), restore=True)
    job = write([OPENED, taken])
    assert section(job, "restored").rows[0][2:] == (
        "not measured as left",
        "no tolerance was given",
        "not restored",
    )
    assert "height not restored" in open_items(job)


def test_a_reading_as_left_that_went_stale_is_told_and_is_not_restored(write):
    def taken(value, stage, restore):
        return ReadingTaken(
            quantity="height",
            reading=Reading(value=value, unit="mm"),
            stage=stage,
            restore=restore,
            depends_on=("cell",),
        )

    touched = StepTaken(action="slackened", part="cell", turns=1)
    job = write([OPENED, taken(10.0, "as found", True), taken(10.1, "as left", False), touched])
    (row,) = section(job, "restored").rows
    assert (row[2], row[4]) == ("10.1 mm (397.6 thou), stale", "not restored")
    assert section(job, "readings").rows == ()


def test_what_was_within_as_found_proves_nothing_as_left(write):
    job = write([OPENED, Proof(what="infinity focus", verdict="within", stage="as found")])
    assert owner_page(job).proved == ("Nothing was proved.",)
    assert proof_row(job, "infinity") == ("infinity", "within", "not taken", ANY, "not proved")


def test_a_stale_proof_is_not_a_pass(write):
    proof = Proof(what="infinity focus", verdict="within", depends_on=("front cell",))
    job = write([OPENED, proof, StepTaken(action="slackened", part="front cell", turns=0.5)])
    assert proof_row(job, "infinity")[4] == "stale, was within"
    assert "infinity: stale" in open_items(job)
    assert not any("infinity" in line.lower() for line in owner_page(job).proved)


def test_what_does_not_apply_is_said_and_not_open(full_job):
    assert "Does not apply to this camera: flash sync." in owner_page(full_job).proved
    assert not any("flash" in item for item in open_items(full_job))


def test_the_owner_is_told_the_real_speed_of_one_outside(full_job):
    know = owner_page(full_job).know
    assert "The speed marked 1/250 gives 1/183 s: 0.5 stop more light than marked." in know
    assert "Whether the speed marked 1/100 is near enough, the measurement cannot tell." in know


def test_a_part_sent_for_and_not_here_says_when_it_is_expected(write):
    job = write([OPENED, PartOrdered(part="bellows", where="the bellows maker", expected=date(2026, 12, 9))])
    assert section(job, "outside").rows == (
        ("bellows", "the bellows maker", "2026-11-02", "not here; expected 2026-12-09"),
    )
    assert "waits for bellows: the bellows maker, expected 2026-12-09" in open_items(job)


def test_a_hazard_that_goes_home_with_the_camera_is_on_the_owner_s_page(write):
    job = write([OPENED, Fault(fault="meter", text="its mercury cell has leaked")])
    assert any(line.startswith("Mercury cell:") for line in owner_page(job).know)
    washed = write([OPENED, Fault(fault="oil", text="washed in naphtha")])
    assert not any("vapour" in line for line in owner_page(washed).know)
    assert [row[0] for row in section(washed, "cautions").rows] == ["solvent"]


def test_why_it_goes_out_open_is_told_to_the_owner_and_in_the_record(handed_over_job):
    why = "The owner wants it for a journey and knows of the fastest speed."
    assert f"Why it goes out like this: {why}" in owner_page(handed_over_job).know
    assert why in section(handed_over_job, "open").notes[0]


def test_a_photograph_has_its_caption_and_its_step(full_job):
    (photo,) = handover_content(full_job, as_of="today").photos
    assert (photo.caption, photo.belongs_to) == ("The name plate before it came off", "step 1, front name plate")


@given(st.lists(st.text(st.characters(codec="ascii", min_codepoint=32), min_size=1, max_size=600), max_size=60))
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=40, deadline=None)
def test_the_owner_s_page_never_holds_more_than_a_page(write, texts):
    job = write([OPENED, *(Fault(fault=f"fault {n}", text=text) for n, text in enumerate(texts))])
    page = owner_page(job)
    lines = sum(-(-len(t) // LETTERS_IN_LINE) for part in (page.found, page.done, page.proved, page.know) for t in part)
    assert lines <= LINES_ON_PAGE[False]


@pytest.mark.parametrize(("time_s", "said"), [(1.07, "1.1 s"), (0.52, "0.52 s"), (0.00546, "1/183 s"), (0.2, "1/5 s")])
def test_a_speed_is_said_as_a_photographer_says_it(time_s, said):
    assert say_speed(time_s) == said


def test_a_value_without_uncertainty_keeps_every_digit_written_down():
    assert say_reading(Reading(value=12.35, unit="mm")) == "12.35 mm (486.2 thou)"
    assert say_tolerance(Tolerance(unit="mm", lower=12.325, source="x")) == "at least 12.325 mm (485.2 thou)"
    assert say_reading(Reading(value=None, unit="mm", lower=0.35)) == "more than 0.35 mm (13.8 thou)"


def test_an_error_without_uncertainty_shows_none():
    assert say_stops(-0.5, None) == "−0.50"


def test_a_small_uncertainty_is_rounded_up_and_never_to_nothing():
    assert say_stops(0.891, 0.001) == "+0.89 ± 0.01"
    assert say_stops(0.9, 0.03) == "+0.90 ± 0.03"


@given(st.text(max_size=300), st.integers(5, 80))
def test_a_shortened_text_is_never_longer_than_asked(text, most):
    assert len(shorten(text, most)) <= most


def test_every_proof_of_the_list_stands_in_the_record_with_its_tolerance_and_source(full_job):
    rows = {row[0]: row for row in section(full_job, "proofs").rows}
    assert set(rows) == {line.name for line in proof_list(full_job)}
    assert rows["speed 1/250"][1:] == (
        "0.900 ± 0.030 stop; 7.464 ms (1/134 s), 3 shots",
        "0.450 ± 0.030 stop; 5.464 ms (1/183 s), 3 shots",
        "± 0.3333 stop; a third of a stop, agreed with the owner; light sensor and sound input",
        "outside",
    )
    assert rows["flash sync"][4] == "not applicable"


def test_the_guard_band_and_the_greatest_risk_are_said(full_job):
    content = handover_content(full_job, as_of="today")
    assert any("guard multiplier 1" in line and "2.3%" in line for line in content.about)
    # 0.02 within +-0.09 at u 0.008: the nearer limit is 8.75 standard deviations away.
    notes = section(full_job, "proofs").notes
    assert any("likeliest to be outside in truth is infinity, less than 0.1 %" in note for note in notes)


def test_readings_stand_by_what_they_are_of(write):
    def taken(quantity, **more):
        return ReadingTaken(quantity=quantity, reading=Reading(value=1.0, unit="mm"), **more)

    job = write([OPENED, taken("helical lead"), taken("corner depth"), taken("spring torque"), taken("weight of lid")])
    topics = {name: [row[0] for row in section(job, name).rows] for name in ("focus", "planes", "springs", "readings")}
    assert topics == {
        "focus": ["helical lead"],
        "planes": ["corner depth"],
        "springs": ["spring torque"],
        "readings": ["weight of lid"],
    }


def test_a_spring_wound_anew_stands_with_its_dimensions(write):
    rate = Reading(value=36.6, unit="N·mm/turn")
    raw = ("wire: 0.5 mm", "turns: 6")
    job = write([OPENED, ReadingTaken(quantity="spring rate", place="left strut", reading=rate, raw=raw)])
    assert section(job, "wound").rows == (("left strut", "wire: 0.5 mm; turns: 6", "36.6 N·mm/turn"),)


def test_days_are_those_of_the_bench_s_own_clock(monkeypatch):
    # 2026-11-25 23:30 UTC is the 26th in a zone two hours east.
    monkeypatch.setenv("TZ", "EAST-2")
    time.tzset()
    try:
        assert say_day_of(1_795_649_400_000) == "2026-11-26"
    finally:
        monkeypatch.undo()
        time.tzset()


def test_a_proof_stands_with_what_it_was_proved_with_and_stale_once_that_read_wrongly(write):
    proof = Proof(what="infinity", verdict="within", instrument="collimator")
    rows = {row[0]: row for row in section(write([OPENED, proof]), "proofs").rows}
    assert rows["infinity"][3].endswith("; collimator")
    job = write([OPENED, proof, InstrumentWrong(instrument="collimator", since=date(2023, 11, 1), since_ms=0)])
    row = next(row for row in section(job, "proofs").rows if row[0] == "infinity")
    assert row[2] == "within (collimator read wrongly then)"
    assert row[4] == "stale, was within"
    assert section(job, "instruments").rows[-1][0] == "collimator"


def test_an_instrument_stands_with_what_it_was_last_checked_against(full_job):
    check = InstrumentCheck(sort="gauge", uncertainty="0.01 mm", checked="2026-03-14", against="gauge block 5.000 mm")
    content = handover_content(full_job, as_of="today", checks={"depth gauge": check})
    rows = next(one for one in content.sections if one.name == "instruments").rows
    assert rows[0] == ("depth gauge", "gauge", "0.01 mm", "2026-03-14", "gauge block 5.000 mm")
    assert rows[1] == ("sound input", "named by readings only", "not known", "not known", "not known")
