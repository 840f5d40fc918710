"""Spots of leak photographs, against known ones, and against general-purpose libraries."""

from types import SimpleNamespace

import numpy as np
import pytest
from scipy import ndimage
from skimage.feature import blob_log

from asfound.problems import BadInputError
from asfound.shape.leaks import Leaks, coded, find_leaks, linear, together
from asfound.shape.leaks_ground import DIRECTIONS, _median_of_nine, lines, threshold_of

QUALITIES = (60, 70, 75, 80, 85, 90, 95)
# What a bellows or a strip of film may look like with no leak in it.
CLEAN = (
    "dark", "cut off at black", "half lit", "gradient", "vignette", "soft folds", "sharp folds", "zigzag folds",
    "cloth", "grain", "mottle", "few photons", "without noise", "scratch",
)  # fmt: skip
# Where the place is looked for under one pixel, the folds being no steeper than a spot's own flank.
EVEN = ("dark", "cut off at black", "half lit", "gradient", "vignette", "cloth", "few photons", "without noise")


def places_of(leaks: Leaks) -> np.ndarray:
    return np.array([(spot.x_px, spot.y_px) for spot in leaks.spots]).reshape(-1, 2)


def off(leaks: Leaks, place: np.ndarray) -> float:
    """Return how far the nearest spot found is from a place."""
    return float(np.hypot(*(places_of(leaks) - place).T).min(initial=np.inf))


@pytest.mark.parametrize("kind", CLEAN)
def test_no_spot_is_invented_on_a_clean_photograph(scenes: SimpleNamespace, kind: str) -> None:
    invented = 0
    for seed in range(12):
        random = np.random.default_rng(seed)
        grey = scenes.clean(kind, random)
        invented += len(find_leaks(scenes.through_jpeg(grey, QUALITIES[seed % 7])).spots)
    assert invented == 0


@pytest.mark.soak
@pytest.mark.parametrize("kind", CLEAN)
def test_no_more_spots_are_invented_than_stated(scenes: SimpleNamespace, kind: str) -> None:
    # One in a thousand photographs is stated: two in sixty would come once in six hundred such runs.
    invented = 0
    for seed in range(60):
        random = np.random.default_rng(1000 + seed)
        grey = scenes.clean(kind, random)
        invented += len(find_leaks(scenes.through_jpeg(grey, QUALITIES[seed % 7])).spots)
    assert invented <= 1


@pytest.mark.parametrize("kind", EVEN)
def test_known_spots_are_found_within_a_pixel_and_none_besides(scenes: SimpleNamespace, kind: str) -> None:
    for seed in range(4):
        random = np.random.default_rng(100 + seed)
        places = scenes.some_places(random, 6)
        widths, heights = random.uniform(2.6, 12, 6), random.uniform(0.15, 0.8, 6)
        grey = scenes.with_spots(scenes.clean(kind, random), places, widths, heights)
        leaks = find_leaks(scenes.through_jpeg(grey, QUALITIES[seed]))
        assert len(leaks.spots) + len(leaks.points) == 6
        assert max(off(leaks, place) for place in places) < 1


@pytest.mark.parametrize("kind", ["soft folds", "sharp folds", "zigzag folds", "mottle"])
def test_on_steep_folds_a_spot_is_found_within_a_quarter_of_its_width(scenes: SimpleNamespace, kind: str) -> None:
    for seed in range(4):
        random = np.random.default_rng(100 + seed)
        places = scenes.some_places(random, 6)
        widths, heights = random.uniform(2.6, 10, 6), random.uniform(0.3, 0.8, 6)
        grey = scenes.with_spots(scenes.clean(kind, random), places, widths, heights)
        leaks = find_leaks(scenes.through_jpeg(grey, QUALITIES[seed]))
        assert all(off(leaks, place) < max(1.0, width / 4) for place, width in zip(places, widths, strict=True))


@pytest.mark.parametrize("quality", [60, 80, 95, None])
def test_the_size_is_the_width_at_half_height(scenes: SimpleNamespace, quality: int | None) -> None:
    random = np.random.default_rng(3)
    places, widths = scenes.some_places(random, 6), np.linspace(2.6, 20, 6)
    grey = scenes.with_spots(scenes.clean("dark", random), places, widths, np.full(6, 0.6))
    leaks = find_leaks(scenes.through_jpeg(grey, quality))
    for place, width in zip(places, widths, strict=True):
        spot = min(leaks.spots, key=lambda one: float(np.hypot(one.x_px - place[0], one.y_px - place[1])))
        # A tenth and a third of a pixel: JPEG of the poorest quality widens the narrowest by that.
        assert spot.fwhm_px == pytest.approx(width, rel=0.1, abs=0.35)
        assert spot.long_px >= spot.wide_px


def test_the_light_of_a_spot_is_that_of_the_bell_it_was_made_of(scenes: SimpleNamespace) -> None:
    random = np.random.default_rng(4)
    places = scenes.some_places(random, 3)
    widths, heights = np.array([6.0, 6.0, 12.0]), np.array([0.6, 0.3, 0.3])
    grey = scenes.with_spots(scenes.clean("gradient", random) * 0 + 20, places, widths, heights)
    leaks = find_leaks(scenes.through_jpeg(grey, 95))
    # The volume of a Gaussian is its height times pi/(4 ln 2) of its width squared; a tenth of the height cut off.
    bells = heights * np.pi / (4 * np.log(2)) * widths**2
    for place, bell in zip(places, bells, strict=True):
        spot = min(leaks.spots, key=lambda one: float(np.hypot(one.x_px - place[0], one.y_px - place[1])))
        assert spot.light == pytest.approx(0.93 * bell, rel=0.1)
    assert sum(spot.light_share for spot in leaks.spots) == pytest.approx(1)
    assert [spot.light for spot in leaks.spots] == sorted((spot.light for spot in leaks.spots), reverse=True)


def test_the_library_for_pictures_finds_the_same_spots_at_the_same_places_and_sizes(scenes: SimpleNamespace) -> None:
    # skimage.feature.blob_log: a spot of standard deviation s answers most at sigma = s.
    for seed in range(3):
        random = np.random.default_rng(seed)
        places, widths = scenes.some_places(random, 7), random.uniform(4, 12, 7)
        light = scenes.through_jpeg(
            scenes.with_spots(scenes.clean("dark", random), places, widths, np.full(7, 0.5)), 85
        )
        blobs = blob_log(light.astype(float), min_sigma=1, max_sigma=7, num_sigma=25, threshold=0.1)
        leaks = find_leaks(light)
        assert len(leaks.spots) == len(blobs) == 7
        for row, column, sigma in blobs:
            spot = min(leaks.spots, key=lambda one: float(np.hypot(one.x_px - column, one.y_px - row)))
            assert np.hypot(spot.x_px - column, spot.y_px - row) < 1
            assert spot.fwhm_px == pytest.approx(2.3548 * sigma, rel=0.15)


def test_on_a_negative_the_spots_are_dark(scenes: SimpleNamespace) -> None:
    random = np.random.default_rng(6)
    places = scenes.some_places(random, 5)
    positive = scenes.with_spots(scenes.clean("grain", random) * 0.3, places, np.full(5, 7.0), np.full(5, 0.5))
    negative = scenes.through_jpeg(255 - positive, 85)
    found = find_leaks(negative, dark_spots=True)
    assert len(found.spots) == 5
    assert max(off(found, place) for place in places) < 1
    assert not find_leaks(negative).spots


def test_always_bright_pixels_of_the_sensor_are_told_apart_and_counted(scenes: SimpleNamespace) -> None:
    random = np.random.default_rng(7)
    grey = scenes.clean("dark", random)
    for x, y in scenes.some_places(random, 8).astype(int):
        grey[y, x] = 200
    leaks = find_leaks(scenes.through_jpeg(grey, None))
    assert (len(leaks.spots), len(leaks.points)) == (0, 8)


def test_two_spots_that_touch_are_two(scenes: SimpleNamespace) -> None:
    grey = scenes.clean("dark", np.random.default_rng(8))
    places = np.array([[100.0, 100.0], [109.0, 103.0]])
    leaks = find_leaks(scenes.through_jpeg(scenes.with_spots(grey, places, np.array([5, 5]), np.array([0.5, 0.4])), 90))
    assert len(leaks.spots) == 2
    assert max(off(leaks, place) for place in places) < 1


@pytest.mark.parametrize("length", [10, 20, 28])
def test_a_short_streak_is_one_spot_with_its_length_and_width(scenes: SimpleNamespace, length: float) -> None:
    y, x = np.mgrid[:240, :320]
    along, across = np.cos(0.5) * (x - 160) + np.sin(0.5) * (y - 120), np.cos(0.5) * (y - 120) - np.sin(0.5) * (x - 160)
    streak = 0.4 * np.exp(-4 * np.log(2) * ((along / length) ** 2 + (across / 5) ** 2))
    grey = scenes.clean("dark", np.random.default_rng(12)) + 20
    light = scenes.through_jpeg(255 * coded(linear(grey.clip(0) / 255) + streak), 90)
    (spot,) = find_leaks(light.astype(np.float32)).spots
    assert (spot.x_px, spot.y_px) == pytest.approx((160, 120), abs=1)
    assert spot.long_px == pytest.approx(length, rel=0.15)
    assert spot.wide_px == pytest.approx(5, rel=0.4)


def test_ripples_of_jpeg_beside_a_brilliant_spot_are_no_spots(scenes: SimpleNamespace) -> None:
    for seed in range(6):
        random = np.random.default_rng(seed)
        places = scenes.some_places(random, 4)
        grey = scenes.with_spots(scenes.clean("without noise", random), places, np.full(4, 5.0), np.full(4, 6.0))
        leaks = find_leaks(scenes.through_jpeg(grey, 60))
        assert len(leaks.spots) == 4
        assert all(spot.full for spot in leaks.spots)


def test_a_photograph_turned_or_mirrored_shows_the_same_spots(scenes: SimpleNamespace) -> None:
    random = np.random.default_rng(9)
    light = scenes.through_jpeg(
        scenes.with_spots(
            scenes.clean("dark", random), scenes.some_places(random, 5), np.full(5, 6.0), np.full(5, 0.4)
        ),
        90,
    )
    upright, turned = find_leaks(light), find_leaks(np.ascontiguousarray(light[:, ::-1]))
    mirrored = np.array([scenes.columns - 1, 0]) + places_of(turned) * [-1, 1]
    assert all(off(upright, place) < 0.1 for place in mirrored)
    assert len(upright.spots) == len(turned.spots) == 5


def test_a_large_photograph_is_reduced_and_its_places_are_those_of_the_photograph(
    scenes: SimpleNamespace, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("asfound.shape.leaks.MOST_PIXELS", 25_000)
    random = np.random.default_rng(10)
    places, widths = scenes.some_places(random, 5), np.array([2.8, 4, 6, 9, 14])
    grey = scenes.with_spots(scenes.clean("dark", random), places, widths, np.full(5, 0.7))
    leaks = find_leaks(scenes.through_jpeg(grey, 90))
    assert leaks.reduced == 2
    assert len(leaks.spots) == 5
    for place, width in zip(places, widths, strict=True):
        spot = min(leaks.spots, key=lambda one: float(np.hypot(one.x_px - place[0], one.y_px - place[1])))
        assert np.hypot(spot.x_px - place[0], spot.y_px - place[1]) < 1
        assert spot.fwhm_px == pytest.approx(width, rel=0.15, abs=0.3)


def test_the_limit_says_how_faint_a_spot_is_still_found(scenes: SimpleNamespace) -> None:
    grey = scenes.clean("dark", np.random.default_rng(11)) + 10
    bare = find_leaks(scenes.through_jpeg(grey, None))
    limit = bare.limit_at(160, 120, 0)
    assert limit is not None
    assert bare.least_contrast == pytest.approx(limit, rel=0.3)
    assert bare.limit_at(2, 120, 0) is None
    assert bare.limit_at(160, 900, 0) is None
    # The smoothing by a pixel lowers a bell of width 4 to three quarters; twice the limit is well over it.
    bump = np.exp(-((np.arange(240)[:, None] - 120) ** 2 + (np.arange(320) - 160) ** 2) * 4 * np.log(2) / 16)
    for share, wanted in ((0.4, 0), (2.7, 1)):
        assert len(find_leaks(scenes.through_jpeg(grey + 255 * share * limit * bump, None)).spots) == wanted


def test_progress_runs_to_the_whole_and_can_end_the_work(scenes: SimpleNamespace) -> None:
    light = scenes.through_jpeg(scenes.clean("dark", np.random.default_rng(0)), None)
    told: list[float] = []
    find_leaks(light, progress=told.append)
    assert told == sorted(told)
    assert told[-1] == pytest.approx(1)

    def stop(_share: float) -> None:
        raise KeyError("stopped")

    with pytest.raises(KeyError):
        find_leaks(light, progress=stop)


@pytest.mark.parametrize(
    ("light", "more", "words"),
    [
        (np.zeros((50, 300), np.float32), {}, "300 by 50 pixels are too few"),
        (np.zeros((120, 120), np.float32), {}, "it is the same everywhere"),
        (np.eye(120, dtype=np.float32), {"mm_per_px": 1e9}, "out of all proportion"),
        (np.eye(120, dtype=np.float32), {"false_spots": 0.0}, "is no rate"),
    ],
)
def test_what_cannot_be_searched_is_refused_in_plain_words(light: np.ndarray, more: dict, words: str) -> None:
    with pytest.raises(BadInputError, match=words):
        find_leaks(light, **more)


def test_the_median_of_nine_is_that_of_the_numerical_library() -> None:
    values = np.random.default_rng(1).random((9, 40, 40)).astype(np.float32)
    assert np.array_equal(_median_of_nine([one.copy() for one in values]), np.median(values, axis=0))


def test_the_background_is_that_of_a_plain_slow_median_filter() -> None:
    # scipy.ndimage: one footprint a direction, over the greatest of three by three everywhere but in the middle.
    picture = np.random.default_rng(2).random((60, 70)).astype(np.float32)
    low, high, left = lines(picture)
    over = ndimage.maximum_filter(np.pad(picture, 12, mode="reflect"), size=3)[12:-12, 12:-12]
    slow = []
    for n in range(DIRECTIONS):
        taps = [
            over[30 + round(3 * k * np.sin(np.pi * n / 12)), 35 + round(3 * k * np.cos(np.pi * n / 12))]
            for k in (-4, -3, -2, -1, 1, 2, 3, 4)
        ]
        slow.append(np.median([picture[30, 35], *taps]))
    assert high[30, 35] == pytest.approx(max(slow))
    assert (low <= high).all()
    assert left.shape == (DIRECTIONS, 20, 24)


def test_light_and_grey_scale_are_there_and_back() -> None:
    grey = np.linspace(0, 1, 256, dtype=np.float32)
    assert coded(linear(grey)) == pytest.approx(grey, abs=1e-6)
    # IEC 61966-2-1 (sRGB), from memory: middle grey 0.5 is 0.2140 of the light.
    assert linear(np.array([0.5], np.float32))[0] == pytest.approx(0.2140, abs=1e-4)


def test_pixels_taken_together_are_their_mean() -> None:
    light = np.arange(63, dtype=np.float32).reshape(7, 9)
    assert together(light, 3) == pytest.approx(light[:6].reshape(2, 3, 3, 3).mean(axis=(1, 3)))


def test_the_threshold_rises_with_heavier_tails_and_fewer_false_spots() -> None:
    random = np.random.default_rng(3)
    normal = random.standard_normal((400, 400)).astype(np.float32)
    heavy = random.laplace(size=(400, 400)).astype(np.float32)
    usual = threshold_of(normal, -normal, share=1e-3)
    assert threshold_of(normal, -normal, share=1e-6) > usual > 5
    assert threshold_of(heavy, -heavy, share=1e-3) > 1.3 * usual
