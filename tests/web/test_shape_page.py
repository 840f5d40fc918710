"""The shape pages: picture first, numbers from outside through the page, problems at their field, one button."""

import io
import math
import re
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

GAP = {
    "tries": ".35 loose .40 no",
    "quantity": "gap",
    "place": "at the pointer",
    "depends": "distance ring",
    "drag_uncertainty": "0.01",
    "leaf_tolerance": "",
}
STATIONS = {
    "quantity": "height",
    "radius": "25",
    "tries_1": "40 drag",
    "tries_2": "43 drag",
    "tries_3": "46 drag",
    "at_1": "12",
    "at_2": "4",
    "at_3": "8",
    "lifted_1": "",
    "lifted_2": "",
    "lifted_3": "",
    "drag_uncertainty": "0.01",
    "leaf_tolerance": "",
    "depends": "helical",
}
# SciPy cookbook, least-squares circle (from memory; recomputed by SciPy's general optimisers): centre 10.50009,
# 9.65995, R 23.33353; minimum zone width 2.92459; smallest circle round them R 24.15940.
RING = {
    "which": "distance ring",
    "kind": "x, y",
    "points": "9, 34\n35, 10\n-13, 6\n10, -14\n23, 27\n0, -10",
    "u_each": "0.01",
    "mating": "",
    "inside": "outside the true round",
    **dict.fromkeys(("scuffs", "pointer", "needed", "flats", "allowed", "presses", "fault"), ""),
    "depends": "distance ring",
}
# Four corners 60 by 40 mm, clockwise from the top left: slopes 1.33333e-3 and -1.0e-3 by geometry, no twist.
STANDARD = {
    "depths": "49.98 8 12 4",
    "mode": "in hundredths from the first",
    "width": "60",
    "height": "40",
    "apertures": "3.5, 8",
    "frame": "6x9",
    "upright": "across",
    "circle": "0.05",
    "u_each": "0.01",
    "scatter": "",
    "depends": "front standard",
    "fault": "",
}
OPENED = {
    "heights": "63.42 -2 1 0 3",
    "mode": "in hundredths from the first",
    "u_each": "0.01",
    "push": "5 N",
    "pull": "5 N",
    "struts": "left 63.40 63.62\nright 63.41 63.47",
    "apart": "50",
    "depends": "struts",
}
FIT = {
    "which": "strut pin",
    "shape": "pin in a hole",
    "outer": "3.12",
    "inner": "3.02",
    "u_each": "0.01",
    "radius": "14",
    "keep": "0.02",
    "leaves": ".03 .05",
    "depends": "left strut",
    "fault": "front standard loose",
}
FORMS = {"": GAP, "/stations": STATIONS, "/ring": RING, "/standard": STANDARD, "/opened": OPENED, "/fit": FIT}


def show(bench: Any, job_path: str, path: str, **changed: str) -> Any:
    return bench.client.get(f"{job_path}/shape{path}", params=FORMS[path] | changed)


def field(html: str, name: str) -> str:
    """Return the part of a page that holds one field."""
    parts = re.split(r'<(?:label|fieldset) class="field', html)
    return next(part for part in parts if f'name="{name}"' in part)


def value_of(html: str, name: str) -> str:
    found = re.search(rf"<dt>{re.escape(name)}</dt><dd><b>([^<]*)</b>", html)
    assert found is not None, name
    return found[1]


def number(text: str) -> float:
    found = re.search(r"-?[\d.]+", text.replace("−", "-"))
    assert found is not None, text
    return float(found[0])


def latest(practice_book: Any, count: int) -> list[Any]:
    return [kept.body for kept in practice_book.job(practice_book.jobs()[0].id).readings[-count:]]


@pytest.mark.parametrize("path", FORMS)
def test_every_task_shows_how_it_is_taken_and_then_the_picture_before_the_numbers(
    bench: Any, job_path: str, path: str
) -> None:
    fresh = bench.get(f"{job_path}/shape{path}")
    assert fresh.status_code == 200
    assert "How to take this reading" in fresh.text
    assert fresh.text.count('class="picture picture-narrow"') == 1
    found = show(bench, job_path, path)
    assert found.status_code == 200
    assert found.text.count("picture-wide") == found.text.count("picture-narrow") >= 2
    assert found.text.index("picture-wide") < found.text.index("<dt>" if "<dt>" in found.text else "<table")
    assert '<form method="post"' in found.text
    # 300 kB beyond photographs.
    assert len(found.content) < 300_000


def test_a_gap_is_the_middle_of_its_bracket(bench: Any, job_path: str, words: Any) -> None:
    # JCGM 100:2008, 4.3.7 (read): the middle of 0.35 to 0.40, with the width over the root of 12.
    text = words(show(bench, job_path, "").text)
    assert "0.375 ± 0.014 mm (14.8 thou)" in text
    assert round(0.05 / math.sqrt(12), 3) == 0.014


def test_one_side_known_is_no_plus_or_minus(bench: Any, job_path: str, words: Any) -> None:
    text = words(show(bench, job_path, "", tries="35 loose").text)
    assert "More than 0.35 mm" in text
    assert "±" not in text


def test_tries_that_contradict_are_said_beside_them(bench: Any, job_path: str) -> None:
    answer = show(bench, job_path, "", tries="40 loose 35 no")
    assert answer.status_code == 422
    assert "contradicts" in field(answer.text, "tries")
    assert 'value="40 loose 35 no"' in answer.text


def test_three_stations_give_the_tilt_of_the_plane_through_them(bench: Any, job_path: str) -> None:
    # Heights 0.40, 0.46, 0.43 at 90, 210, 330 deg, R 25: 0.0793913 deg by geometry.
    page = show(bench, job_path, "/stations").text
    assert number(value_of(page, "Tilt")) == pytest.approx(0.0794, abs=5e-4)
    assert number(value_of(page, "Rise over the ring")) == pytest.approx(
        50 * math.tan(math.radians(0.0793913)), abs=6e-4
    )


def test_stations_that_do_not_go_round_are_said(bench: Any, job_path: str) -> None:
    answer = show(bench, job_path, "/stations", at_2="1", at_3="2")
    assert answer.status_code == 422
    assert "do not go round" in field(answer.text, "at_1")


def test_a_published_circle_comes_out_of_the_page(bench: Any, job_path: str, words: Any) -> None:
    text = words(show(bench, job_path, "/ring").text)
    found = re.search(r"least squares \+(\S+) \+(\S+) (\S+) (\S+) minimum zone \+(\S+) \+(\S+) (\S+) (\S+)", text)
    assert found is not None
    least, zone = [float(x) for x in found.groups()[:4]], [float(x) for x in found.groups()[4:]]
    assert least[:3] == pytest.approx((10.5000862, 9.6599495, 2 * 23.3335277), abs=1e-4)
    assert zone[3] == pytest.approx(2.9245918, abs=1e-4)
    assert zone[:2] == pytest.approx((10.2536328, 9.2747688), abs=1e-4)
    around = re.search(r"circumscribed \+\S+ \+\S+ (\S+)", text)
    assert around is not None
    assert float(around[1]) == pytest.approx(2 * 24.1594002, abs=1e-4)


def lobed_clearances() -> str:
    """Return gaps to a disc of 20 mm within a ring r = 20.4 + 0.03 cos 2 (t - 60 deg): tops at 1 and 7 o'clock."""
    hours = range(1, 13)
    gaps = [0.4 + 0.03 * math.cos(2 * math.radians(90 - 30 * hour - 60)) for hour in hours]
    return "\n".join(f"{hour} {gap:.4f}" for hour, gap in zip(hours, gaps, strict=True))


def test_an_oval_ring_is_pressed_at_its_tops_and_rubs_where_it_is_scuffed(
    bench: Any, job_path: str, words: Any
) -> None:
    changed = {"kind": "clock, clearance", "points": lobed_clearances(), "mating": "20"}
    page = show(bench, job_path, "/ring", **changed, pointer="20.42", scuffs="12:30-1:30, 4-5").text
    text = words(page)
    # Derived: out of round twice the amplitude; 0.01 mm short of the pointer at either top.
    assert "Out of round 0.060 ± 0.014 mm" in text
    assert "mostly oval, a lobe towards 1 o&#39;clock" in text
    assert number(value_of(page, "Short by")) == pytest.approx(0.010, abs=5e-4)
    assert "it rubs there by its shape too" in text.partition("Scuff, 12:30 to 1:30")[2][:80]
    assert "nothing rubs there" in text.partition("Scuff, 4 to 5")[2][:80]
    inwards = re.findall(r"At (\d+) o&#39;clock inwards, ([\d.]+) mm", text)
    assert {hour for hour, _ in inwards} == {"1", "7"}
    assert all(float(far) == pytest.approx(0.03, abs=1e-3) for _, far in inwards)
    assert "cannot be known" in text
    assert "wear eye protection" in text


def test_presses_made_teach_the_next_push(bench: Any, job_path: str, words: Any) -> None:
    changed = {"kind": "clock, clearance", "points": lobed_clearances(), "mating": "20"}
    text = words(show(bench, job_path, "/ring", **changed, presses=".30 .02; .50 .10").text)
    # By hand: the line through both stays 0.4 of what goes beyond 0.25; 0.03 / 0.4 + 0.25 = 0.325.
    assert "push 0.325 mm" in text
    assert "of the rest 40% stays" in text


def test_diameters_are_told_not_to_show_three_lobes(bench: Any, job_path: str) -> None:
    points = "\n".join(f"{hour}, 40.0{hour}" for hour in (12, 1, 2, 3, 4, 5))
    page = show(bench, job_path, "/ring", kind="clock, diameter", points=points)
    assert "odd lobes" in page.text.lower()


@pytest.mark.parametrize(
    ("points", "kind", "said"),
    [
        ("12 0.35\n13 0.40\n1 x", "clock, clearance", "line 2, column 1: &#39;13&#39; is no clock position"),
        ("12 0.35\n1 0.40\n1 x", "clock, clearance", "line 3, column 2: &#39;x&#39; is not a number"),
        ("0, 1\n1, 2", "x, y", "there are 2."),
        ("0, 1\n1, 2\n2, 3", "x, y", "all lie on one line"),
        ("x_mm,y_in\n1,2\n", "x, y", "mixed units"),
        ("0 20\n20 20\n40 20.1\n60 20", "degrees, radius", "they do not go round"),
        ("", "x, y", "nothing was typed here"),
    ],
)
def test_bad_points_are_said_with_their_line_beside_the_field(
    bench: Any, job_path: str, points: str, kind: str, said: str
) -> None:
    answer = show(bench, job_path, "/ring", points=points, kind=kind)
    assert answer.status_code == 422
    assert said in field(answer.text, "points")


def test_clearances_ask_for_the_round_they_were_felt_to(bench: Any, job_path: str) -> None:
    answer = show(bench, job_path, "/ring", kind="clock, clearance", points=lobed_clearances())
    assert "clearances alone give no ring" in field(answer.text, "mating")


def test_the_front_standard_tilts_as_its_corners_say(bench: Any, job_path: str, words: Any) -> None:
    page = show(bench, job_path, "/standard").text
    assert number(value_of(page, "Tilt left and right")) == pytest.approx(math.degrees(4 / 3000), abs=6e-4)
    assert number(value_of(page, "Tilt up and down")) == pytest.approx(-math.degrees(1e-3), abs=6e-4)
    assert number(value_of(page, "Twist")) == 0
    assert number(value_of(page, "Mean depth")) == pytest.approx(50.04)
    # Lower right corner of 84 x 56: 42 x 1.33333e-3 + 28 x 1.0e-3 = 0.084 mm, 48 % of 3.5 x 0.05.
    assert "At f/3.5 the worst corner is 48% of the focus budget" in words(page)
    assert "bottom right corner, or its strut, in by 0.060 mm" in words(page)


def test_depths_that_are_in_the_job_stand_in_the_form(bench: Any, job_path: str) -> None:
    page = bench.get(f"{job_path}/shape/standard").text
    # As left, the practice job's corners read 63.42, 63.41, 63.39 and 63.40.
    assert 'value="63.42 -1 -3 -2"' in field(page, "depths")


def test_whole_depths_taken_for_hundredths_are_asked_about(bench: Any, job_path: str) -> None:
    answer = show(bench, job_path, "/standard", depths="63.42 63.40 63.38 63.61")
    assert answer.status_code == 422
    assert "63.40 hundredths would be" in field(answer.text, "depths")
    assert show(bench, job_path, "/standard", depths="63.42 63.40 63.38 63.61", mode="each in mm").status_code == 200


def test_scatter_of_erection_goes_into_the_next_focus_uncertainty(bench: Any, job_path: str) -> None:
    quiet = show(bench, job_path, "/standard").text
    bench.follow(bench.post(f"{job_path}/shape/opened", stage="working", choice="", **OPENED))
    form = bench.get(f"{job_path}/shape/standard").text
    # Heights 0, -2, 1, 0, 3 hundredths: s = sqrt(13.2 / 4) = 1.8166 hundredths, by hand.
    assert 'value="0.0182"' in field(form, "scatter")
    loud = show(bench, job_path, "/standard", scatter="0.0182").text
    before, after = (number(value_of(page, "Worst corner").split("±")[1]) for page in (quiet, loud))
    assert after == pytest.approx(math.hypot(before, 0.0182), abs=6e-4)


def test_a_strut_that_gives_more_is_called_weaker(bench: Any, job_path: str, words: Any) -> None:
    page = show(bench, job_path, "/opened").text
    # 0.22 mm over 10 N, and 0.06 mm over 10 N.
    assert number(value_of(page, "Gives, left")) == pytest.approx(0.022)
    assert number(value_of(page, "Gives, right")) == pytest.approx(0.006)
    assert "times the others: weaker" in words(page)
    assert number(value_of(page, "Tilts")) == pytest.approx(math.degrees(0.016 / 50), abs=6e-5)


def test_a_strut_needs_its_force(bench: Any, job_path: str) -> None:
    answer = show(bench, job_path, "/opened", push="")
    assert answer.status_code == 422
    assert "nothing was typed" in field(answer.text, "push")


def test_a_fit_is_taken_up_by_the_thickest_shim_that_leaves_its_play(bench: Any, job_path: str, words: Any) -> None:
    page = show(bench, job_path, "/fit").text
    # 0.10 mm of play, 0.02 to stay: 0.08 wanted, which .03 and .05 make together; 2 asin(0.1 / 28) is 0.409 deg.
    assert "Play 0.100 ± 0.014 mm" in words(page)
    assert "A shim of 0.080 mm" in words(page)
    assert number(value_of(page, "Rattles")) == pytest.approx(math.degrees(2 * math.asin(0.1 / 28)), abs=6e-4)


@pytest.mark.parametrize(
    ("path", "count", "quantity", "depends"),
    [
        ("", 1, "gap", "distance ring"),
        ("/stations", 5, "height", "helical"),
        ("/ring", 2, "out of round", "distance ring"),
        ("/standard", 7, "corner depth", "front standard"),
        ("/opened", 4, "height of the front standard, opened again", "struts"),
        ("/fit", 2, "play", "left strut"),
    ],
)
def test_one_button_writes_the_readings_with_what_they_depend_on(
    bench: Any, job_path: str, practice_book: Any, path: str, count: int, quantity: str, depends: str
) -> None:
    choice = "" if path in ("", "/stations", "/opened") else "reading"
    answer = bench.follow(bench.post(f"{job_path}/shape{path}", stage="as left", choice=choice, **FORMS[path]))
    assert "Written." in answer.text
    bodies = latest(practice_book, count)
    assert bodies[0].quantity == quantity
    assert all(body.depends_on == (depends,) and body.stage == "as left" for body in bodies)
    assert bodies[0].raw


@pytest.mark.parametrize(
    ("path", "fault", "text"),
    [
        ("/ring", "distance ring out of round", "out of round"),
        ("/standard", "front standard out of parallel", "bottom right"),
        ("/fit", "front standard loose", "shim of 0.080 mm"),
    ],
)
def test_what_is_to_be_done_is_written_as_work_on_its_fault(
    bench: Any, job_path: str, practice_book: Any, path: str, fault: str, text: str
) -> None:
    bench.follow(bench.post(f"{job_path}/shape{path}", stage="working", choice="work", **FORMS[path]))
    faults = practice_book.job(practice_book.jobs()[0].id).faults
    stage, said, _ = next(one for one in faults if one.name == fault).said[-1]
    assert stage == "work"
    assert text in said


def test_a_refused_form_keeps_what_was_typed_and_writes_nothing(bench: Any, job_path: str, practice_book: Any) -> None:
    before = len(practice_book.job(practice_book.jobs()[0].id).entries)
    typed = RING | {"points": "12 0.35\n<b>", "which": 'ring "A"'}
    answer = bench.post(f"{job_path}/shape/ring", stage="working", choice="reading", **typed)
    assert answer.status_code == 422
    assert "12 0.35\n&lt;b&gt;" in answer.text
    assert "ring &#34;A&#34;" in answer.text
    assert len(practice_book.job(practice_book.jobs()[0].id).entries) == before


def send(bench: Any, address: str, content: bytes, name: str, **fields: str) -> Any:
    return bench.post(address, files={"file": (name, content, "application/octet-stream")}, **fields)


@pytest.mark.parametrize("count", [24, 3000])
def test_a_file_of_points_is_laid_into_the_form(bench: Any, job_path: str, words: Any, count: int) -> None:
    angle = np.linspace(0, 2 * np.pi, count, endpoint=False)
    radius = 22 + 0.02 * np.cos(2 * angle)
    rows = "".join(f"{x:.5f};{y:.5f}\r\n" for x, y in zip(radius * np.cos(angle), radius * np.sin(angle), strict=True))
    answer = send(bench, f"{job_path}/shape/ring/table", ("x_mm;y_mm\r\n" + rows).encode(), "ring.csv", **RING)
    page = bench.follow(answer)
    assert page.status_code == 200
    assert "Out of round 0.040 ± 0.014 mm" in words(page.text)
    assert f"{count} places used" in words(page.text)
    assert 'value="distance ring"' in field(page.text, "which")


def test_a_file_that_is_no_table_is_refused_beside_the_field(bench: Any, job_path: str) -> None:
    answer = send(bench, f"{job_path}/shape/ring/table", b"\xff\xfe\x00\x81", "ring.csv", **RING)
    assert answer.status_code == 422
    assert "not a text file" in field(answer.text, "points")
    assert send(bench, f"{job_path}/shape/ring/table", b"", "", **RING).status_code == 422


def photographed() -> bytes:
    """Return a picture of the printed square, 10 pixels to a mm, with a ring of 30 mm, 0.2 mm oval at 3 o'clock."""
    y, x = (np.mgrid[0:1400, 0:1400] - 699.5) / 10
    side = np.maximum(np.abs(x), np.abs(y))
    angle, radius = np.arctan2(-y, x), np.hypot(x, y)
    off = 0.2 * np.cos(2 * angle)
    dark = np.clip(0.5 + 10 * (60 - side), 0, 1) * np.clip(0.5 + 10 * (side - 54), 0, 1)
    dark += np.clip(0.5 + 10 * (30 + off - radius), 0, 1) * np.clip(0.5 + 10 * (radius - 25 - off), 0, 1)
    light = 0.8 - 0.75 * np.clip(dark, 0, 1)
    grey = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    kept = io.BytesIO()
    Image.fromarray(np.round(255 * grey).astype(np.uint8)).save(kept, "PNG")
    return kept.getvalue()


def test_a_ring_is_measured_from_its_photograph(bench: Any, job_path: str, practice_book: Any, words: Any) -> None:
    address = f"{job_path}/shape/photograph"
    page = bench.follow(send(bench, f"{address}/photos", photographed(), "ring.png"))
    assert page.status_code == 200
    found = re.search(r"Out of round ([\d.]+) ± ([\d.]+) mm", words(page.text))
    assert found is not None
    out, u = map(float, found.groups())
    # Twice the amplitude that it was rendered with.
    assert out == pytest.approx(0.4, abs=max(2 * u, 0.005))
    # The oval lies across: its lobes are at 3 and at 9.
    assert re.search("mostly oval, a lobe towards (3|9) o&#39;clock", words(page.text))
    photos = practice_book.job(practice_book.jobs()[0].id).photos
    assert photos[-1][1].attachment.name == "ring.png"


def test_a_photograph_without_the_square_is_said_beside_its_field(bench: Any, job_path: str, photograph: bytes) -> None:
    answer = send(bench, f"{job_path}/shape/photograph/photos", photograph, "white.jpg")
    page = bench.follow(answer)
    assert page.status_code == 422
    assert "shows no whole printed square" in field(page.text, "photo")


def test_the_square_can_be_printed(bench: Any, job_path: str) -> None:
    answer = bench.get(f"{job_path}/shape/target.pdf")
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF")


def test_a_new_job_has_every_page(empty_bench: Any) -> None:
    opened = empty_bench.post("/jobs", model="Box")
    job_path = opened.headers["location"].partition("?")[0]
    for path in (*FORMS, "/photograph"):
        assert empty_bench.get(f"{job_path}/shape{path}").status_code == 200
    answer = empty_bench.client.get(f"{job_path}/shape/photograph", params={"photo": "none yet: send one in below"})
    assert answer.status_code == 422


NAMES = [(path, name) for path, form in FORMS.items() for name in form]


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(at=st.sampled_from(NAMES), text=st.text(max_size=30))
def test_whatever_is_typed_is_answered_in_plain_words(
    bench: Any, job_path: str, at: tuple[str, str], text: str
) -> None:
    path, name = at
    answer = show(bench, job_path, path, **{name: text})
    assert answer.status_code in (200, 422)
    assert "Traceback" not in answer.text


NUMBERS = st.sampled_from(["0", "-1", "1e-9", "1e9", "1e308", "nan", "1/0", "0.0000001", "12345678901234567890"])


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(at=st.sampled_from(NAMES), text=st.lists(NUMBERS, min_size=1, max_size=4).map(" ".join))
def test_numbers_out_of_all_proportion_are_answered_in_plain_words(
    bench: Any, job_path: str, at: tuple[str, str], text: str
) -> None:
    path, name = at
    assert show(bench, job_path, path, **{name: text}).status_code in (200, 422)
