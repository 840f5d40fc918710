"""Judging on the shutter page: why the dial is off, and the next move."""

import re
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from asfound.job.bodies import AdjusterMoved, Fault, PartCondition

# 8 ms added wherever the retard train is in, nothing elsewhere: what a shallower or deeper train does.
ADDED = "\n".join(
    f"{mark}: " + ", ".join(f"{(1000 / n + (8 if n <= 50 else 0)) * w:.3f} ms" for w in (0.99, 1.0, 1.01))
    for mark, n in (("1", 1), ("1/2", 2), ("1/5", 5), ("1/10", 10), ("1/25", 25), ("1/50", 50), ("1/100", 100))
)
GROUPS = {"train_from": "1/75", "pallet_from": "1/20", "marks": "exact value"}
WHY = {"times": ADDED, "condition": "clean", "fault": "speeds are off", **GROUPS}
TRIM = {
    "times": ADDED, "adjusters": "engagement, pallet", "tolerance": "1/3", "top_tolerance": "1/2", "reading": "",
    "direction": "", "amount": "", **GROUPS,
}  # fmt: skip


def field(page: str, name: str) -> str:
    """Return the part of a page that is one field of its form."""
    return next(part for part in re.split(r'<(?:label|fieldset) class="field', page) if f'name="{name}"' in part)


def test_the_tabs_lead_from_the_dial_to_its_judging_and_back(bench: Any, job_path: str) -> None:
    page = bench.get(f"{job_path}/shutter").text
    assert 'aria-current="page">Dial<' in page
    for path in ("why", "trim"):
        assert f'href="{job_path}/shutter/{path}"' in page
        assert f'href="{job_path}/shutter"' in bench.get(f"{job_path}/shutter/{path}").text


def test_the_form_begins_with_the_latest_table(bench: Any, job_path: str, practice_book: Any) -> None:
    rows = practice_book.job(practice_book.jobs()[0].id).tables[-1].body.rows
    typed = field(bench.get(f"{job_path}/shutter/why").text, "times")
    for row in rows:
        assert f"\n{row.marked}: " in typed.replace(">", "\n")
        assert f"{row.times_s[0] * 1e3:.4g}" in typed


def test_the_same_time_added_in_the_train_points_at_its_engagement(bench: Any, job_path: str, words: Any) -> None:
    # Mechanics: an arc added to the train's is a time added, so a quarter stop at 1/25 and next to nothing at 1 s.
    page = bench.client.get(f"{job_path}/shutter/why", params=WHY)
    assert page.status_code == 200
    rows = re.findall(r'<th scope="row">([^<]+)</th><td data-name="Weight">(\d+) %', page.text)
    assert rows[0][0] == "engagement"
    assert int(rows[0][1]) > 80
    assert sum(int(share) for _, share in rows) == pytest.approx(100, abs=4)
    assert page.text.index('class="picture') < page.text.index('data-name="Weight"')
    assert "The next test" in words(page.text)


def test_on_a_dirty_shutter_cleaning_comes_first(bench: Any, job_path: str, words: Any) -> None:
    said = words(bench.client.get(f"{job_path}/shutter/why", params=WHY | {"condition": "dirty"}).text)
    assert "Clean it, and measure again" in said
    assert "do not act on them" in said


def test_what_is_wrong_with_a_line_stands_beside_the_times(bench: Any, job_path: str) -> None:
    answer = bench.client.get(f"{job_path}/shutter/why", params=WHY | {"times": "1/25: soon"})
    assert answer.status_code == 422
    assert "is no time" in field(answer.text, "times")
    assert "soon" in field(answer.text, "times")
    order = bench.client.get(f"{job_path}/shutter/why", params=WHY | {"pallet_from": "1/100"})
    assert "the pallet comes in before the train" in field(order.text, "pallet_from")


def test_the_suspicion_is_written_under_its_fault(bench: Any, job_path: str, practice_book: Any) -> None:
    answer = bench.follow(bench.post(f"{job_path}/shutter/why", choice="", **WHY))
    assert "Written." in answer.text
    body = practice_book.job(practice_book.jobs()[0].id).entries[-1].body
    assert isinstance(body, Fault)
    assert (body.fault, body.stage) == ("speeds are off", "suspected")
    assert "engagement" in body.text
    assert "Shutter when timed: clean" in body.text


def test_a_speed_to_watch_and_a_band_to_stop_in_are_named(bench: Any, job_path: str, words: Any) -> None:
    page = bench.client.get(f"{job_path}/shutter/trim", params=TRIM).text
    said = words(page)
    assert "First a small move of the engagement" in said
    # By mechanics the arc shows on the shortest speed that the train holds: 1/50, at 20 + 8 ms.
    assert re.search(r"Watch 1/(50|25) now", said)
    chances = [int(share) for share in re.findall(r"<dt>Every speed within[^<]*</dt><dd><b>(\d+) %", page)]
    assert chances[0] < 50 <= chances[1]
    result = page.partition("How to take this reading")[0]
    assert result.count('class="picture picture-wide"') == 1
    assert "let the main spring down" in said.lower()


def band(page: str) -> tuple[float, float]:
    """Return the band as shown, in milliseconds."""
    low, high = re.findall(r"([\d.]+) ms \(1/", page[page.index("Stop between") :])[:2]
    return float(low), float(high)


def test_a_reading_of_the_watched_speed_says_whether_to_go_on(bench: Any, job_path: str, words: Any) -> None:
    low, high = band(bench.client.get(f"{job_path}/shutter/trim", params=TRIM).text)
    for reading, told in ((low * 0.9, "go back"), ((low + high) / 2, "stop here"), (high * 1.05, "Go on")):
        page = bench.client.get(f"{job_path}/shutter/trim", params=TRIM | {"reading": f"{reading:.3f} ms"}).text
        assert told in words(page)


def test_the_move_is_written_and_makes_the_dial_stale(bench: Any, job_path: str, practice_book: Any) -> None:
    job_id = practice_book.jobs()[0].id
    assert not practice_book.job(job_id).tables[-1].stale_by
    made = TRIM | {"direction": "shallower", "reading": "22 ms"}
    answer = bench.follow(bench.post(f"{job_path}/shutter/trim", choice="", **made))
    assert "Written." in answer.text
    assert "since the last dial: move engagement shallower" in answer.text.lower()
    job = practice_book.job(job_id)
    body = job.entries[-1].body
    assert isinstance(body, AdjusterMoved)
    assert (body.adjuster, body.direction) == ("engagement", "shallower")
    assert body.after.endswith("22.0 ms (1/45.5 s)")
    assert job.tables[-1].stale_by


def test_what_lies_in_order_is_left_alone_and_nothing_is_written(bench: Any, job_path: str, words: Any) -> None:
    right = "\n".join(f"1/{n}: {1000 / n:.3f} ms, {1000 / n * 1.01:.3f} ms" for n in (2, 5, 10, 25, 50, 100))
    page = bench.client.get(f"{job_path}/shutter/trim", params=TRIM | {"times": right}).text
    assert "leave it" in words(page)
    assert "Write the move of" not in page
    refused = bench.post(f"{job_path}/shutter/trim", choice="", **(TRIM | {"times": right}))
    assert refused.status_code == 422


def test_a_dial_timed_dirty_counts_as_dirty_though_it_was_seen_later(
    bench: Any, job_path: str, practice_book: Any
) -> None:
    practice_book.write(practice_book.jobs()[0].id, [PartCondition(part="shutter", condition="dirty")])
    chosen = re.search(r'value="(\w[^"]*)" checked', field(bench.get(f"{job_path}/shutter/why").text, "condition"))
    assert chosen is not None
    assert chosen[1] == "dirty"


@pytest.mark.parametrize("path", ["why", "trim"])
@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_whatever_is_typed_is_answered_in_plain_words(
    bench: Any, job_path: str, path: str, data: st.DataObject
) -> None:
    form = WHY if path == "why" else TRIM
    name, text = data.draw(st.sampled_from(sorted(form))), data.draw(st.text(max_size=30))
    answer = bench.client.get(f"{job_path}/shutter/{path}", params=form | {name: text})
    assert answer.status_code in (200, 422)
    assert "Traceback" not in answer.text


def test_written_text_comes_back_as_typed(bench: Any, job_path: str) -> None:
    answer = bench.post(f"{job_path}/shutter/why", choice="", **WHY)
    assert parse_qs(urlsplit(answer.headers["location"]).query)["times"] == [ADDED]
