"""What was taken with an instrument: named by readings and proofs, and by a dial that says nothing else."""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from asfound.job.bodies import Attached, Camera, Opened, Proof, ReadingTaken, Recording, ShutterTable, SpeedRow, Struck
from asfound.job.fold import fold
from asfound.job.instruments import instruments_used
from asfound.job.job import key
from asfound.job.staleness import taken_with
from asfound.quantity import Reading

ROW = SpeedRow(
    marked="1", reference_s=1, times_s=(1.0,), mean_s=1, error_stops=0, tolerance_stops=0.3, verdict="within"
)
NAMES = ("depth gauge", "Depth  Gauge", "calliper", "sound input", "")


def read_with(name):
    return ReadingTaken(quantity="depth", instrument=name, reading=Reading(value=1.0, unit="mm"))


def proved_with(name):
    return Proof(what="infinity", verdict="within", instrument=name or None)


def dial_with(name, recording=None):
    return ShutterTable(stage="as left", rows=(ROW,), tolerance_source="x", instrument=name, recording=recording)


def used(bench):
    return {one.name: (one.times, one.last_ms) for one in instruments_used(fold(bench.entries).live)}


def test_readings_and_proofs_of_one_name_count_together_whatever_its_case(bench):
    bench.write(read_with("depth gauge"))
    last = bench.write(proved_with("Depth  Gauge"))
    bench.write(proved_with(""))
    assert used(bench) == {"depth gauge": (2, last.clock.wall_ms)}


def test_what_is_struck_through_names_nothing(bench):
    entry = bench.write(read_with("depth gauge"))
    bench.write(Struck(entry=entry.id))
    assert used(bench) == {}


@pytest.mark.parametrize(
    ("sort", "said", "named"),
    [("light", "", ["sound input"]), ("video", "", []), ("video", "frames", ["frames"]), ("sound", "box", ["box"])],
)
def test_a_dial_that_names_nothing_was_timed_by_the_sound_input_unless_it_was_filmed(bench, sort, said, named):
    file = Attached(sha256="a" * 64, name="a", media_type="x/y", size=1)
    recording = bench.write(Recording(attachment=file, sort=sort))
    bench.write(dial_with(said, recording.id))
    assert list(used(bench)) == named


made = st.builds(
    lambda make, name: make(name), st.sampled_from((read_with, proved_with, dial_with)), st.sampled_from(NAMES)
)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(made, max_size=12), st.sampled_from(NAMES[:-1]), st.integers(0, 12))
def test_an_instrument_has_spoilt_something_since_a_moment_just_where_its_last_use_is_not_before(
    new_bench, bodies, name, at
):
    bench = new_bench()
    bench.write(Opened(ticket="1", camera=Camera(model="Practice Six")))
    entries = bench.all(bodies)
    since = entries[at].clock.wall_ms if at < len(entries) else 0
    live = fold(bench.entries).live
    last = {key(one.name): one.last_ms for one in instruments_used(live)}.get(key(name), -1)
    assert bool(taken_with(live, name, since)) == (last >= since)
