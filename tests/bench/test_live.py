"""A live session: heard against the simulator's truth, kept through a crash, sealed into a recording once."""

from collections.abc import Callable, Iterator
from pathlib import Path
from uuid import UUID

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfound.bench.live import LivePlan, Session, Sessions, seal, throw_away, told_of, walked_by
from asfound.bench.live.ear import Ear
from asfound.bench.live.stream import Stream
from asfound.bench.measured import How
from asfound.bench.recordings import under_its_name
from asfound.bench.said import how_of, say_how
from asfound.bench.shutter import DialAsked, make_dial
from asfound.book import Book, in_folder
from asfound.book.spool import SpooledBlock, left_spools, read_spool
from asfound.capture import read_recording
from asfound.capture.live_file import Gap
from asfound.job.bodies import Camera
from asfound.problems import BadInputError, ConflictError, NotFoundError
from asfound.shutter import Flag, SoundInput, exposure_lasting, read_marked, simulate
from asfound.shutter.simulated.sound import simulate_clicks

RATE = 48_000
TIMES = (0.044, 0.043, 0.022, 0.0215, 0.011, 0.0108)
BLOCK = 512


@pytest.fixture(scope="module")
def fired():
    """Give samples of two shots each at 1/25, 1/50 and 1/100 with their truth, through a sound input."""
    line = SoundInput(sample_rate_hz=RATE, level=0.5, noise_rms=0.002, coupling_hz=(5.0,))
    samples, truths = simulate([exposure_lasting(t) for t in TIMES], line, gap_s=0.6, seed=5)
    return np.asarray(samples, np.float32), truths


@pytest.fixture
def book(tmp_path: Path, open_book: Callable[..., Book]) -> Book:
    return open_book(in_folder(tmp_path / "book"))


@pytest.fixture
def job(book: Book) -> UUID:
    return book.open_job(Camera(model="Six-Nine"))[0].job


@pytest.fixture
def begin(book: Book, job: UUID) -> Iterator[Callable[..., Session]]:
    """Give a function that begins a session; it is closed after the test."""
    open_ones = []

    def start(**more) -> Session:
        open_ones.append(Session.begin(book.location.folder, plan_of(job, **more)))
        return open_ones[-1]

    yield start
    for one in open_ones:
        one.close()


def plan_of(job: UUID, **more) -> LivePlan:
    speeds, _ = read_marked("1/25, 1/50, 1/100")
    given = {"how": How(kind="light"), "each": 2, "tolerance_stops": 1 / 3, "stage": "working"} | more
    return LivePlan(job=job, sample_rate_hz=float(RATE), speeds=speeds, **given)


def blocks(samples, *, epoch=1, first=0, size=BLOCK) -> Iterator[SpooledBlock]:
    for at in range(0, samples.size, size):
        yield SpooledBlock(epoch, first + at, False, samples[at : at + size])


def play(session: Session, these) -> list:
    news = []
    for one in these:
        session.receive(one)
        news += session.listen()
    return news


def test_each_firing_is_told_twice_and_agrees_with_the_truth(begin: Callable[..., Session], fired) -> None:
    samples, truths = fired
    session = begin()
    news = play(session, blocks(samples))
    assert [one.sort for one in news] == ["provisional", "final"] * len(truths)
    for at, truth in enumerate(truths):
        for one in news[2 * at : 2 * at + 2]:
            assert one.firing.effective_s == pytest.approx(truth.effective_s, rel=2e-3)
    assert [shot.marked for shot in session.walk.shots] == ["1/25", "1/25", "1/50", "1/50", "1/100", "1/100"]
    assert session.walk.at is None


def test_a_first_number_needs_no_more_than_50_ms_of_sound_after_the_end(fired) -> None:
    samples, truths = fired
    ear = Ear(sample_rate_hz=RATE, how=How(kind="light"), resolution=2.0**-23)
    after = []
    for at in range(0, samples.size, BLOCK):
        for one in ear.hear(samples[at : at + BLOCK], []):
            if one.sort == "provisional":
                truth = truths[len(after)]
                after.append((at + BLOCK) / RATE - truth.start_s - truth.total_open_s)
    assert len(after) == len(truths)
    assert max(after) < 0.05


def test_clicks_are_heard_too(begin: Callable[..., Session]) -> None:
    intervals = (0.05, 0.02)
    samples, _ = simulate_clicks(intervals, sample_rate_hz=RATE, noise_db=30, seed=2)
    session = begin(how=How(kind="sound"))
    news = play(session, blocks(samples))
    assert [shot.time_s for shot in session.walk.shots] == pytest.approx(intervals, abs=5e-4)
    assert {one.sort for one in news} == {"provisional", "final"}


def test_the_trace_of_a_firing_shows_its_light(fired) -> None:
    samples, _ = fired
    ear = Ear(sample_rate_hz=RATE, how=How(kind="light"), resolution=2.0**-23)
    found = [one.firing for one in ear.hear(samples, []) if one.sort == "final"]
    outline = ear.trace(found[-1])
    assert outline is not None
    assert outline.highest.max() == pytest.approx(0.5, abs=0.05)
    assert outline.times_s[0] < found[-1].start_s < outline.times_s[-1]


@given(st.lists(st.tuples(st.integers(0, 60), st.integers(1, 90)), max_size=12))
def test_the_stream_is_the_same_however_it_is_cut_and_sent_again(steps):
    samples = np.arange(1, 400, dtype=np.float32)
    stream, got, sent = Stream(sample_rate_hz=RATE), [], 0
    for back, length in [*steps, (0, samples.size)]:
        begin = max(0, sent - back)
        piece = samples[begin : begin + length]
        got.append(stream.add(SpooledBlock(4, 1000 + begin, False, piece)))
        sent = max(sent, begin + piece.size)
    assert np.array_equal(np.concatenate(got), samples)
    assert stream.gaps == []


@given(st.integers(1, 40_000), st.integers(1, 5000))
def test_what_is_missing_is_counted(before, missing):
    stream = Stream(sample_rate_hz=RATE)
    stream.add(SpooledBlock(1, 0, False, np.full(before, 0.25, np.float32)))
    added = stream.add(SpooledBlock(1, before + missing, False, np.ones(10, np.float32)))
    assert stream.gaps == [Gap(before, missing, missing)]
    assert added.size == missing + 10
    assert set(added[:missing]) == {np.float32(0.25)}


def test_a_long_gap_and_another_opening_of_the_page_are_told_too() -> None:
    stream = Stream(sample_rate_hz=RATE)
    piece = np.ones(100, np.float32)
    stream.add(SpooledBlock(1, 0, True, piece))
    stream.add(SpooledBlock(1, 10_000_000, False, piece))
    stream.add(SpooledBlock(2, 0, False, piece))
    stream.add(SpooledBlock(2, 100, True, piece))
    filled = round(0.2 * RATE)
    assert [gap.missing for gap in stream.gaps] == [9_999_900, None, None]
    assert [gap.filled for gap in stream.gaps] == [filled, 0, 0]
    assert stream.length == 400 + filled


def test_a_gap_within_a_firing_leaves_it_without_a_time(begin: Callable[..., Session], fired) -> None:
    samples, truths = fired
    session = begin()
    hole = round((truths[2].start_s + 0.005) * RATE)
    play(session, (one for one in blocks(samples) if not one.frame <= hole < one.frame + BLOCK))
    shots = session.walk.shots
    assert Flag.GAP in shots[2].firing.flags
    assert [shot.time_s is None for shot in shots] == [False, False, True, False, False, False]
    assert session.walk.left("1/100") == 1


def test_a_block_sent_again_is_not_kept_again(begin: Callable[..., Session], fired) -> None:
    samples, _ = fired
    session = begin()
    these = list(blocks(samples[:20_000]))
    play(session, these[:20])
    size = session.spool.size
    play(session, these[:20])
    assert session.spool.size == size
    play(session, blocks(samples[:2000], epoch=2))
    size = session.spool.size
    play(session, these)
    assert session.spool.size == size


def test_only_what_is_on_the_disk_is_acknowledged(begin: Callable[..., Session], fired) -> None:
    samples, _ = fired
    session = begin()
    assert session.sync() is None
    play(session, blocks(samples[:BLOCK], first=700))
    assert session.kept is None
    assert session.sync() == (1, 700 + BLOCK)
    assert session.kept == (1, 700 + BLOCK)
    assert session.sync() is None


def crashed(book: Book, job: UUID, samples) -> tuple[Path, Session]:
    session = Session.begin(book.location.folder, plan_of(job))
    play(session, blocks(samples))
    session.strike()
    session.pick("1/50")
    session.close()
    return session.spool.path, session


def test_after_a_crash_the_session_goes_on_where_it_was(book: Book, job: UUID, fired) -> None:
    samples, _ = fired
    path, before = crashed(book, job, samples)
    again = Sessions().find(book, job, before.plan.session)
    assert again.plan == before.plan
    assert again.walk.at == "1/50"
    assert [shot.struck for shot in again.walk.shots] == [False] * 5 + [True]
    assert [shot.marked for shot in again.walk.shots] == [shot.marked for shot in before.walk.shots]
    assert again.kept == (1, samples.size)
    again.receive(SpooledBlock(9, 0, False, samples[:BLOCK]))
    again.listen()
    assert [gap.missing for gap in again.stream.gaps] == [None]
    again.close()
    assert sum(isinstance(one, SpooledBlock) for one in read_spool(path).records()) == -(-samples.size // BLOCK) + 1


@pytest.mark.parametrize("share", [0.0, 0.501, 1.0])
def test_what_was_received_is_sealed_wherever_it_was_cut(book: Book, job: UUID, fired, share: float) -> None:
    samples, truths = fired
    path, _ = crashed(book, job, samples)
    whole, begin = path.read_bytes(), read_spool(path).begin
    path.write_bytes(whole[: begin + 2200 + int(share * (len(whole) - begin - 2200))])
    received = np.concatenate([r.samples for r in read_spool(path).records() if isinstance(r, SpooledBlock)])
    entry = seal(book, path)
    with under_its_name(book.attachment_path(entry.body.attachment.sha256), "live.flac") as shown:
        if received.size < truths[0].start_s * RATE:
            with pytest.raises(BadInputError, match="no firing"):
                read_recording(shown, kind="light")
            return
        found = read_recording(shown, kind="light")
    assert found.duration_s == pytest.approx(received.size / RATE)
    done = [truth for truth in truths if truth.start_s + truth.total_open_s + 0.05 < found.duration_s]
    times = [firing.effective_s for firing in found.firings]
    assert times[: len(done)] == pytest.approx([truth.effective_s for truth in done], rel=2e-3)


def test_a_sealed_session_fills_the_dial_as_it_was_walked(book: Book, job: UUID, fired) -> None:
    samples, truths = fired
    path, _ = crashed(book, job, samples)
    entry = seal(book, path)
    assert left_spools(book.location.folder) == ()
    attached = entry.body.attachment
    with under_its_name(book.attachment_path(attached.sha256), attached.name) as shown:
        found = read_recording(shown, kind="light")
    told = told_of(book, attached.sha256)
    assert told is not None
    walked = walked_by(found.firings, told)
    assert walked.struck == {6}
    made = make_dial(found.firings, DialAsked(marked="1/25,1/50,1/100", struck=walked.struck, walked=walked.speeds))
    assert [row.n for row in made.dial.rows] == [2, 2, 1]
    for at, row in enumerate(made.dial.rows):
        good = [truth.effective_s for truth in truths[2 * at : 2 * at + row.n]]
        assert row.mean_s == pytest.approx(np.mean(good), rel=1e-3)


def test_a_session_is_not_sealed_twice(book: Book, job: UUID, fired) -> None:
    samples, _ = fired
    path, _ = crashed(book, job, samples)
    content = path.read_bytes()
    first = seal(book, path)
    path.write_bytes(content)
    assert seal(book, path).id == first.id
    assert len(book.job(job).recordings) == 1
    assert left_spools(book.location.folder) == ()


def test_how_it_was_recorded_goes_into_the_book_with_the_session(book: Book, job: UUID, fired) -> None:
    samples, _ = fired
    how = How(kind="light", aperture=4.5, whole_pupil=True)
    session = Session.begin(book.location.folder, plan_of(job, how=how))
    play(session, blocks(samples))
    session.close()
    content = session.spool.path.read_bytes()
    entry = seal(book, session.spool.path)
    assert how_of(book.job(job), entry.id) == how
    say_how(book, job, entry.id, How(kind="light", aperture=8.0))
    session.spool.path.write_bytes(content)  # as the end of the program between the two leaves it
    assert seal(book, session.spool.path).id == entry.id
    assert how_of(book.job(job), entry.id).aperture == 8.0


def test_what_comes_after_the_end_is_not_taken(book: Book, job: UUID, fired) -> None:
    samples, _ = fired
    sessions = Sessions()
    session = sessions.begin(book, plan_of(job))
    play(session, blocks(samples[:BLOCK]))
    entry, plan = sessions.end(book, job, session.plan.session)
    assert (entry.body.stage, plan) == ("working", session.plan)
    with pytest.raises(ConflictError, match="it was ended"):
        play(session, blocks(samples))
    session.sync()
    assert session.kept == (1, BLOCK)
    assert left_spools(book.location.folder) == ()
    with pytest.raises(NotFoundError):
        sessions.end(book, job, session.plan.session)


def test_a_session_without_sound_is_not_sealed(book: Book, begin: Callable[..., Session]) -> None:
    session = begin()
    session.close()
    with pytest.raises(BadInputError, match="no sound was received"):
        seal(book, session.spool.path)
    assert left_spools(book.location.folder) == (session.spool.path,)


def test_what_was_left_is_listed_and_can_be_thrown_away(book: Book, job: UUID, fired) -> None:
    samples, _ = fired
    _, before = crashed(book, job, samples)
    (book.location.folder / "live" / "nonsense.spool").write_bytes(b"nonsense")
    sessions = Sessions()
    (left,) = sessions.left(book, job)
    assert (left.shots, left.running) == (6, False)
    assert left.lasted_s == pytest.approx(samples.size / RATE)
    other = book.open_job(Camera(model="Another"))[0].job
    assert sessions.left(book, other) == ()
    for name in (before.plan.session, "../../etc", "0" * 32):
        with pytest.raises(NotFoundError):
            throw_away(sessions, book, other, name)
    throw_away(sessions, book, job, before.plan.session)
    assert sessions.left(book, job) == ()
