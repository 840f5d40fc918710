"""The focus pages: what was typed comes out as the handbooks have it, is told beside its field, and written whole."""

import re
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

BUDGET = {
    "aperture": "3.5", "frame": "", "circle": "0.05", "error": "0.04", "u": "0.01", "focal_length": "75",
    "distance": "3 m",
}  # fmt: skip
SHARE = {"aperture": "4.5", "frame": "6x9", "circle": ""}
WHOLE = {"front": "", "separation": ""}
SCALE = {
    "focal_length": "105", "origin": "film", "marks": "inf = 0\n10 m 45.1\n5 = 92.1\n2 m = 247.2 deg", "u_angle": "1",
    "one": "2 m", "lead": "9", "infinity_at": "0", "u_focal": "", **WHOLE, **SHARE,
}  # fmt: skip
START = {
    "lead": "9", "starts": "6", "measured": "65.12", "wanted": "63.60", "error": "", "u": "0.02", "at_least": "",
    "at_most": "", "inner_lead": "", "inner_starts": "", "inner_way": "adds", "met_at": "", "clock": "", "engaged": "",
    "inner_engaged": "", **SHARE,
}  # fmt: skip
DATUM = {
    "measured": "63.42", "wanted": "63.60", "error": "", "u": "0.02", "lead": "9", "leaves": "0.05 0.10 0.03; 2 thou",
    **SHARE,
}  # fmt: skip
SPACERS = {
    "belong": "ring = 0.50 0.51 0.50\nshim = 0.10", "missing": "shim", "extra": "", "radius": "15", "u": "0.003",
    "found": "in its place", **SHARE,
}  # fmt: skip
INFINITY = {
    "sharpest": "-0.42 to -0.38\n-0.41 to -0.37\n-0.43 to -0.39", "series": "", "stop": "0", "focal_length": "105",
    "lead": "9", "target": "inf", "u_target": "", "u_focal": "", "glass": "", "u_glass": "", "erection": "",
    "again": "no", **WHOLE, **SHARE,
}  # fmt: skip
EFFORT = {
    "positions": "1 2 3 4 5 6", "u": "0.05", "scuffs": "4", "dirty_on_out": "", "dirty_on_in": "",
    "dirty_off_out": "", "dirty_off_in": "", "greased_on_out": "", "greased_on_in": "", "greased_off_out": "",
    "greased_off_in": "", "dry_on_out": "1 1 1 2 1 1", "dry_on_in": "0.9 0.9 0.9 1.9 0.9 0.9",
    "dry_off_out": "0.9 0.9 0.9 0.9 0.9 0.9", "dry_off_in": "0.9 0.9 0.9 0.9 0.9 0.9",
}  # fmt: skip
FRONT_CELL = {
    "focal_length": "80", "front": "200", "separation": "50", "distance": "2 m", "origin": "film", "u_front": "",
    "travel": "", "travel_for": "", "lead": "", "starts": "", "image_error": "", "u": "", **SHARE,
}  # fmt: skip
RANGEFINDER = {
    "readings": "inf = 40\ninf = 45\n5 m = 4.4\n5 m = 4.5\n2 m = 1.9\n2 m = 1.89", "focal_length": "105",
    "origin": "film", "u": "", **WHOLE, **SHARE,
}  # fmt: skip
APERTURE = {
    "diameters": "4 = 25\n8 = 12.5\nf/11 = 8.84\n16 =", "focal_length": "100", "u": "0.05", "u_focal": "",
    "tolerance": "0.33", "magnification": "1", "photo": "", "mark": "", "pixel": "", "u_scale": "", "blades": "",
}  # fmt: skip
PAGES: dict[str, dict[str, str]] = {
    "": BUDGET, "/scale": SCALE, "/start": START, "/datum": DATUM, "/spacers": SPACERS, "/infinity": INFINITY,
    "/effort": EFFORT, "/front-cell": FRONT_CELL, "/rangefinder": RANGEFINDER, "/aperture": APERTURE,
}  # fmt: skip


@pytest.fixture
def focus(job_path: str) -> str:
    return f"{job_path}/focus"


def value_of(html: str, name: str) -> str:
    """Return the number that the page shows under a name."""
    found = re.search(rf"<dt>{re.escape(name)}</dt><dd><b>([^<]*)</b>", html)
    assert found is not None, name
    return found[1]


def number(text: str) -> float:
    found = re.search(r"-?\d[\d.]*", text)
    assert found is not None, text
    return float(found[0])


def field_of(html: str, name: str) -> str:
    """Return the part of the page that holds a field and what is told beside it."""
    parts = re.split(r'<label class="field|<fieldset class="field', html)
    return next(part for part in parts if f'name="{name}"' in part)


def ask(bench: Any, focus: str, path: str, **changed: str) -> Any:
    return bench.client.get(focus + path, params={**PAGES[path], **changed})


def last_entries(practice_book: Any, count: int) -> list[Any]:
    return [entry.body for entry in practice_book.job(practice_book.jobs()[0].id).entries[-count:]]


@pytest.mark.parametrize("path", PAGES)
def test_every_page_stands_empty_with_how_the_reading_is_taken(bench: Any, focus: str, path: str) -> None:
    page = bench.get(focus + path)
    assert page.status_code == 200
    assert "How to take this reading" in page.text
    assert page.text.count('class="picture picture-narrow"') == 1


@pytest.mark.parametrize("path", PAGES)
def test_the_picture_stands_before_the_numbers_and_the_page_stays_small(bench: Any, focus: str, path: str) -> None:
    answer = ask(bench, focus, path)
    assert answer.status_code == 200
    assert answer.text.index("picture-wide") < answer.text.index('class="numbers"')
    assert answer.text.count('class="picture picture-wide"') == answer.text.count('class="picture picture-narrow"')
    assert len(answer.content) < 300_000


def test_the_camera_of_the_job_fills_the_form(bench: Any, focus: str) -> None:
    page = bench.get(focus).text
    assert 'name="aperture" value="4.5"' in page
    assert 'name="frame" value="6x9"' in page
    assert 'name="focal_length" value="105"' in page
    assert "4.5 =\n5.6 =\n8 =" in bench.get(f"{focus}/aperture").text


def test_budget_and_depth_of_field_are_those_of_the_textbook(bench: Any, focus: str) -> None:
    # Ray, The Photographic Lens (as quoted, read): ± N c; near = s (H - f) / (H + s - 2 f), far = s (H - f) / (H - s).
    page = ask(bench, focus, "").text
    assert number(value_of(page, "Budget")) == pytest.approx(3.5 * 0.05, abs=5e-4)
    assert "23 % of the focus budget of ±0.175 mm at f/3.5" in page
    assert "2.75 m to 3.3 m" in page
    assert ">32.2 m<" in page  # 75² / (3.5 x 0.05) + 75 = 32 217.86 mm


def test_extension_follows_newton(bench: Any, focus: str) -> None:
    # Newton's equation, a textbook's example (read): f 100, 1000 mm beyond the focal point -> 10 mm.
    page = ask(bench, focus, "/scale", focal_length="100", origin="lens", one="1.1 m", marks="", lead="12").text
    assert number(value_of(page, "Travel from infinity")) == pytest.approx(10, abs=0.05)
    assert number(value_of(page, "Ring turns")) == pytest.approx(300, abs=0.1)  # 360 x 10 / 12


def test_a_scale_that_is_true_is_within_and_one_mark_astray_is_named(bench: Any, focus: str) -> None:
    # 360 x' / lead with x' from the film plane for f 105, lead 9: 45.1, 92.1, 158.3, 247.2 degrees.
    assert "within" in ask(bench, focus, "/scale").text.partition("</h2>")[2][:3000]
    page = ask(bench, focus, "/scale", marks="inf = 0\n10 m 45.1\n5 = 92.1\n2 m = 290").text
    assert "The 2 m mark is the worst" in page
    assert "outside" in page


def test_one_start_out_is_told_and_written_with_what_it_depends_on(bench: Any, focus: str, practice_book: Any) -> None:
    # Lead = starts x pitch (a thread's definition): 9 / 6 = 1.5 mm a start.
    page = ask(bench, focus, "/start").text
    assert "One start out: re-enter one start earlier" in page
    assert number(value_of(page, "One start")) == pytest.approx(1.5)
    bench.follow(bench.post(f"{focus}/start", **START, stage="as found", choice="height"))
    (body,) = last_entries(practice_book, 1)
    assert (body.quantity, body.stage) == ("height off the datum", "as found")
    assert body.reading.value == pytest.approx(1.52)
    assert "helical" in body.depends_on
    assert "lead: 9" in body.raw
    bench.follow(bench.post(f"{focus}/start", **START, stage="working", choice="entered"))
    (moved,) = last_entries(practice_book, 1)
    assert (moved.adjuster, moved.amount) == ("helical", "1 start")


def test_a_height_in_its_place_is_not_written_as_entered_anew(bench: Any, focus: str) -> None:
    right = {**START, "measured": "63.62"}
    assert bench.post(f"{focus}/start", **right, stage="working", choice="entered").status_code == 422


def test_a_height_error_is_a_turn_a_shim_and_leaves(bench: Any, focus: str, practice_book: Any) -> None:
    page = ask(bench, focus, "/datum").text
    assert number(value_of(page, "Turn")) == pytest.approx(0.18 / 9 * 360)
    assert "add 0.180 mm" in value_of(page, "Shim")
    assert "0.1 + 0.05 + 0.03 mm comes nearest: 0.000 mm left" in page
    bench.follow(bench.post(f"{focus}/datum", **DATUM, stage="working", choice="shim"))
    (body,) = last_entries(practice_book, 1)
    assert body.kind == "spacer"
    assert body.thickness.value == pytest.approx(0.18)
    assert body.name in bench.get(f"{focus}/datum?{'measured=1'}&wanted=1").text


def test_a_turn_makes_the_height_stale(bench: Any, focus: str, practice_book: Any) -> None:
    bench.follow(bench.post(f"{focus}/datum", **DATUM, stage="working", choice="height"))
    bench.follow(bench.post(f"{focus}/datum", **DATUM, stage="working", choice="turn"))
    job = practice_book.job(practice_book.jobs()[0].id)
    kept = next(one for one in reversed(job.readings) if one.body.quantity == "height off the datum")
    assert kept.stale_by == job.entries[-1].id
    assert (job.entries[-1].body.direction, job.entries[-1].body.amount) == ("out", "7.2 deg")


def test_a_missing_shim_is_an_infinity_error_one_to_one(bench: Any, focus: str, practice_book: Any) -> None:
    page = ask(bench, focus, "/spacers").text
    assert number(value_of(page, "Infinity off by")) == pytest.approx(-0.1)
    assert "the lens stands too far in" in page
    bench.follow(bench.post(f"{focus}/spacers", **{**SPACERS, "found": "late: readings were taken without it"}))
    ring, shim = last_entries(practice_book, 2)
    assert (ring.name, shim.name, shim.late) == ("ring", "shim", True)
    again = bench.post(f"{focus}/spacers", **SPACERS)
    assert again.status_code == 422
    assert "all of them are in the job already" in again.text.lower()


def test_infinity_is_turned_by_what_it_is_off_and_proved(bench: Any, focus: str, practice_book: Any) -> None:
    page = ask(bench, focus, "/infinity").text
    assert number(value_of(page, "The stop is off")) == pytest.approx(0.4)
    assert number(value_of(page, "Turn")) == pytest.approx(16)
    assert "too far out" in page
    bench.follow(bench.post(f"{focus}/infinity", **INFINITY, stage="as left", choice="reading"))
    reading, proof = last_entries(practice_book, 2)
    assert (reading.quantity, proof.what, proof.verdict) == ("infinity stop off", "infinity", "outside")
    assert reading.tolerance.upper == pytest.approx(0.3029, abs=1e-4)  # 4.5 x hypot(84, 56) / 1500


def test_a_near_target_is_taken_off(bench: Any, focus: str) -> None:
    # From the film plane at 20 m a lens of 105 mm stands out by x': S = 2 f + x' + f² / x', so 0.5571 mm.
    page = ask(bench, focus, "/infinity", target="20 m").text
    assert number(value_of(page, "True infinity")) == pytest.approx(-0.4 - 0.5571, abs=0.002)


def test_degrees_need_the_lead_and_say_so_beside_it(bench: Any, focus: str) -> None:
    answer = ask(bench, focus, "/infinity", sharpest="2 deg to 5 deg", lead="")
    assert answer.status_code == 422
    assert "settings in degrees need it" in field_of(answer.text, "lead").lower()


def test_a_series_that_is_still_rising_says_which_way_to_go_on(bench: Any, focus: str) -> None:
    rising = "\n".join(f"{n / 10} mm = {1 + n * n}" for n in range(7))
    answer = ask(bench, focus, "/infinity", sharpest="", series=rising)
    assert answer.status_code == 422
    assert "upwards" in field_of(answer.text, "series")


def test_the_ring_rubs_where_the_scuff_is(bench: Any, focus: str, practice_book: Any) -> None:
    page = ask(bench, focus, "/effort").text
    assert "The ring rubs at 4 to 4 where scuffs are seen" in page
    bench.follow(bench.post(f"{focus}/effort", **EFFORT, stage="as found", choice=""))
    (body,) = last_entries(practice_book, 1)
    assert body.quantity == "focusing effort"
    assert "dry_on_out: 1 1 1 2 1 1" in body.raw
    assert "1 1 1 2 1 1" in bench.get(f"{focus}/effort").text  # next time the form is filled with it


def test_a_force_too_few_is_told_beside_its_list(bench: Any, focus: str) -> None:
    answer = ask(bench, focus, "/effort", dry_on_in="1 2 3")
    assert answer.status_code == 422
    assert "3 forces for 6 positions" in field_of(answer.text, "dry_on_in")


def test_front_cell_groups_are_those_of_the_optics_tutorial(bench: Any, focus: str) -> None:
    # An optics tutorial (read): groups 200 and 100, 50 apart: focal length 80, back focal distance 60.
    page = ask(bench, focus, "/front-cell").text
    assert value_of(page, "Front and rear") == "200 and 100 mm"
    assert "60.0 mm from the rear group to the film" in page


def test_front_cell_travel_is_newtons_for_the_front_alone(bench: Any, focus: str) -> None:
    # e = f1² / (u - f1), u from the front group: 40² / 960 = 1.66667 (Newton's equation, derived).
    page = ask(
        bench, focus, "/front-cell", focal_length="53.33333", front="40", separation="10", distance="1 m",
        origin="front", lead="6",
    ).text  # fmt: skip
    assert number(value_of(page, "Travel")) == pytest.approx(1.66667, abs=0.005)
    assert number(value_of(page, "Turn")) == pytest.approx(100, abs=0.1)
    assert number(value_of(page, "Focal length there")) == pytest.approx(52.3636, abs=0.005)


def test_a_rangefinder_out_at_infinity_is_set_there_first(bench: Any, focus: str, practice_book: Any) -> None:
    page = ask(bench, focus, "/rangefinder").text
    assert value_of(page, "First") == "offset"
    bench.follow(bench.post(f"{focus}/rangefinder", **RANGEFINDER, stage="as found", choice=""))
    offset, rate, proof = last_entries(practice_book, 3)
    assert (offset.quantity, rate.quantity, proof.what) == ("rangefinder offset", "rangefinder rate", "rangefinder")
    assert rate.reading.unit == "1"


def test_an_aperture_of_its_mark_is_no_stop_off(bench: Any, focus: str, practice_book: Any) -> None:
    # N = f / D; marks are powers of root two: 100 / 12.5 = 8 exactly, 11 stands for 11.314.
    page = ask(bench, focus, "/aperture").text
    assert "Every setting is within the tolerance" in page
    bench.follow(bench.post(f"{focus}/aperture", **APERTURE, stage="as found", choice=""))
    *readings, proof = last_entries(practice_book, 4)
    assert [one.place for one in readings] == ["f/4", "f/8", "f/11"]
    assert [one.reading.value for one in readings] == pytest.approx([0, 0, 0], abs=0.01)
    assert (proof.what, proof.verdict) == ("apertures", "within")


@pytest.mark.parametrize(
    ("path", "name", "typed", "told"),
    [
        ("/datum", "frame", "big", "is no frame known here"),
        ("", "aperture", "f/3.5", "does not begin with a number"),
        ("", "distance", "20 mm", "is not beyond the focal length"),
        ("/scale", "marks", "0.3 m = 20\ninf = 0", "is shorter than a lens of 105 mm allows"),
        ("/scale", "marks", "2 m", "is not a pair"),
        ("/start", "starts", "2.5", "is no count of threads"),
        ("/start", "lead", "0", "is not above zero"),
        ("/datum", "leaves", "0.05 shim", "shim"),
        ("/datum", "wanted", "", "the height is not known"),
        ("/spacers", "missing", "collar", "is none of those that belong in"),
        ("/spacers", "belong", "ring 0.5", "is not a name and three thicknesses"),
        ("/infinity", "sharpest", "nowhere", "is not a pair"),
        ("/infinity", "erection", "63.6", "one opening shows no scatter"),
        ("/effort", "positions", "1 2 3", "3 different ones are given"),
        ("/front-cell", "front", "-40", "is not above zero"),
        ("/front-cell", "distance", "0.3 m", "is shorter than this front cell allows"),
        ("/rangefinder", "readings", "2 m = 1.9", "two different places"),
        ("/aperture", "diameters", "8 = 9.4 N", "is a force, not a length"),
    ],
)  # fmt: skip
def test_what_is_wrong_stands_beside_its_field_and_what_was_typed_stays(
    bench: Any, focus: str, path: str, name: str, typed: str, told: str
) -> None:
    answer = ask(bench, focus, path, **{name: typed})
    assert answer.status_code == 422
    field = field_of(answer.text, name)
    assert told in field
    assert typed.splitlines()[0] in field if typed else True


def test_half_of_a_front_cell_asks_for_the_other_half(bench: Any, focus: str) -> None:
    answer = ask(bench, focus, "/scale", front="90")
    assert answer.status_code == 422
    assert "both are wanted for a front cell" in field_of(answer.text, "separation").lower()


@pytest.mark.parametrize("path", PAGES)
def test_nothing_is_written_for_a_form_that_no_page_of_ours_made(bench: Any, focus: str, path: str) -> None:
    answer = bench.client.post(focus + path, data={**PAGES[path], "stage": "as found", "token": "other"})
    assert answer.status_code == 403


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_whatever_is_typed_is_answered_in_plain_words(bench: Any, focus: str, data: Any) -> None:
    path = data.draw(st.sampled_from(sorted(PAGES)))
    name = data.draw(st.sampled_from(sorted(PAGES[path])))
    odd = st.sampled_from(
        ["inf", "1e9", "-1", "0", "1/0", "1e308", "nan", "∞ = ∞", "1 = 1e12", "0 0 0 0 0 0", "1" * 50]
    )
    text = data.draw(
        st.one_of(st.text(max_size=30), odd, st.from_regex(r"-?\d{1,4}(\.\d)? ?(mm|m|deg|N)?", fullmatch=True))
    )
    answer = ask(bench, focus, path, **{name: text})
    assert answer.status_code in (200, 422)
    assert "Traceback" not in answer.text
