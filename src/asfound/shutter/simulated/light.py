"""Made-up firings with a known truth: arrays to try every measurement on."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from asfound.shutter.timing.coupling import DARK_SHARE, HALF_SHARE, Curve, Floats, Shape, falling_edge, rising_edge


@dataclass(frozen=True, slots=True, kw_only=True)
class Exposure:
    """How the blades moved in one made-up firing.

    Attributes
    ----------
    opening_s, closing_s : float
        Durations of the two movements, each more than zero.
    fully_open_s : float
        Time between them, at least zero.
    opening_shape, closing_shape : {"area", "diameter"}
        What grows evenly.
    reach : float
        Brightness at the furthest opening, 1 when the blades open fully.
    rebound_after_s : float or None
        Time from closing to the middle of a re-opening; None for no rebound.
    rebound_s, rebound_reach : float
        Length of the re-opening and its brightness.
    """

    opening_s: float
    closing_s: float
    fully_open_s: float
    opening_shape: Shape = "area"
    closing_shape: Shape = "area"
    reach: float = 1.0
    rebound_after_s: float | None = None
    rebound_s: float = 2e-3
    rebound_reach: float = 0.2

    def curve(self, start_s: float) -> Curve:
        """Return the brightness curve of a firing that begins at `start_s`."""
        end = start_s + self.total_open_s
        light = rising_edge(start_s=start_s, duration_s=self.opening_s, shape=self.opening_shape) + falling_edge(
            end_s=end, duration_s=self.closing_s, shape=self.closing_shape
        )
        light = light.scaled(self.reach)
        if self.rebound_after_s is None:
            return light
        half = self.rebound_s / 2
        middle = end + self.rebound_after_s
        bump = rising_edge(start_s=middle - half, duration_s=half, shape="area") + falling_edge(
            end_s=middle + half, duration_s=half, shape="area"
        )
        return light + bump.scaled(self.rebound_reach)

    @property
    def total_open_s(self) -> float:
        """First to last light of the firing itself, rebound apart."""
        return self.opening_s + self.fully_open_s + self.closing_s

    @property
    def effective_s(self) -> float:
        """Integral of the brightness over its plateau, rebound included."""
        dark = DARK_SHARE[self.opening_shape] * self.opening_s
        dark += DARK_SHARE[self.closing_shape] * self.closing_s
        extra = 0.0 if self.rebound_after_s is None else self.rebound_reach * self.rebound_s / 2
        return self.total_open_s - dark + extra / self.reach

    @property
    def half_level_s(self) -> float:
        """Between the crossings of half the plateau."""
        dark = HALF_SHARE[self.opening_shape] * self.opening_s
        return self.total_open_s - dark - HALF_SHARE[self.closing_shape] * self.closing_s


def exposure_lasting(
    effective_s: float,
    *,
    opening_s: float = 5e-4,
    closing_s: float = 5e-4,
    opening_shape: Shape = "area",
    closing_shape: Shape = "area",
) -> Exposure:
    """Return the firing with this effective time and these edges.

    Raises
    ------
    ValueError
        If the edges alone already last longer.
    """
    bright = (1 - DARK_SHARE[opening_shape]) * opening_s + (1 - DARK_SHARE[closing_shape]) * closing_s
    if effective_s < bright:
        raise ValueError(f"edges of {bright:g} s effective do not fit into {effective_s:g} s")
    return Exposure(
        opening_s=opening_s,
        closing_s=closing_s,
        fully_open_s=effective_s - bright,
        opening_shape=opening_shape,
        closing_shape=closing_shape,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class SoundInput:
    """What lies between the light and the samples.

    Attributes
    ----------
    sample_rate_hz : float
    level : float
        Signal of the full light, full scale 1; negative for an inverting input.
    offset : float
        Signal in the dark.
    noise_rms : float
        White noise, full scale 1.
    coupling_hz : tuple of float
        Corner frequencies of the input's high pass: none, one or two.
    hum_hz, hum_level : float
        Mains frequency and the amplitude of its hum, full scale 1.
    flicker_hz, flicker_depth : float
        Frequency and relative amplitude of the lamp's flicker.
    clip_level : float or None
        Magnitude at which the input overloads.
    """

    sample_rate_hz: float = 48_000.0
    level: float = 0.5
    offset: float = 0.0
    noise_rms: float = 0.0
    coupling_hz: tuple[float, ...] = ()
    hum_hz: float = 50.0
    hum_level: float = 0.0
    flicker_hz: float = 100.0
    flicker_depth: float = 0.0
    clip_level: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Truth:
    """What a perfect measurement of a made-up firing would give; times in seconds."""

    start_s: float
    total_open_s: float
    half_level_s: float
    effective_s: float
    opening_s: float
    closing_s: float
    efficiency: float


def truth_of(exposure: Exposure, start_s: float) -> Truth:
    """Return the truth of an exposure that begins at `start_s`."""
    return Truth(
        start_s=start_s,
        total_open_s=exposure.total_open_s,
        half_level_s=exposure.half_level_s,
        effective_s=exposure.effective_s,
        opening_s=exposure.opening_s,
        closing_s=exposure.closing_s,
        efficiency=exposure.effective_s / exposure.total_open_s,
    )


def simulate(
    exposures: Sequence[Exposure],
    line: SoundInput,
    *,
    lead_s: float = 0.3,
    gap_s: float = 1.0,
    tail_s: float = 0.5,
    seed: int = 0,
) -> tuple[NDArray[np.float32], tuple[Truth, ...]]:
    """Return the samples of a recording of several firings, and the truth of each.

    Parameters
    ----------
    exposures : sequence of Exposure
        In the order shot.
    line : SoundInput
        What lies between the light and the samples.
    lead_s, gap_s, tail_s : float
        Dark before the first, between two and after the last firing.
    seed : int
        Of the noise.

    Returns
    -------
    samples : ndarray of float32, shape (n,)
    truths : tuple of Truth
    """
    truths, curve, now = [], Curve((), (), ()), lead_s
    for exposure in exposures:
        truths.append(truth_of(exposure, now))
        curve = curve + exposure.curve(now)
        now += exposure.total_open_s + gap_s
    length = now - (gap_s if exposures else 0.0) + tail_s
    time = np.arange(round(length * line.sample_rate_hz)) / line.sample_rate_hz
    signal = line.offset + line.level * _light(curve, line, time)
    signal += line.hum_level * np.sin(2 * math.pi * line.hum_hz * time + 0.4)
    if line.noise_rms:
        signal += line.noise_rms * np.random.default_rng(seed).standard_normal(time.size)
    if line.clip_level is not None:
        signal = np.clip(signal, -line.clip_level, line.clip_level)
    return signal.astype(np.float32), tuple(truths)


def _light(curve: Curve, line: SoundInput, time: Floats) -> Floats:
    if not line.flicker_depth:
        return curve.through(time, coupling_hz=line.coupling_hz)
    light = curve.through(time)
    light *= 1 + line.flicker_depth * np.sin(2 * math.pi * line.flicker_hz * time)
    for corner in line.coupling_hz:
        light = _high_pass(light, corner, line.sample_rate_hz)
    return light


def _high_pass(signal: Floats, corner_hz: float, sample_rate_hz: float) -> Floats:
    """Return a one-pole high pass of `signal`, exact for straight lines between the samples."""
    from scipy.signal import lfilter

    step = 2 * math.pi * corner_hz / sample_rate_hz
    gain = -math.expm1(-step) / step
    return np.asarray(lfilter([gain, -gain], [1.0, -math.exp(-step)], signal), dtype=np.float64)
