"""The springs' pages: typed quantities in, picture and numbers out, one button into the job."""

import re
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

TORSION = {
    "which": "left strut",
    "wire": "0.072 in",
    "outside": "0.59375 in",
    "material": "music wire",
    "turns": "4.25",
    "leg_1": "1 in",
    "leg_2": "1 in",
    "constant": "textbook",
    "torque": "7.55 lbf in",
    "direction": "closing",
    "pin": "0.400 in",
}


def value_of(html: str, name: str) -> str:
    """Return the number that the page shows under a name."""
    found = re.search(rf"<dt>{re.escape(name)}</dt><dd><b>([^<]*)</b>", html)
    assert found is not None, name
    return found[1]


def number(text: str) -> float:
    found = re.match(r"-?[\d.]+", text)
    assert found is not None, text
    return float(found[0])


def test_a_torsion_spring_comes_out_as_the_textbook_has_it(bench: Any, job_path: str) -> None:
    # Shigley, Mechanical Engineering Design, Example 10-8 (inputs from memory): 29.19 lbf in a turn, 0.2586 turn
    # in all, 0.0223 in clear of the pin. 1 lbf in = 112.985 N mm.
    answer = bench.client.get(f"{job_path}/springs", params=TORSION)
    assert answer.status_code == 200
    assert number(value_of(answer.text, "Rate")) == pytest.approx(29.19 * 112.985, rel=0.005)
    assert number(value_of(answer.text, "Wound at this torque")) == pytest.approx(93.1, abs=1)
    clear = re.search(r"([\d.]+) mm \(([\d.]+) thou\) clear of the pin", answer.text)
    assert clear is not None
    assert float(clear[2]) == pytest.approx(22.3, abs=0.6)
    assert "K = 3888" in answer.text


def test_the_picture_stands_before_the_numbers_in_both_widths(bench: Any, job_path: str) -> None:
    page = bench.client.get(f"{job_path}/springs", params=TORSION).text
    assert page.count('class="picture picture-wide"') == page.count('class="picture picture-narrow"') == 1
    assert page.index("picture-wide") < page.index("<dt>Rate</dt>")
    assert "wear eye protection" in page


def test_what_is_wrong_stands_beside_its_field_and_what_was_typed_stays(bench: Any, job_path: str) -> None:
    answer = bench.client.get(f"{job_path}/springs", params=TORSION | {"wire": "half a mil", "torque": "3 mm"})
    assert answer.status_code == 422
    fields = answer.text.split('<label class="field')
    wire = next(part for part in fields if 'name="wire"' in part)
    torque = next(part for part in fields if 'name="torque"' in part)
    assert 'value="half a mil"' in wire
    assert "does not begin with a number" in wire
    assert "is a length, not a torque" in torque
    assert "<dt>Rate</dt>" not in answer.text


def test_thou_typed_as_mm_are_asked_about(bench: Any, job_path: str) -> None:
    answer = bench.client.get(f"{job_path}/springs", params=TORSION | {"wire": "20", "outside": "200"})
    assert answer.status_code == 422
    assert "is 20 thou (0.508 mm) meant?" in answer.text


def test_a_coil_that_does_not_go_over_its_pin_is_refused_at_the_pin(bench: Any, job_path: str) -> None:
    answer = bench.client.get(f"{job_path}/springs", params=TORSION | {"pin": "14 mm"})
    pin = next(part for part in answer.text.split('<label class="field') if 'name="pin"' in part)
    assert "does not go over a pin" in pin


def test_the_rate_is_written_with_what_was_typed_and_what_it_depends_on(
    bench: Any, job_path: str, practice_book: Any
) -> None:
    answer = bench.follow(bench.post(f"{job_path}/springs", stage="as found", choice="", **TORSION))
    assert "Written." in answer.text
    assert 'value="0.072 in"' in answer.text
    body = practice_book.job(practice_book.jobs()[0].id).readings[-1].body
    assert (body.quantity, body.place, body.reading.unit, body.stage) == (
        "spring rate", "left strut", "N·mm/turn", "as found",
    )  # fmt: skip
    assert body.reading.value == pytest.approx(29.19 * 112.985, rel=0.005)
    assert body.depends_on == ("left strut spring",)
    assert "wire: 0.072 in" in body.raw


def test_nothing_is_written_for_a_form_that_no_page_of_ours_made(bench: Any, job_path: str) -> None:
    before = bench.get(job_path).text
    answer = bench.client.post(f"{job_path}/springs", data={**TORSION, "stage": "as found", "token": "other"})
    assert answer.status_code == 403
    assert bench.get(job_path).text == before


def test_a_job_that_is_not_in_the_book_is_not_found(bench: Any) -> None:
    assert bench.get("/job/00000000-0000-7000-8000-000000000000/springs").status_code == 404


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(name=st.sampled_from(sorted(TORSION)), text=st.text(max_size=30))
def test_whatever_is_typed_is_answered_in_plain_words(bench: Any, job_path: str, name: str, text: str) -> None:
    answer = bench.client.get(f"{job_path}/springs", params=TORSION | {name: text})
    assert answer.status_code in (200, 422)
    assert "Traceback" not in answer.text
