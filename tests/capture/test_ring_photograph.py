"""Rings in photographs rendered from a known shape with blur, noise, shade and perspective."""

import functools
import io

import numpy as np
import pillow_heif
import pypdf
import pytest
from PIL import Image
from scipy.ndimage import gaussian_filter

from asfound.capture.photograph import read_light
from asfound.capture.ring_photograph import ring_in_photograph
from asfound.capture.target import target_pdf
from asfound.problems import BadInputError
from asfound.shape import ring_from_points

WIDE, HIGH = 1000, 760
# From mm (x right, y up) to pixels: nearly square on; tilted and turned.
VIEWS = {
    "square on": np.array([[5.2, 0.0, 500], [0.0, -5.2, 380], [0.0, 0.0, 1]]),
    "tilted": np.array([[5.2, 0.4, 490], [0.3, -5.0, 390], [6e-4, 8e-4, 1]]),
    "turned": np.array([[4.4, -1.6, 510], [-1.6, -4.4, 370], [-4e-4, 3e-4, 1]]),
}


@functools.cache
def rendered(view="tilted", *, ring=True, square=True, hole=True, blur=1.0, noise=0.01, seed=0, oval=0.15, lobes=0.05):
    """Return the light of a ring of radius 30 (24 inside) at (3, -4).

    A pixel is as dark as the part of it that lies within an edge, by its distance from the edge in pixels.
    """
    back = np.linalg.inv(VIEWS[view])
    v, u = np.mgrid[0:HIGH, 0:WIDE].astype(float)
    x, y, w = (back[i, 0] * u + back[i, 1] * v + back[i, 2] for i in range(3))
    x, y = x / w, y / w
    light = np.full(x.shape, 0.8)
    if square:
        side = np.maximum(np.abs(x), np.abs(y))
        light += (0.03 - light) * _within(side - 60) * _within(54 - side)
    if ring:
        angle, radius = np.arctan2(y + 4, x - 3), np.hypot(x - 3, y + 4)
        off = oval * np.cos(2 * (angle - np.radians(30))) + lobes * np.cos(3 * (angle - np.radians(50)))
        inner = _within(24 + off - radius) if hole else 1.0
        light += (0.06 - light) * _within(radius - 30 - off) * inner
    light = gaussian_filter(light * (1 - 0.3 * np.linspace(0, 1, WIDE)), blur)
    scatter = noise * np.random.default_rng(seed).normal(size=light.shape) * np.sqrt(light)
    return np.clip(light + scatter, 0, 1)


def _within(outside_mm):
    down, across = np.gradient(outside_mm)
    return np.clip(0.5 - outside_mm / np.maximum(np.hypot(down, across), 1e-9), 0, 1)


def picture(light):
    grey = np.where(light <= 0.0031308, 12.92 * light, 1.055 * np.maximum(light, 0) ** (1 / 2.4) - 0.055)
    return Image.fromarray(np.round(255 * grey).astype(np.uint8))


@functools.cache
def true_out_of_round(oval=0.15, lobes=0.05):
    angle = np.radians(np.arange(0, 360, 0.25))
    radius = 30 + oval * np.cos(2 * (angle - np.radians(30))) + lobes * np.cos(3 * (angle - np.radians(50)))
    points = np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])
    return ring_from_points(points).minimum_zone.out_of_round_mm


def measured(light, **options):
    seen = ring_in_photograph(light.astype(np.float32), name="ring.png", **options)
    return seen, ring_from_points(seen.points_mm)


@pytest.mark.parametrize("view", list(VIEWS))
@pytest.mark.parametrize("blur", [0.7, 2.0])
def test_a_known_ring_is_recovered_within_the_stated_uncertainty(view, blur):
    seen, ring = measured(rendered(view, blur=blur))
    off = ring.minimum_zone.out_of_round_mm - true_out_of_round()
    assert abs(off) < 2 * seen.u_out_of_round_mm
    assert seen.u_out_of_round_mm < 0.02
    assert abs(ring.least_squares.radius_mm - 30) < 2 * seen.u_radius_mm
    assert ring.least_squares.centre_mm == pytest.approx((3, -4), abs=0.01)
    oval, lobes = ring.harmonics[:2]
    # A Gaussian filter of 50 waves a turn passes 99.9 % of an ovality (ISO 16610-21, from memory).
    assert oval.amplitude_mm == pytest.approx(0.15, abs=3 * seen.u_deviation_mm)
    assert oval.direction_deg == pytest.approx(30, abs=1)
    assert lobes.amplitude_mm == pytest.approx(0.05, abs=3 * seen.u_deviation_mm)


def test_noise_is_stated():
    quiet, _ = measured(rendered(noise=0.003))
    loud, ring = measured(rendered(noise=0.06, seed=3))
    assert loud.u_deviation_mm > 1.5 * quiet.u_deviation_mm
    assert abs(ring.minimum_zone.out_of_round_mm - true_out_of_round()) < 2 * loud.u_out_of_round_mm


def test_a_true_round_is_not_called_oval():
    seen, ring = measured(rendered(oval=0, lobes=0))
    assert ring.minimum_zone.out_of_round_mm < 2 * seen.u_out_of_round_mm


def test_the_inner_edge_is_another_ring():
    _, ring = measured(rendered(), edge="inner")
    assert ring.least_squares.radius_mm == pytest.approx(24, abs=0.02)


@pytest.mark.parametrize("kind", ["png", "jpg", "heic"])
def test_a_compressed_photograph_tells_the_same(tmp_path, kind):
    path = tmp_path / f"ring.{kind}"
    image = picture(rendered())
    if kind == "heic":
        pillow_heif.from_pillow(image.convert("RGB")).save(path, quality=70)
    else:
        image.save(path, quality=80)
    seen, ring = measured(read_light(path))
    assert abs(ring.minimum_zone.out_of_round_mm - true_out_of_round()) < 2 * seen.u_out_of_round_mm
    assert ring.least_squares.radius_mm == pytest.approx(30, abs=2 * seen.u_radius_mm)


def test_grey_is_read_as_light(tmp_path):
    # sRGB: grey 188 is half of the light (IEC 61966-2-1, from memory).
    path = tmp_path / "grey.png"
    Image.new("L", (8, 8), 188).save(path)
    assert read_light(path).mean() == pytest.approx(0.5, abs=0.005)


def test_a_photograph_held_sideways_is_turned_up(tmp_path):
    image = Image.new("L", (20, 10), 255)
    tags = image.getexif()
    tags[0x0112] = 6
    path = tmp_path / "side.jpg"
    image.save(path, exif=tags)
    assert read_light(path).shape == (20, 10)


@pytest.mark.parametrize(
    ("what", "says"),
    [
        ({"ring": False}, "no ring"),
        ({"square": False}, "no whole printed square"),
        ({"ring": False, "square": False, "noise": 0.02}, "no whole printed square"),
    ],
)
def test_a_photograph_without_ring_or_square_is_refused(what, says):
    with pytest.raises(BadInputError, match=says) as refused:
        measured(rendered(**what))
    assert len(refused.value.problems) == 1


def test_a_blank_photograph_is_refused():
    with pytest.raises(BadInputError, match="no whole printed square"):
        measured(np.full((300, 400), 0.5))


def test_a_disc_has_no_inner_edge():
    with pytest.raises(BadInputError, match="inner edge"):
        measured(rendered(hole=False), edge="inner")


@pytest.mark.parametrize("content", [b"", b"no picture", b"\x89PNG\r\n\x1a\n broken"])
def test_what_is_no_photograph_is_refused(tmp_path, content):
    path = tmp_path / "ring.jpg"
    path.write_bytes(content)
    with pytest.raises(BadInputError, match="photograph"):
        read_light(path)


def test_the_printed_square_is_one_page_that_says_what_to_do():
    page = pypdf.PdfReader(io.BytesIO(target_pdf(side_mm=120, bar_mm=6))).pages
    assert len(page) == 1
    assert float(page[0].mediabox.width) == pytest.approx(210 / 25.4 * 72, abs=0.1)
    assert "without scaling" in page[0].extract_text()
    assert target_pdf(side_mm=120, bar_mm=6) == target_pdf(side_mm=120, bar_mm=6)


@pytest.mark.parametrize(("side", "bar", "paper"), [(300, 6, "a4"), (120, 50, "a4"), (120, 6, "napkin")])
def test_a_square_that_does_not_fit_is_refused(side, bar, paper):
    with pytest.raises(BadInputError):
        target_pdf(side_mm=side, bar_mm=bar, paper=paper)
