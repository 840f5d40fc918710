"""The shutter page: a recording kept and measured, its firings, the dial written down."""

import math
import re
import time
from pathlib import Path
from typing import Any

import pytest

from asfound.shutter import Firing, read_marked
from asfound.web.shutter.firing_rows import firing_row, nearest, show_stops, split_time

TRUTH_S = (1 / 25 * 1.1, 1 / 50 * 1.1, 1 / 100 * 1.1)


def api(job_path: str) -> str:
    return "/api" + job_path.replace("/job/", "/jobs/")


def send(bench: Any, job_path: str, content: bytes, name: str = "x.wav") -> Any:
    files = {"file": (name, content, "audio/wav")}
    return bench.client.post(
        api(job_path) + "/recordings", files=files, data={"stage": "working"}, headers={"X-Asfound-Token": bench.token}
    )


def wait(bench: Any, job_path: str, task: str) -> dict[str, Any]:
    until = time.monotonic() + 60
    while time.monotonic() < until:
        found: dict[str, Any] = bench.get(f"{api(job_path)}/tasks/{task}").json()
        if found["state"] not in ("waiting", "running"):
            return found
        time.sleep(0.05)
    raise TimeoutError


@pytest.fixture
def measured(bench: Any, job_path: str, wav_file: Path) -> str:
    """Keep and measure the recording; give its entry."""
    kept = send(bench, job_path, wav_file.read_bytes(), "three shots.wav").json()
    assert wait(bench, job_path, kept["task"])["state"] == "done"
    return str(kept["entry"])


def test_a_recording_is_measured_to_its_truth(bench: Any, job_path: str, measured: str) -> None:
    # The truth is the simulator's own: exposures of 1/25, 1/50 and 1/100 s, each a tenth long.
    firings = bench.get(f"{api(job_path)}/recordings/{measured}").json()["firings"]
    assert [f["effective_s"] for f in firings] == pytest.approx(TRUTH_S, rel=0.005)
    page = bench.get(f"{job_path}/shutter?recording={measured}").text
    assert "Firing 1" in page
    assert "1/25, 0.14 stop slow" in page  # log2(1.1) = 0.1375
    assert math.log2(1.1) == pytest.approx(0.1375, abs=5e-5)
    assert page.count("picture-wide") == 2
    assert page.count("picture-narrow") == 2


def test_what_was_measured_is_still_known_when_the_bench_book_is_started_again(
    bench: Any, job_path: str, measured: str, app_of: Any, practice_book: Any
) -> None:
    again = type(bench)(app_of(practice_book))
    firings = again.get(f"{api(job_path)}/recordings/{measured}").json()["firings"]
    assert [f["effective_s"] for f in firings] == pytest.approx(TRUTH_S, rel=0.005)
    assert "Firing 1" in again.get(f"{job_path}/shutter?recording={measured}").text


def test_a_telephones_sound_is_kept_measured_and_drawn(
    bench: Any, job_path: str, wav_file: Path, tmp_path: Path
) -> None:
    import subprocess

    out = tmp_path / "shots.m4a"
    subprocess.run(["ffmpeg", "-loglevel", "error", "-i", wav_file, "-b:a", "256k", out], check=True)
    kept = send(bench, job_path, out.read_bytes(), out.name).json()
    assert wait(bench, job_path, kept["task"])["state"] == "done"
    page = bench.get(kept["page"]).text
    assert "made smaller with loss" in page
    assert "picture-wide" in page
    assert "--kind" not in page
    trace = bench.get(f"{api(job_path)}/recordings/{kept['entry']}/firings/1/trace?columns=50")
    assert trace.status_code == 200


def test_a_video_is_kept_measured_and_shown_without_a_trace(bench: Any, job_path: str, tmp_path: Path) -> None:
    import subprocess

    out = tmp_path / "blades.mp4"
    light = (
        "color=black:s=320x240:r=60:d=2,drawbox=x=100:y=80:w=120:h=80:color=white:t=fill:enable='between(t,0.8,1.3)'"
    )
    subprocess.run(["ffmpeg", "-loglevel", "error", "-f", "lavfi", "-i", light, "-pix_fmt", "yuv420p", out], check=True)
    kept = send(bench, job_path, out.read_bytes(), out.name).json()
    assert wait(bench, job_path, kept["task"])["state"] == "done"
    page = bench.get(kept["page"])
    assert page.status_code == 200
    assert "60 frames a second" in page.text
    assert "data-trace" not in page.text
    (firing,) = bench.get(f"{api(job_path)}/recordings/{kept['entry']}").json()["firings"]
    assert firing["effective_s"] == pytest.approx(0.5, abs=1.5 / 60)  # bright from 0.8 to 1.3 s, give or take a frame
    assert bench.get(f"{api(job_path)}/recordings/{kept['entry']}/firings/1/trace").status_code == 422


def test_the_dial_is_written_down_in_stops(bench: Any, job_path: str, measured: str, words: Any) -> None:
    form = {"marked": "1/25, 1/50, 1/100", "shots": "1", "tolerance": "1/3", "stage": "as left"}
    answer = bench.post(f"{job_path}/shutter/dial", recording=measured, **form)
    page = words(bench.follow(answer).text)
    assert "0.14 slow" in page
    assert "± 0.33 stop" in page


def test_misfires_are_left_out_by_number(bench: Any, job_path: str, measured: str) -> None:
    form = {"marked": "1/25, 1/100", "shots": "1", "tolerance": "1/3", "stage": "working", "recording": measured}
    refused = bench.post(f"{job_path}/shutter/dial", **form)
    assert refused.status_code == 422
    assert "3 firings are there, 2 speeds of 1 shots need 2" in refused.text
    assert 'value="1/25, 1/100"' in refused.text
    assert bench.post(f"{job_path}/shutter/dial", leave_out="2", **form).status_code == 303
    assert bench.post(f"{job_path}/shutter/dial", leave_out="4", **form).status_code == 422


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("shots", "two", "no number of shots"),
        ("tolerance", "0", "no tolerance in stops"),
        ("marked", "1/25, quick", "is not a marked speed"),
        ("stage", "never", "is no stage"),
    ],
)
def test_a_wrong_field_of_the_dial_form_is_told_and_nothing_is_written(
    bench: Any, job_path: str, measured: str, field: str, typed: str, said: str
) -> None:
    form = {"marked": "1/25, 1/50, 1/100", "shots": "1", "tolerance": "1/3", "stage": "working"}
    answer = bench.post(f"{job_path}/shutter/dial", recording=measured, **(form | {field: typed}))
    assert answer.status_code == 422
    assert said in answer.text


def test_the_outline_of_a_firing_is_drawn_from_its_samples(bench: Any, job_path: str, measured: str) -> None:
    trace = f"{api(job_path)}/recordings/{measured}/firings/2/trace"
    whole = bench.get(trace + "?columns=300").json()
    assert len(whole["time_s"]) <= 300
    assert max(whole["highest"]) == pytest.approx(0.5, abs=0.02)
    assert all(low <= high for low, high in zip(whole["lowest"], whole["highest"], strict=True))
    part = bench.get(f"{trace}?start_s={whole['first_light_s']}&stop_s={whole['first_light_s'] + 0.002}").json()
    assert part["time_s"][0] >= whole["first_light_s"] - 1e-4
    assert bench.get(f"{api(job_path)}/recordings/{measured}/firings/9/trace").status_code == 404
    assert bench.get(f"{trace}?start_s=900&stop_s=901").status_code == 422


@pytest.mark.parametrize("content", [b"", b"this is a text", b"RIFF\x24\x00\x00\x00WAVE"])
def test_what_is_no_recording_is_refused_and_the_book_is_as_it_was(
    bench: Any, job_path: str, practice_book: Any, content: bytes
) -> None:
    job_id = practice_book.jobs()[0].id
    before = practice_book.entries(job_id)
    assert send(bench, job_path, content).status_code == 422
    answer = bench.post(job_path + "/recordings", files={"file": ("x.wav", content, "audio/wav")}, stage="as left")
    assert answer.status_code == 422
    assert 'role="alert"' in answer.text
    assert bench.post(job_path + "/recordings").status_code == 422
    assert practice_book.entries(job_id) == before


def test_a_recording_without_a_firing_is_kept_and_says_so(bench: Any, job_path: str, tmp_path: Path) -> None:
    import numpy as np
    import soundfile

    path = tmp_path / "dark.wav"
    soundfile.write(path, np.zeros(48_000), 48_000, subtype="PCM_16")
    kept = send(bench, job_path, path.read_bytes(), "dark.wav").json()
    task = wait(bench, job_path, kept["task"])
    assert task["state"] == "failed"
    assert "no firing was found" in task["problems"][0]["what"]
    page = bench.get(kept["page"]).text
    assert "no firing was found" in page
    assert "Measure this recording" in page


def test_measuring_can_be_stopped_and_begun_again(bench: Any, job_path: str, tmp_path: Path) -> None:
    import numpy as np
    import soundfile

    path = tmp_path / "an hour of dark.flac"
    with soundfile.SoundFile(path, "w", 48_000, 1, "PCM_16") as file:
        for _ in range(60):
            file.write(np.zeros(60 * 48_000, dtype=np.int16))
    kept = send(bench, job_path, path.read_bytes(), path.name).json()
    answer = bench.post(job_path + "/shutter/stop", recording=kept["entry"])
    assert wait(bench, job_path, kept["task"])["state"] == "stopped"
    page = bench.follow(answer).text
    assert "Measuring was stopped" in page
    again = bench.follow(bench.post(job_path + "/shutter/measure", recording=kept["entry"])).text
    assert "Stop measuring" in again
    task = again.split("/tasks/")[1].split('"')[0]
    bench.send(f"{api(job_path)}/tasks/{task}/stop")
    assert wait(bench, job_path, task)["state"] == "stopped"


def test_a_recording_is_given_out_as_it_was_kept(bench: Any, job_path: str, measured: str, wav_file: Path) -> None:
    answer = bench.get(f"{job_path}/file/{measured}")
    assert answer.content == wav_file.read_bytes()
    assert answer.headers["content-disposition"].startswith("attachment")
    assert "sandbox" in answer.headers["content-security-policy"]
    assert re.match("audio/", answer.headers["content-type"])


def test_a_task_of_another_job_is_not_shown(bench: Any, job_path: str) -> None:
    assert bench.get(f"{api(job_path)}/tasks/unknown").status_code == 404


def test_a_firing_that_knows_little_shows_little() -> None:
    row = firing_row(3, Firing(start_s=1.0), ())
    assert (row.time, row.nearest, row.efficiency) == ("not measured", "", "")


def test_the_nearest_mark_is_the_nearest_in_stops() -> None:
    marked, _ = read_marked("1/100, 1/250")
    # Half way between 10 ms and 4 ms in stops is their geometric mean, 6.32 ms.
    assert nearest(0.0064, marked).startswith("1/100")
    assert nearest(0.0062, marked).startswith("1/250")
    assert show_stops(1.0) == "1.00 stop slow"
    assert show_stops(-1.0) == "1.00 stop fast"
    assert show_stops(0.001) == "on the mark"


def test_a_printed_time_comes_in_two_parts() -> None:
    assert split_time("38.2 ms (1/26.2 s)") == ("38.2 ms", "1/26.2 s")
    assert split_time("1.10 s") == ("1.10 s", "")
    assert split_time("") == ("", "")
