"""The teardown pages: notes, access, ledger, what freed what, a loose screw, a driver."""

import io
import json
import math
import re
from typing import Any
from urllib.parse import urlencode

import pypdf
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from asfound.job.observing import NotesFile

TASKS = ("", "/access", "/ledger", "/freed", "/screw", "/reach", "/drivers")
ASKED: dict[str, dict[str, str]] = {
    "/access": {"part": "pallet", "on": "this camera as it is"},
    "/ledger": {"entry": "20"},
    "/freed": {"step": "3 distance ring", "by": "1, 2"},
    "/screw": {"diameter": "1.38", "sure": "0.02", "pitch": "", "length": "", "head": "", "slot": "", "flank": ""},
    "/drivers": {"name": "fine", "thick": "0.4", "wide": "1.5", "shaft": "1.5", "long": "40", "handle": "8"},
    "/reach": {"depth": "20", "opening": "6", "height": "", "gap": "", "slot": "", "head": "", "drivers": ""},
}


@pytest.fixture
def ask(bench: Any, job_path: str) -> Any:
    """Give a function that sends the form of a task, changed, and returns the answer."""
    return lambda path, **changed: bench.get(f"{job_path}/teardown{path}?{urlencode({**ASKED[path], **changed})}")


@pytest.mark.parametrize("path", TASKS)
def test_every_task_shows_its_form_or_what_is_known(bench: Any, job_path: str, path: str) -> None:
    assert bench.get(f"{job_path}/teardown{path}").status_code == 200


@pytest.mark.parametrize("path", TASKS)
def test_every_task_stands_in_a_job_where_nothing_came_off(empty_bench: Any, path: str) -> None:
    job = empty_bench.post("/jobs", model="Invented").headers["location"]
    assert empty_bench.get(f"{job}/teardown{path}").status_code == 200


def test_the_notes_show_order_fasteners_readings_and_faults(bench: Any, job_path: str, words: Any) -> None:
    text = words(bench.get(f"{job_path}/teardown").text)
    for wanted in ("as found on 1 camera", "4 × countersunk slot screw M1.4 × 2.4 mm", "slow speeds drag", "0.4 mm"):
        assert wanted in text, wanted
    assert "only camera of its model" in text


def test_a_new_job_on_a_known_model_starts_with_what_comes_next(bench: Any, words: Any) -> None:
    job = bench.post("/jobs", model="Merle Six-Nine").headers["location"]
    bench.post(job + "/line", text="off leather disc, tray A1")
    text = words(bench.get(f"{job}/teardown").text)
    assert "Next, as other cameras tell Set screws of distance ring" in text
    assert "Lay ready fine blade" in text


def test_the_notes_are_handed_out_typeset_and_as_an_open_file(bench: Any, job_path: str) -> None:
    pdf = bench.get(f"{job_path}/teardown/notes.pdf")
    text = " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf.content)).pages)
    assert "Merle Six-Nine" in " ".join(text.split())
    told = bench.get(f"{job_path}/teardown/notes.json")
    assert NotesFile.model_validate_json(told.text).model == "Merle Six-Nine"
    assert json.loads(told.text)["cameras"][0]["serial"] == ""


def test_what_must_come_off_is_told_with_tools(ask: Any, words: Any) -> None:
    text = words(ask("/access").text)
    for wanted in ("7 parts to take off, the least there is", "6. retard train", "Lay ready fine blade"):
        assert wanted in text, wanted
    assert "Nothing more must come off" in words(ask("/access", part="front cell").text)
    assert "1. leather disc" in words(ask("/access", on="a whole one of its model").text)


def test_an_unknown_part_is_told_beside_its_field_with_the_nearest(ask: Any, words: Any) -> None:
    answer = ask("/access", part="palet")
    assert answer.status_code in (404, 422)
    assert "did you mean" in words(answer.text).lower()
    assert 'value="palet"' in answer.text


def test_the_ledger_is_told_now_and_after_an_entry(bench: Any, job_path: str, ask: Any, words: Any) -> None:
    text = words(bench.get(f"{job_path}/teardown/ledger").text)
    assert "Everything is accounted for" in text
    assert "D6 finder cover, 2 × raised slot screw M1.4 × 2.5 mm" in text
    assert "After entry 20" in words(ask("/ledger").text)
    for wrong in ("999", "2.5"):
        assert ask("/ledger", entry=wrong).status_code in (404, 422)


def test_what_freed_a_step_is_written_and_loosens_the_order(
    bench: Any, job_path: str, ask: Any, practice_book: Any
) -> None:
    assert "freed by 1 leather disc" in ask("/freed", step="4 name ring", by="1").text.lower()
    bench.follow(bench.post(f"{job_path}/teardown/freed", step="4 name ring", by="1"))
    step = practice_book.job(practice_book.jobs()[0].id).steps[3]
    assert (step.part, step.assumed, len(step.freed_by)) == ("name ring", False, 1)
    assert "name ring, by leather disc" in bench.get(job_path).text
    refused = bench.post(f"{job_path}/teardown/freed", step="1 leather disc", by="4")
    assert refused.status_code == 422
    assert "there is no step" in ask("/freed", by="88").text


def test_a_loose_screw_is_named_and_sent_home(ask: Any, words: Any) -> None:
    text = words(ask("/screw", pitch="0.3", length="2.5", head="raised").text)
    # ISO 261 (read): M1.4 has a coarse pitch of 0.3 mm; the miniature S1.40 is alike.
    assert "M1.4 or S1.40" in text
    assert "It may be of set screws of distance ring or finder cover" in text


def test_a_driver_that_must_lean_too_far_is_told(ask: Any, words: Any) -> None:
    text = words(ask("/reach", height="10", gap="0.8", drivers="0.4x2 shaft 3x40\n0.4x2 shaft 0.8x40").text)
    # Near side of the shaft at the edge, 0.3 mm free: h sin t + (g - 0.3) cos t = r.
    tilt = math.degrees(math.asin(1.5 / math.hypot(10, 0.5)) - math.atan2(0.5, 10))
    assert f"leans {tilt:.1f} degrees" in text
    assert "Take 0.4 x 2, shaft 0.8 x 40" in text


@pytest.mark.parametrize("changed", [{"drivers": "blunt"}, {"depth": "deep"}, {"height": "3"}, {"opening": "-4"}])
def test_a_place_that_cannot_be_is_told_beside_its_field(ask: Any, changed: dict[str, str]) -> None:
    answer = ask("/reach", **changed)
    assert answer.status_code == 422
    assert len(re.findall('aria-invalid="true"', answer.text)) == 1


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(path=st.sampled_from(sorted(ASKED)), data=st.data())
def test_any_text_is_answered_and_stays_in_the_form(ask: Any, path: str, data: st.DataObject) -> None:
    field = data.draw(st.sampled_from(sorted(ASKED[path])))
    typed = data.draw(st.text(max_size=12) | st.floats(allow_nan=False).map(str) | st.integers().map(str))
    assert ask(path, **{field: typed}).status_code in (200, 404, 422)


def test_the_tray_is_a_picture_and_every_screw_a_mark(bench: Any, job_path: str) -> None:
    page = bench.get(f"{job_path}/teardown/ledger").text
    for title in ("The tray", "Every fastener, off and back"):
        assert page.count(f">{title}</title>") == 2, title  # at the desk and on the telephone
    assert "D6: finder cover, 2 × raised slot screw M1.4 × 2.5 mm" in page


def test_a_driver_that_is_kept_is_tried_for_every_screw(bench: Any, job_path: str, ask: Any, words: Any) -> None:
    place = f"{job_path}/teardown/drivers"
    bench.follow(bench.post(place, **ASKED["/drivers"], choice="put in"))
    text = words(ask("/reach").text)
    assert "take fine" in text.lower()
    again = bench.post(place, **ASKED["/drivers"], choice="put in")
    assert again.status_code == 409
    assert "there is a driver" in words(again.text).lower()
    button = re.search(r'name="choice" value="(1 [^"]+)"', bench.get(place).text)
    assert button is not None
    bench.follow(bench.post(place, choice=button[1]))
    assert "take fine" not in words(ask("/reach").text).lower()
    assert bench.post(place, choice=button[1]).status_code in (404, 409)


def test_notes_of_another_bench_are_taken_in_on_the_page(bench: Any, job_path: str, words: Any) -> None:
    given = json.loads(bench.get(f"{job_path}/teardown/notes.json").text)
    given["cameras"][0]["camera"] = "7" * 64
    place = f"{job_path}/teardown/take-in"
    file = {"file": ("merle.json", json.dumps(given).encode(), "application/json")}
    text = words(bench.follow(bench.post(place, files=file)).text)
    assert "1 new camera of the model Merle Six-Nine" in text
    assert "as found on 2 cameras" in text
    assert "0 new cameras" in words(bench.follow(bench.post(place, files=file)).text)


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"\xff\xfe\x00", "this is no text"),
        (b"{", "this is no JSON"),
        (b'{"model": "Otter"}', "cameras: it is missing"),
        (
            b'{"model": "Otter", "cameras": [{"camera": "7", "model": "Otter"}]}',
            "cameras 1, camera: string should match",
        ),
        (b'{"model": "Otter", "cameras": [], "owner": "A. Nobody"}', "owner: no such thing belongs there"),
    ],
)
def test_a_malformed_file_of_notes_is_told_with_its_place(
    bench: Any, job_path: str, words: Any, content: bytes, told: str
) -> None:
    answer = bench.post(f"{job_path}/teardown/take-in", files={"file": ("otter.json", content, "application/json")})
    assert answer.status_code == 422
    assert told.lower() in words(answer.text).lower()
    assert "as found on 1 camera" in words(answer.text)


def test_a_job_says_by_itself_what_came_next_on_other_cameras(bench: Any) -> None:
    def told(job: str) -> Any:
        return bench.get("/api" + job.replace("/job/", "/jobs/") + "/coming").json()

    job = bench.post("/jobs", model="Merle Six-Nine").headers["location"]
    assert (told(job)["cameras"], told(job)["parts"][0]) == (1, "leather disc")
    bench.post(job + "/line", text="off leather disc, tray A1")
    assert told(job)["parts"][0] == "set screws of distance ring"
    alone = bench.post("/jobs", model="Invented").headers["location"]
    assert told(alone) == {"cameras": 0, "parts": []}


def test_a_reading_is_told_with_what_other_cameras_had(bench: Any, words: Any) -> None:
    for value in ("0.30", "0.31", "0.29"):
        job = bench.post("/jobs", model="Invented").headers["location"]
        bench.post(job + "/line", text=f"gap at pointer {value}")
    job = bench.post("/jobs", model="Invented").headers["location"]
    text = words(bench.follow(bench.post(job + "/line", text="gap at pointer 0.3")).text)
    assert "Elsewhere: gap pointer: 0.30" in text
    text = words(bench.follow(bench.post(job + "/line", text="gap at pointer 0.9")).text)
    assert "Look again: 0.9 mm lies outside what other cameras had" in text
