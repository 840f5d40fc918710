"""Flash synchronisation: made-up contacts against made-up blades."""

import numpy as np
import pytest

from asfound.shutter import Firing
from asfound.shutter.timing.sync import Contact, find_closures, sync_of

RATE = 48_000.0


def firing(start=1.0, opening=2e-3, closing=2e-3, total=0.02, shapes=("area", "area")):
    return Firing(
        start_s=start, total_open_s=total, opening_s=opening, closing_s=closing, effective_s=total - 2e-3, shapes=shapes
    )


def contact(at, dwell=5e-3):
    return Contact(closes_s=at, dwell_s=dwell, bounces=0, open_share=0.0)


def wave(*closed, noise=0.003, length=2.0):
    time = np.arange(round(length * RATE)) / RATE
    level = sum(((time >= a) & (time < b)).astype(float) for a, b in closed)
    return 0.4 * level + np.random.default_rng(0).normal(0, noise, time.size)


def test_a_closure_is_found_with_its_dwell():
    (found,) = find_closures(wave((1.0021, 1.0151)), sample_rate_hz=RATE)
    assert found.closes_s == pytest.approx(1.0021, abs=3e-5)
    assert found.dwell_s == pytest.approx(0.013, abs=5e-5)
    assert found.bounces == 0


def test_bounce_is_counted_within_one_closure():
    (found,) = find_closures(wave((1.0, 1.0005), (1.0007, 1.001), (1.0012, 1.01)), sample_rate_hz=RATE)
    assert found.bounces == 2
    assert found.open_share == pytest.approx(0.04, abs=0.01)


def test_closures_far_apart_are_several_and_a_negative_swing_is_as_good():
    assert len(find_closures(-wave((0.5, 0.51), (1.5, 1.51)), sample_rate_hz=RATE)) == 2


def test_a_contact_that_never_closes_is_none():
    assert find_closures(wave(), sample_rate_hz=RATE) == ()


# X closes as the blades become fully open (read).
@pytest.mark.parametrize(
    ("at", "verdict"), [(1.004, "within"), (1.001, "outside"), (1.00205, "cannot tell"), (1.0195, "outside")]
)
def test_x_must_close_while_the_blades_are_fully_open(at, verdict):
    assert sync_of(firing(), [contact(at)], setting="X").verdict == verdict


# M: about 12 ms before the blades move (read); 13 to 19 ms before they are 80 % open (read, another text).
@pytest.mark.parametrize(
    ("datum", "delay", "verdict"),
    [
        ("blades start", 0.012, "within"),
        ("blades start", 0.020, "outside"),
        ("80 % open", 0.0145, "within"),
        ("80 % open", 0.010, "outside"),
    ],
)
def test_m_is_judged_by_the_datum_that_is_said(datum, delay, verdict):
    # With an evenly growing area, 80 % are open after 0.8 of the opening.
    datum_at = 1.0 if datum == "blades start" else 1.0 + 0.8 * 2e-3
    result = sync_of(firing(), [contact(datum_at - delay)], setting="M", datum=datum)
    assert result.delay_s == pytest.approx(delay, abs=1e-6)
    assert result.datum == datum
    assert result.verdict == verdict


def test_no_closure_is_outside():
    result = sync_of(firing(), [contact(3.0)], setting="X")
    assert result.verdict == "outside"
    assert result.reason == "the contact did not close"
