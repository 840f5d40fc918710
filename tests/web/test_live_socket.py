"""The live connection: sound in, numbers out, nothing received ever lost; and who may not connect."""

import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any
from uuid import UUID

import numpy as np
import pytest
from starlette.websockets import WebSocketDisconnect

from asfound.book import Book
from asfound.book.spool import SpooledBlock, left_spools, read_spool
from asfound.problems import BadInputError
from asfound.shutter import SoundInput, exposure_lasting, simulate
from asfound.web.live.wire import HEAD, read_block, write_block
from asfound.web.security import COOKIE

RATE = 48_000
MARKS = {"1/25": 1 / 25, "1/50": 1 / 50, "1/100": 1 / 100}
TYPED = {"kind": "light", "fired": "the whole dial", "marked": "1/25, 1/50, 1/100", "each": "1", "tolerance": "1/3"}
BLOCK = 512
DIAL = {
    "stage": "as left",
    "grouping": "as walked live",
    "marked": "1/25, 1/50, 1/100",
    "shots": "3",
    "tolerance": "1/3",
    "rested": "no",
    "marks": "exact value",
}


@pytest.fixture(scope="module")
def fired() -> tuple[Any, Any]:
    """Give one shot each at 1/25, 1/50 and 1/100, a tenth slow, at 48 kHz, with the truth."""
    line = SoundInput(sample_rate_hz=RATE, level=0.5, noise_rms=0.002, coupling_hz=(5.0,))
    samples, truths = simulate([exposure_lasting(1.1 * t) for t in MARKS.values()], line, gap_s=0.5, seed=11)
    return np.asarray(samples, np.float32), truths


class Page:
    """A page's side of the connection, as its scripts do it."""

    def __init__(self, socket: Any, token: str, session: str | None = None, **more: Any) -> None:
        self.socket = socket
        self.state: dict[str, Any] = {}
        self.acknowledged = 0
        hello = {"kind": "hello", "token": token, "session": session, "rate": RATE, "typed": TYPED} | more
        self.ask(**hello)

    def ask(self, **message: Any) -> None:
        self.socket.send_text(json.dumps(message))

    def send(self, samples: Any, *, first: int = 0, epoch: int = 5) -> None:
        for at in range(0, samples.size, BLOCK):
            self.socket.send_bytes(write_block(SpooledBlock(epoch, first + at, False, samples[at : at + BLOCK])))

    def hear(self, kind: str, enough: Callable[[dict[str, Any]], bool] = lambda _: True) -> dict[str, Any]:
        """Wait for a message of this kind that is enough."""
        while True:
            message: dict[str, Any] = json.loads(self.socket.receive_text())
            self.state = message if message["kind"] == "state" else self.state
            if message["kind"] == "ack":
                self.acknowledged = message["frame"]
            if message["kind"] == kind and enough(message):
                return message
            assert message["kind"] != "refused", message

    def until_kept(self, frame: int) -> None:
        while self.acknowledged < frame:
            self.hear("ack")

    def until_shots(self, count: int) -> dict[str, Any]:
        return self.hear("state", lambda state: sum(shot["final"] for shot in state["shots"]) >= count)


@pytest.fixture
def connect(bench: Any, job_path: str) -> Iterator[Callable[..., Any]]:
    """Give a function that connects a page to a session of the practice job."""

    @contextmanager
    def start(session: str | None = None, **more: Any) -> Iterator[Page]:
        cookie = f"{COOKIE}={bench.client.cookies[COOKIE]}"
        headers = {"Host": "127.0.0.1:8642", "Origin": "http://127.0.0.1:8642", "Cookie": cookie}
        with bench.client.websocket_connect(f"{job_path}/shutter/live/socket", headers=headers) as socket:
            yield Page(socket, more.pop("token", bench.token), session, **more)

    with bench.client:  # all connections in one loop, as the server has them
        yield start


def test_each_firing_is_shown_first_and_then_for_good(connect: Any, fired: Any) -> None:
    samples, truths = fired
    sent = 0
    with connect() as page:
        page.hear("welcome")
        for number, truth in enumerate(truths, start=1):
            for after_s, final in ((0.04, False), (0.3, True)):
                until = round((truth.start_s + truth.total_open_s + after_s) * RATE)
                page.send(samples[sent:until], first=sent)
                sent = until
                state = page.hear("state", lambda state, n=number: len(state["shots"]) == n)
                shot = state["shot"]
                assert (shot["number"], shot["final"]) == (number, final)
                assert float(shot["time"].removesuffix(" ms")) == pytest.approx(truth.effective_s * 1e3, rel=5e-3)
                assert (shot["error"], shot["verdict"]) == ("0.14 stop slow", "within")
                assert shot["nearest"] == f"{list(MARKS)[number - 1]}, 0.14 stop slow"
                assert len(shot["trace"]["time_s"]) > 100


def test_the_dial_is_walked_struck_and_picked(connect: Any, fired: Any) -> None:
    samples, truths = fired
    after_two = round((truths[2].start_s - 0.2) * RATE)
    with connect() as page:
        state = page.hear("state")
        assert (state["at"], state["left"], state["then"]) == ("1/25", 1, "1/50")
        page.send(samples[:after_two])
        state = page.until_shots(2)
        assert (state["at"], state["left"], state["then"]) == ("1/100", 1, "")
        page.ask(kind="strike")
        state = page.hear("state", lambda state: state["shots"][1]["struck"])
        assert (state["at"], state["then"]) == ("1/50", "1/100")
        page.ask(kind="step", step=1)
        assert page.hear("state")["at"] == "1/100"
        page.ask(kind="pick", mark="1/25")
        assert page.hear("state")["at"] == "1/25"
        page.ask(kind="strike", number=2)
        assert not page.hear("state")["shots"][1]["struck"]


def test_after_a_lost_connection_nothing_is_lost_and_nothing_doubled(
    connect: Any, fired: Any, practice_book: Book
) -> None:
    samples, truths = fired
    half = round((truths[1].start_s + 0.01) * RATE)
    with connect() as page:
        session = page.hear("welcome")["session"]
        page.send(samples[:half])
        page.hear("ack", lambda ack: ack["frame"] > half // 2)
        kept = page.acknowledged
    with connect(session) as page:
        welcome = page.hear("welcome")
        assert welcome["epoch"] == 5
        assert kept <= welcome["frame"] <= half
        page.send(samples[welcome["frame"] - 1000 :], first=welcome["frame"] - 1000)
        state = page.until_shots(3)
        page.until_kept(samples.size)
    assert state["lost"] == ""
    assert len(state["shots"]) == 3
    (path,) = left_spools(practice_book.location.folder)
    received = np.zeros(samples.size, np.float32)
    for record in read_spool(path).records():
        if isinstance(record, SpooledBlock):
            received[record.frame : record.frame + record.samples.size] = record.samples
    assert np.array_equal(received, samples)


def test_a_session_that_the_server_forgot_is_taken_up_from_the_disk(bench: Any, connect: Any, fired: Any) -> None:
    samples, _ = fired
    with connect() as page:
        session = page.hear("welcome")["session"]
        page.send(samples)
        page.until_shots(3)
        page.ask(kind="strike", number=2)
        page.hear("state", lambda state: state["shots"][1]["struck"])
        page.until_kept(samples.size)
    bench.client.app.state.desk.memory.live.close()
    with connect(session) as page:
        state = page.hear("state")
    assert [shot["struck"] for shot in state["shots"]] == [False, True, False]
    assert state["at"] is None


def test_the_end_is_a_recording_with_the_dial_ready_to_be_written(
    bench: Any, connect: Any, fired: Any, practice_book: Book, pool: Any, words: Any
) -> None:
    samples, truths = fired
    job = practice_book.jobs()[0].id
    with connect(typed=TYPED | {"stage": "as left", "aperture": "4.5"}) as page:
        page.send(samples)
        page.until_shots(3)
        page.ask(kind="end")
        href = page.hear("ended")["href"]
    assert left_spools(practice_book.location.folder) == ()
    _, body = practice_book.job(job).recordings[-1]
    assert (body.sort, body.stage) == ("light", "as left")
    desk = bench.client.app.state.desk
    pool.wait(desk.memory.tasks[UUID(href.rpartition("=")[2])], 60)
    text = words(bench.get(href).text)
    assert "3 firings" in text
    assert "Shot at f/4.5" in text
    fields = dict(DIAL, recording=href.rpartition("=")[2], struck="2")
    answer = bench.post(f"/job/{job}/shutter/dial", **fields)
    assert answer.status_code == 303, answer.text
    rows = practice_book.job(job).tables[-1].body.rows
    assert [row.marked for row in rows] == ["1/25", "1/100"]
    assert [row.mean_s for row in rows] == pytest.approx([truths[0].effective_s, truths[2].effective_s], rel=2e-3)


@pytest.mark.parametrize(
    ("typed", "where"),
    [
        ({"marked": "1/25, soon"}, "marked"),
        ({"marked": "1/25, 1/25"}, "marked"),
        ({"each": "none"}, "each"),
        ({"tolerance": "wide"}, "tolerance"),
        ({"aperture": "999"}, "aperture"),
        ({"stage": "later"}, "stage"),
    ],
)
def test_what_is_wrong_in_the_form_is_said_before_anything_is_kept(
    connect: Any, practice_book: Book, typed: dict[str, str], where: str
) -> None:
    with connect(typed=TYPED | typed) as page:
        assert [one["where"] for one in page.hear("refused")["problems"]] == [where]
    assert left_spools(practice_book.location.folder) == ()


@pytest.mark.parametrize("more", [{"token": "0" * 64}, {"rate": 0}, {"rate": "fast"}, {"session": "0" * 32}])
def test_a_page_that_is_no_page_of_this_session_is_refused(connect: Any, practice_book: Book, more: Any) -> None:
    with connect(**more) as page:
        page.hear("refused")
    assert left_spools(practice_book.location.folder) == ()


def test_another_sample_rate_needs_another_session(connect: Any) -> None:
    with connect() as page:
        session = page.hear("welcome")["session"]
    with connect(session, rate=44_100) as page:
        (problem,) = page.hear("refused")["problems"]
    assert "48000 Hz" in problem["what"]


def test_the_page_opened_last_has_the_session(connect: Any, fired: Any) -> None:
    samples, _ = fired
    with connect() as first:
        session = first.hear("welcome")["session"]
        with connect(session) as second:
            second.hear("welcome")
            with pytest.raises(WebSocketDisconnect) as closed:
                first.hear("never")
            assert closed.value.code == 4002
            second.send(samples[:5000])
            second.hear("ack")


@pytest.mark.parametrize("message", [b"", b"short", HEAD.pack(1, 0, 0.0, 3, 0), HEAD.pack(1, 0, -1.0, 0, 0)])
def test_a_block_that_cannot_be_read_ends_the_connection_with_a_word(connect: Any, message: bytes) -> None:
    with connect() as page:
        page.hear("welcome")
        page.socket.send_bytes(message)
        assert "cannot be read" in page.hear("refused")["problems"][0]["what"]


@pytest.mark.parametrize("text", ["", "no json", "[]", "{}", "3"])
def test_words_that_are_not_understood_end_the_connection_with_a_word(connect: Any, text: str) -> None:
    with connect() as page:
        page.hear("welcome")
        page.socket.send_text(text)
        assert "not understood" in page.hear("refused")["problems"][0]["what"]


def test_a_block_is_read_as_it_was_written() -> None:
    samples = np.array([0.5, -1.0, 2.0**-20], np.float32)
    block = read_block(write_block(SpooledBlock(9, 2**40, True, samples)))
    assert (block.epoch, block.frame, block.doubtful) == (9, 2**40, True)
    assert np.array_equal(block.samples, samples)


def test_samples_that_are_no_numbers_do_no_harm() -> None:
    block = read_block(write_block(SpooledBlock(1, 0, False, np.array([np.nan, np.inf, 1e30], np.float32))))
    assert block.samples.tolist() == [0.0, 1.0, 8.0]
    with pytest.raises(BadInputError):
        read_block(write_block(SpooledBlock(1, 0, False, np.empty(0, np.float32))))


def test_a_session_left_by_a_crash_is_offered_and_kept_by_one_button(
    bench: Any, connect: Any, fired: Any, job_path: str, practice_book: Book, words: Any
) -> None:
    samples, _ = fired
    with connect() as page:
        session = page.hear("welcome")["session"]
        page.send(samples)
        page.until_shots(3)
        page.until_kept(samples.size)
    bench.client.app.state.desk.memory.live.close()
    path = f"{job_path}/shutter/live"
    assert f"3 firings in {round(samples.size / RATE)} s of sound" in words(bench.get(path).text)
    answer = bench.post(f"{path}/keep", session=session)
    assert answer.status_code == 303
    assert left_spools(practice_book.location.folder) == ()
    assert bench.post(f"{path}/keep", session=session).status_code == 404


def test_a_session_ended_on_another_page_is_told_to_this_one(
    bench: Any, connect: Any, fired: Any, job_path: str
) -> None:
    samples, _ = fired
    with connect() as page:
        session = page.hear("welcome")["session"]
        page.send(samples)
        page.until_kept(samples.size)
        assert bench.post(f"{job_path}/shutter/live/keep", session=session).status_code == 303
        page.send(samples[:BLOCK], first=samples.size)
        assert page.hear("refused")["problems"][0]["what"] == "it was ended"


def test_a_session_left_can_be_thrown_away(bench: Any, connect: Any, job_path: str, practice_book: Book) -> None:
    with connect() as page:
        session = page.hear("welcome")["session"]
    path = f"{job_path}/shutter/live"
    assert bench.post(f"{path}/discard", session=session).status_code == 303
    assert bench.post(f"{path}/discard", session=session).status_code == 404
    assert left_spools(practice_book.location.folder) == ()


def test_without_scripts_the_page_says_what_it_needs(bench: Any, job_path: str) -> None:
    html = bench.get(f"{job_path}/shutter/live").text
    assert "needs JavaScript" in html
    assert f'href="{job_path}/shutter#upload"' in html
