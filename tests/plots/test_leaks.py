"""The photograph with its spots: rings where they are, states told by shape, nothing a page may not hold."""

import itertools
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfound.plots import page_svg
from asfound.plots.leaks import Ring, Shown, leaks_how, leaks_svg, legend

SHOWN = Shown(href="/photo/abc/1280", columns=2000, rows=1500)
NAME = "{http://www.w3.org/2000/svg}"


def drawn(rings, width="wide", shown=SHOWN):
    return ET.fromstring(leaks_svg(rings, shown, width=width, said="so <many> & more"))


@pytest.mark.parametrize("width", ["wide", "narrow"])
def test_a_ring_stands_where_the_spot_is_on_the_photograph(width):
    root = drawn([Ring(number=1, x_px=1000, y_px=300, size_px=60)], width)
    image = root.find(f"{NAME}image")
    left, across, high = (float(image.get(name)) for name in ("x", "width", "height"))
    ring = root.findall(f"{NAME}circle")[-1]
    assert (float(ring.get("cx")) - left) / across == pytest.approx(1000.5 / 2000, abs=1e-3)
    assert float(ring.get("cy")) / high == pytest.approx(300.5 / 1500, abs=1e-3)
    assert 2 * float(ring.get("r")) > 60 * across / 2000
    assert high / across == pytest.approx(1500 / 2000, abs=1e-3)


def test_states_differ_in_shape_without_colour():
    states = ("still there", "closed", "new", "cannot tell", "point")
    shapes = set()
    for state in states:
        root = drawn([Ring(number=1, x_px=900, y_px=700, size_px=20, state=state)])
        body = next(one for one in root if "stroke-ink" in one.get("class", ""))
        shapes.add((body.tag, body.get("stroke-dasharray")))
    assert len(shapes) == len(states)
    said = legend(states)
    assert all(state in said for state in states)
    assert legend(["spot"]) == ""


def test_it_holds_no_style_and_says_what_it_shows():
    text = leaks_svg([Ring(number=1, x_px=9, y_px=9, size_px=5)], SHOWN, width="wide", said="so <many> & more")
    assert "style" not in text
    assert ET.fromstring(text).find(f"{NAME}desc").text == "so <many> & more"


def test_two_pictures_on_a_page_share_no_identifier():
    rings = [Ring(number=1, x_px=9, y_px=9, size_px=5)]
    names = [{one.get("id") for one in drawn(rings, width).iter() if one.get("id")} for width in ("wide", "narrow")]
    assert names[0]
    assert not names[0] & names[1]


places = st.tuples(st.floats(0, 1999), st.floats(0, 1499))


@given(st.lists(places, min_size=1, max_size=12))
def test_every_number_stands_inside_the_picture_and_none_twice(at):
    rings = [Ring(number=n, x_px=x, y_px=y, size_px=20) for n, (x, y) in enumerate(at, 1)]
    texts = [one for one in drawn(rings).iter(f"{NAME}text") if "stroke-paper" in one.get("class", "")]
    assert sorted(one.text for one in texts) == sorted(str(n) for n in range(1, len(at) + 1))
    assert all(0 < float(one.get("x")) < 900 and 0 < float(one.get("y")) < 700 for one in texts)


def test_numbers_of_spots_close_together_do_not_lie_on_one_another():
    rings = [Ring(number=n, x_px=900 + 60 * n, y_px=700, size_px=20) for n in range(1, 6)]
    texts = [one for one in drawn(rings).iter(f"{NAME}text") if "stroke-paper" in one.get("class", "")]
    at = [(float(one.get("x")), float(one.get("y"))) for one in texts]
    assert all(abs(a[0] - b[0]) > 12 or abs(a[1] - b[1]) > 18 for a, b in itertools.combinations(at, 2))


def test_how_it_is_taken_is_drawn_for_desk_and_telephone():
    for width in ("wide", "narrow"):
        svg = page_svg(leaks_how(width=width))
        assert "LED lamp inside" in svg
        assert "tripod" in svg
