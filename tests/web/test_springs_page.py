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
    before = page[: page.index("<dt>Rate</dt>")]
    assert before.count('class="picture picture-wide"') == before.count('class="picture picture-narrow"') == 1
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


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(name=st.sampled_from(sorted(TORSION)), text=st.text(max_size=30))
def test_whatever_is_typed_is_answered_in_plain_words(bench: Any, job_path: str, name: str, text: str) -> None:
    answer = bench.client.get(f"{job_path}/springs", params=TORSION | {name: text})
    assert answer.status_code in (200, 422)
    assert "Traceback" not in answer.text


LEVER = {
    "which": "left strut",
    "arm": "30 mm",
    "lever": "0 0.52 0.38\n0 0.54 0.36\n80 1.02 0.78\n80 1.00 0.80",
    "clean": "clean",
    "u_force": "0.02",
    "u_arm": "0.5",
    "before": "",
    "twin": "",
    "wire": "",
    "outside": "",
    "material": "music wire",
    "turns": "",
    "leg_1": "",
    "leg_2": "",
    "constant": "textbook",
    "free_angle": "",
    "magnet": "",
    "colour": "",
}


def test_winding_and_unwinding_part_spring_from_friction(bench: Any, job_path: str, words: Any) -> None:
    # By hand: (0.53 + 0.37)/2 x 30 = 13.5 N mm spring and (0.53 - 0.37)/2 x 30 = 2.4 friction; at 80 degrees
    # 27 and 3.3; so (27 - 13.5)/80 x 360 = 60.75 N mm a turn, and nothing at -80 degrees.
    page = bench.client.get(f"{job_path}/springs/lever", params=LEVER).text
    said = words(page)
    assert re.search(r"0° 13\.50 ± [\d.]+ N·mm 2\.40 ± ", said)
    assert re.search(r"80° 27\.00 ± [\d.]+ N·mm 3\.30 ± ", said)
    assert number(value_of(page, "Rate")) == pytest.approx(60.75, abs=0.06)
    assert number(value_of(page, "Gives nothing at")) == pytest.approx(-80, abs=0.06)


def test_a_line_that_cannot_be_read_is_named(bench: Any, job_path: str) -> None:
    answer = bench.client.get(f"{job_path}/springs/lever", params=LEVER | {"lever": "0 0.5 0.4\n80 1.0"})
    assert answer.status_code == 422
    assert "has 2 parts, not 3" in answer.text
    swapped = bench.client.get(f"{job_path}/springs/lever", params=LEVER | {"lever": "0 0.4 0.5"})
    assert "unwinding is stronger than winding" in swapped.text


def test_what_is_not_clean_is_not_judged(bench: Any, job_path: str, words: Any) -> None:
    own = {"wire": "0.5", "outside": "5.5", "turns": "6"}
    page = bench.client.get(f"{job_path}/springs/lever", params=LEVER | own | {"clean": "not yet cleaned"}).text
    assert "clean it and measure again" in words(page).lower()
    assert "Against its dimensions: cannot tell" in page


def test_cleaning_and_twin_are_compared_at_the_same_angles(bench: Any, job_path: str, words: Any) -> None:
    more = {"before": "0 0.70 0.22\n80 1.3 0.6", "twin": "0 0.6 0.4"}
    said = words(bench.client.get(f"{job_path}/springs/lever", params=LEVER | more).text)
    # Friction before (0.70 - 0.22)/2 x 30 = 7.2, after 2.4: two thirds of it gone. Twin gives 15: 13.5/15 = 90 %.
    assert "67% of it is gone" in said
    assert "90%: weaker than its twin" in said
    assert "may be as weak" in said
    lone = bench.client.get(f"{job_path}/springs/lever", params=LEVER | {"twin": "33 1 0.9"})
    assert "no angle in common" in lone.text


def test_the_lever_is_written_as_readings_that_depend_on_the_spring(
    bench: Any, job_path: str, practice_book: Any
) -> None:
    bench.follow(bench.post(f"{job_path}/springs/lever", stage="as found", choice="", **LEVER))
    kept = practice_book.job(practice_book.jobs()[0].id).readings[-6:]
    assert [one.body.quantity for one in kept] == [
        "spring torque", "spring friction", "spring torque", "spring friction", "spring rate at the lever",
        "spring free angle",
    ]  # fmt: skip
    assert kept[0].body.reading.value == pytest.approx(13.5)
    assert all(one.body.depends_on == ("left strut spring",) for one in kept)


NEED = {
    "strut_length": "60", "angle_erected": "60", "angle_folded": "0", "weight": "1 N", "elevation": "90",
    "attached": "1.4 N", "detached": "0.9 N", "bellows_folded": "", "friction": "3", "finger": "", "bears": "12",
    "bears_from_coil": "", "lock": "none", "groove_arm": "", "groove_slope": "45", "groove_friction": "0.15",
    "left_erected": "32", "right_erected": "40", "left_folded": "", "right_folded": "", "u_gives": "0.5",
    "margin": "1.3", "way_force": "", "way_arm": "",
}  # fmt: skip


def test_what_a_strut_needs_is_statics(bench: Any, job_path: str) -> None:
    # By hand: (1.0 + 0.5) N x 60 mm x cos 60 = 45, and 3 of friction: 48 N mm; 72 given is 1.5 times that.
    page = bench.client.get(f"{job_path}/springs/need", params=NEED).text
    assert number(value_of(page, "To come home")) == pytest.approx(48, abs=0.05)
    assert "gives 1.50 times what is needed" in page
    assert "within" in page
    assert number(value_of(page, "Bellows")) == pytest.approx(0.5)


def test_need_and_judgement_are_written_as_readings_and_proof(bench: Any, job_path: str, practice_book: Any) -> None:
    bench.follow(bench.post(f"{job_path}/springs/need", stage="as left", choice="", **NEED))
    job = practice_book.job(practice_book.jobs()[0].id)
    assert [(k.body.quantity, k.body.place) for k in job.readings[-2:]] == [
        ("torque needed", "erected"), ("torque needed", "folded"),
    ]  # fmt: skip
    proof = job.proofs[-1].body
    assert (proof.what, proof.verdict) == ("struts hold, erected", "within")
    assert proof.tolerance.lower == pytest.approx(48 * 1.3)
    assert "bellows" in proof.depends_on


@pytest.mark.parametrize(
    ("wrong", "field", "said"),
    [
        ({"detached": ""}, "detached", "both pulls are wanted"),
        ({"lock": "groove"}, "groove_arm", "wanted with a groove"),
        ({"angle_folded": "70"}, "angle_folded", "no strut opening"),
        ({"way_force": "2"}, "way_arm", "wanted together"),
    ],
)
def test_what_belongs_together_is_asked_for(
    bench: Any, job_path: str, wrong: dict[str, str], field: str, said: str
) -> None:
    answer = bench.client.get(f"{job_path}/springs/need", params=NEED | wrong)
    assert answer.status_code == 422
    place = next(part for part in answer.text.split('<label class="field') if f'name="{field}"' in part)
    assert said in place


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    name=st.sampled_from(sorted(NEED)), text=st.sampled_from(["", "0", "-1", "1e9", "1e-7", "90", "x", "5 N", "-1e5"])
)
def test_no_strut_however_odd_stops_the_page(bench: Any, job_path: str, name: str, text: str) -> None:
    assert bench.client.get(f"{job_path}/springs/need", params=NEED | {name: text}).status_code in (200, 422)


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(text=st.lists(st.sampled_from(["0", "30", "1.2", "0.8", "-1", "\n", "5 N", "80°", "1e9", "120g"]), max_size=12))
def test_no_lines_however_odd_stop_the_page(bench: Any, job_path: str, text: list[str]) -> None:
    asked = LEVER | {"lever": " ".join(text), "wire": "0.5", "outside": "5.5", "turns": "6"}
    assert bench.client.get(f"{job_path}/springs/lever", params=asked).status_code in (200, 422)
