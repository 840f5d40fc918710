"""Two leak photographs compared; the second made from the first by the library for pictures."""

from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from skimage.transform import AffineTransform, estimate_transform, warp

from asfound.problems import BadInputError
from asfound.shape.leaks import Leaks, find_leaks
from asfound.shape.leaks_pair import NOT_MOVED, Compared, Laid, compare, laid_by_marks, laid_by_sight

PLACES = np.array([[60.0, 60], [160, 70], [250, 90], [90, 170], [200, 180]])


def pair(scenes: SimpleNamespace, move: AffineTransform, *, left: int = 5) -> tuple[np.ndarray, np.ndarray]:
    """Return a photograph with five spots, and one taken anew after the last of them were closed."""
    bare = scenes.clean("zigzag folds", np.random.default_rng(1)) - 3 * np.random.default_rng(1).standard_normal(
        (240, 320)
    )
    noise = np.random.default_rng(2).standard_normal((2, 240, 320))
    first = scenes.with_spots(bare, PLACES, np.full(5, 5.0), np.full(5, 0.6))
    second = scenes.with_spots(bare, PLACES[:left], np.full(left, 5.0), np.full(left, 0.6))
    moved = warp(second / 255, move.inverse, mode="edge") * 255
    return scenes.through_jpeg(first + 2 * noise[0], 85), scenes.through_jpeg(moved + 2 * noise[1], 85)


def states(compared: tuple[Compared, ...], laid: Laid) -> list[str]:
    """Return what became of the five spots, in their order."""
    return [
        min(compared, key=lambda one: float(np.hypot(*np.subtract(one.at_px, laid.at(*place))))).state
        for place in PLACES
    ]


@pytest.mark.parametrize(
    "move",
    [
        {},
        {"translation": (6.3, -4.2)},
        {"rotation": 0.01, "translation": (3, 2)},
        {"rotation": 0.015, "scale": 1.015, "translation": (0, 4)},
    ],
)
def test_what_both_show_lays_them_over_one_another_within_a_pixel(scenes: SimpleNamespace, move: dict) -> None:
    true = AffineTransform(**move)
    before, after = pair(scenes, true, left=3)
    laid = laid_by_sight(before, after)
    assert all(np.hypot(*(np.array(laid.at(*place)) - true(place)[0])) < 1 for place in PLACES)
    told = compare(find_leaks(before), find_leaks(after), laid, same_exposure=True)
    assert states(told, laid) == ["still there"] * 3 + ["closed"] * 2


def test_a_turn_too_large_to_follow_is_said_not_guessed(scenes: SimpleNamespace) -> None:
    with pytest.raises(BadInputError, match="cannot be laid over one another"):
        laid_by_sight(*pair(scenes, AffineTransform(rotation=0.15)))


def test_two_photographs_of_nothing_but_noise_cannot_be_laid_over_one_another(scenes: SimpleNamespace) -> None:
    one, other = (scenes.through_jpeg(scenes.clean("dark", np.random.default_rng(n)), 85) for n in (0, 1))
    with pytest.raises(BadInputError, match="cannot be laid over one another"):
        laid_by_sight(one, other)


def test_straight_folds_alone_are_not_laid_over_one_another(scenes: SimpleNamespace) -> None:
    # They fit as well a few pixels further along the fold.
    y = np.mgrid[:240, :320][0]
    noise = np.random.default_rng(4).standard_normal((2, 240, 320))
    one, other = (scenes.through_jpeg(40 + 30 * np.abs(y / 30 % 1 - 0.5) + 2 * by, 85) for by in noise)
    with pytest.raises(BadInputError, match="lines that run one way"):
        laid_by_sight(one, other)


def test_photographs_of_two_sizes_want_points(scenes: SimpleNamespace) -> None:
    before, after = pair(scenes, AffineTransform())
    with pytest.raises(BadInputError, match="320 x 240 and 300 x 240 pixels; name three points"):
        laid_by_sight(before, after[:, :300])


@given(st.floats(-0.4, 0.4), st.floats(0.8, 1.25), st.floats(-50, 50), st.floats(-50, 50), st.integers(1, 6))
def test_points_give_the_map_that_the_library_for_pictures_finds(
    turn: float, scale: float, x: float, y: float, count: int
) -> None:
    # skimage.transform.estimate_transform, as oracle; for one point a shift alone.
    true = AffineTransform(rotation=turn, scale=scale, translation=(x, y))
    before = np.array([[0.0, 0], [300, 10], [20, 200], [310, 220], [150, 90], [40, 130]])[:count]
    after = true(before)
    laid = laid_by_marks(before.tolist(), after.tolist())
    if count == 1:
        assert laid.at(0, 0) == pytest.approx(tuple(after[0]))
        assert laid.at(5, 7) == pytest.approx(tuple(after[0] + [5, 7]))
        return
    oracle = estimate_transform("similarity" if count == 2 else "affine", before, after)
    for place in PLACES:
        assert laid.at(*place) == pytest.approx(tuple(oracle(place)[0]), abs=1e-6)


@given(st.floats(-0.4, 0.4), st.floats(-30, 30), st.integers(1, 5), st.floats(0, 500), st.floats(0, 500))
def test_a_map_between_reduced_photographs_is_one_between_the_whole_ones(
    turn: float, shift: float, count: int, x: float, y: float
) -> None:
    true = AffineTransform(rotation=turn, translation=(shift, -shift))
    small = laid_by_marks(PLACES.tolist(), true(PLACES).tolist())
    # The middle of pixel n of the reduced one is that of its pixels in the whole one.
    there = small.at((x + 0.5) / count - 0.5, (y + 0.5) / count - 0.5)
    wanted = tuple((place + 0.5) * count - 0.5 for place in there)
    assert small.enlarged(count).at(x, y) == pytest.approx(wanted, abs=1e-6)


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ([], []),
        ([(1, 1)], []),
        ([(0, 0), (1, 1), (2, 2)], [(0, 0), (1, 1), (2, 2)]),
        ([(5, 5), (5, 5)], [(1, 1), (2, 2)]),
    ],
)
def test_points_that_fix_nothing_are_refused(before: list, after: list) -> None:
    with pytest.raises(BadInputError, match="points"):
        laid_by_marks(before, after)


def leaks_of(scenes: SimpleNamespace, places: list, heights: list, *, kind: str = "dark") -> Leaks:
    grey = scenes.clean(kind, np.random.default_rng(5))
    spots = scenes.with_spots(grey, np.array(places).reshape(-1, 2), np.full(len(places), 5.0), np.array(heights))
    return find_leaks(scenes.through_jpeg(spots, 90))


def test_a_spot_that_appeared_is_new(scenes: SimpleNamespace) -> None:
    told = compare(
        leaks_of(scenes, [(100, 100)], [0.5]), leaks_of(scenes, [(100, 100), (200, 80)], [0.25, 0.5]), NOT_MOVED,
        same_exposure=True,
    )  # fmt: skip
    assert [one.state for one in told] == ["still there", "new"]
    assert told[0].light_ratio == pytest.approx(0.5, rel=0.1)


def test_one_in_darkness_of_another_length_is_not_called_closed(scenes: SimpleNamespace) -> None:
    told = compare(leaks_of(scenes, [(100, 100)], [0.5]), leaks_of(scenes, [], []), NOT_MOVED, same_exposure=False)
    assert [(one.state, one.why) for one in told] == [
        ("cannot tell", "the second photograph was not exposed as the first")
    ]


def test_one_out_of_view_is_not_called_closed(scenes: SimpleNamespace) -> None:
    away = laid_by_marks([(0, 0)], [(400, 0)])
    told = compare(leaks_of(scenes, [(100, 100)], [0.5]), leaks_of(scenes, [], []), away, same_exposure=True)
    assert told[0].state == "cannot tell"
    assert "outside" in told[0].why


def test_one_too_faint_for_a_noisier_photograph_is_not_called_closed(scenes: SimpleNamespace) -> None:
    faint = leaks_of(scenes, [(100, 100)], [0.01])
    assert len(faint.spots) == 1
    noisy = leaks_of(scenes, [], [], kind="grain")
    told = compare(faint, noisy, NOT_MOVED, same_exposure=True)
    assert told[0].state == "cannot tell"
    assert "fainter" in told[0].why
