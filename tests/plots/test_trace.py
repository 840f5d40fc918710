import numpy as np
import pytest

from asfound.plots import half_level_crossings, page_svg, trace_picture
from asfound.shutter.timing.firing import Firing, Flag

RATE = 48000.0


def trapezium(times_s, opens_s=0.010, rise_s=0.002, full_s=0.016, fall_s=0.004):
    """Straight ramps: half level to half level and area over height are both full + (rise + fall) / 2."""
    closes_s = opens_s + rise_s + full_s
    return np.clip((times_s - opens_s) / rise_s, 0, 1) - np.clip((times_s - closes_s) / fall_s, 0, 1)


TIMES = np.arange(int(0.05 * RATE)) / RATE
FIRING = Firing(
    start_s=0.010,
    total_open_s=0.022,
    half_level_s=0.019,
    effective_s=0.019,
    u_effective_s=2e-5,
    base=0.1,
    plateau=-0.6,
    flags=(Flag.HUM,),
)
SAMPLES = 0.1 - 0.6 * trapezium(TIMES)


def test_half_level_is_crossed_in_the_middle_of_straight_ramps():
    crossings = half_level_crossings(FIRING, SAMPLES, sample_rate_hz=RATE, start_s=0.0)
    assert crossings == pytest.approx((0.011, 0.030), abs=1e-9)


def test_samples_that_begin_later_cross_at_the_same_time():
    late = half_level_crossings(FIRING, SAMPLES[240:], sample_rate_hz=RATE, start_s=240 / RATE)
    assert late == pytest.approx((0.011, 0.030), abs=1e-9)


def test_the_shaded_area_is_the_effective_time_times_the_plateau():
    picture = trace_picture(FIRING, samples=SAMPLES, sample_rate_hz=RATE, start_s=0.0)
    shaded = next(c for c in picture.figure.axes[0].collections if str(c.get_label()).startswith("effective"))
    box = shaded.get_paths()[0].get_extents()
    integral = np.trapezoid(0.1 - SAMPLES, TIMES)
    assert box.width / 1e3 * box.height == pytest.approx(integral, rel=1e-9)


def test_what_a_firing_does_not_know_is_left_out_and_not_invented():
    bare = Firing(start_s=0.010)
    assert half_level_crossings(bare, SAMPLES, sample_rate_hz=RATE, start_s=0.0) is None
    picture = trace_picture(bare, samples=SAMPLES, sample_rate_hz=RATE, start_s=0.0)
    assert picture.description == "No time could be measured."
    labels = picture.figure.axes[0].get_legend_handles_labels()[1]
    assert labels == ["light on the sensor"]


def test_flags_are_said_to_who_cannot_see_the_trace():
    picture = trace_picture(FIRING, samples=SAMPLES, sample_rate_hz=RATE, start_s=0.0)
    assert Flag.HUM.sentence in picture.description
    assert "Effective time 19.0 ms" in picture.description


def test_a_long_recording_makes_no_long_picture():
    long = Firing(start_s=0.0, half_level_s=9.0, effective_s=9.0, base=0.0, plateau=1.0)
    noise = np.random.default_rng(3).normal(1, 0.1, int(10 * RATE))
    text = page_svg(trace_picture(long, samples=noise, sample_rate_hz=RATE, start_s=0.0))
    assert len(text) < 120_000
