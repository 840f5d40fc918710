"""From the samples around one firing to its times, uncertainties and flags."""

import math
from dataclasses import dataclass, replace

import numpy as np

from asfound.shutter.firing import Firing, Flag
from asfound.shutter.fit import ALL_SHAPES, Binned, Edges, Fitted, Start, bin_around, fit_shapes
from asfound.shutter.levels import Floats, rough_rise
from asfound.shutter.scan import Span

# A sound card's clock: 100 ppm either way, rectangular (common practice, no source).
CLOCK_TOLERANCE = 1e-4
DROOP_SEEN = 0.01  # share of the plateau lost between opening and closing
REBOUND_SEEN = 0.03
OUT_OF_QUESTION = 60.0  # chi-square above the best at which a shape's weight is nothing


def measure_span(
    span: Span, *, sample_rate_hz: float, clip_level: float, resolution: float = 2.0**-15
) -> Firing | None:
    """Return the firing in a span; None if there is none after all.

    Parameters
    ----------
    span : Span
    sample_rate_hz : float
    clip_level : float
        Magnitude from which a sample counts as overdriven, full scale 1.
    resolution : float
        Smallest step of the samples.

    Notes
    -----
    Effective time: integral of the brightness over its plateau (ISO 516:2019).
    """
    light = span.polarity * span.samples.astype(np.float64)
    quiet = light[: max(16, span.onset - round(0.012 * sample_rate_hz))]
    noise = max(_white_noise(quiet), resolution / math.sqrt(12))
    if span.ending != "closed":
        return _unclosed(span, light, quiet, sample_rate_hz)
    start = _rough(span, light, base=float(quiet.mean()), noise_rms=noise, sample_rate_hz=sample_rate_hz)
    if start is None:
        return None
    fits = _fit_all(light, start, noise, sample_rate_hz)
    return _firing(span, light, fits, noise, sample_rate_hz, clip_level)


def _white_noise(quiet: Floats) -> float:
    """Return the rms of white noise from neighbouring samples, which hum and droop leave alone."""
    return float(np.sqrt(np.mean(np.diff(quiet) ** 2) / 2))


def _unclosed(span: Span, light: Floats, quiet: Floats, sample_rate_hz: float) -> Firing:
    ended = Flag.NEVER_CLOSES if span.ending == "open" else Flag.TRUNCATED
    begins = span.start_index + span.onset
    near = light[span.onset : span.onset + round(0.02 * sample_rate_hz)]
    base = float(quiet.mean())
    return Firing(
        start_s=begins / sample_rate_hz,
        flags=(ended,) if ended is Flag.NEVER_CLOSES else (Flag.NEVER_CLOSES, ended),
        start_index=span.start_index,
        stop_index=span.start_index + span.samples.size,
        base=span.polarity * base,
        plateau=span.polarity * (float(near.max(initial=base)) - base),
    )


def _rough(span: Span, light: Floats, *, base: float, noise_rms: float, sample_rate_hz: float) -> Start | None:
    """Return where the fit begins, from crossings of the smoothed signal."""
    near = light[max(0, span.onset - round(0.012 * sample_rate_hz)) :][: round(0.03 * sample_rate_hz)]
    height = float(np.percentile(near, 98)) - base
    if height <= 0:
        return None
    width = int(min(max(1, (noise_rms / (0.04 * height)) ** 2), 2e-4 * sample_rate_hz + 1))
    smooth = np.convolve(light, np.full(width, 1 / width), mode="same") if width > 1 else light
    begin = max(0, span.onset - round(0.012 * sample_rate_hz))
    middle = max(begin + 2, span.closing)
    reach = round(0.012 * sample_rate_hz)
    top_end = min(max(begin + 2, middle), begin + round(0.05 * sample_rate_hz))
    top = _high(smooth[begin:top_end])
    rise = rough_rise(smooth[begin : top_end + reach], base=base, top=top)
    tail = smooth[middle : middle + reach]
    bottom = float(np.percentile(tail, 5)) if tail.size else base
    before = smooth[max(begin, middle - reach) : middle]
    last_top = _high(before) if before.size else top
    flipped = smooth[max(begin, middle - reach) : middle + reach][::-1]
    fall = rough_rise(flipped, base=bottom, top=last_top)
    if rise is None or fall is None:
        return None
    opening, closing = rise.length / sample_rate_hz, fall.length / sample_rate_hz
    rise_at = (begin + rise.middle) / sample_rate_hz
    end_at = max(begin, middle - reach) + flipped.size - 1 - fall.middle
    edges = Edges(
        first_s=rise_at - opening / 2,
        opening_s=opening,
        last_s=end_at / sample_rate_hz + closing / 2,
        closing_s=closing,
    )
    return Start(edges=edges, pole_per_s=0.0, plateau=max(top - base, last_top - bottom), base=base)


def _high(samples: Floats) -> float:
    return float(np.percentile(samples, 95)) if samples.size > 40 else float(samples.max())


def _fit_all(light: Floats, start: Start, noise: float, sample_rate_hz: float) -> list[Fitted]:
    """Fit every pair of shapes, each from the best found so far."""
    binned = bin_around(light, sample_rate_hz=sample_rate_hz, edges=start.edges)
    first = _best_pole(binned, start, noise)
    tail = first.pole_per_s * binned.time_s[-1] > 0.3
    begin = _restart(first)
    binned = bin_around(light, sample_rate_hz=sample_rate_hz, edges=first.edges)
    fits: list[Fitted] = []
    for shapes in ALL_SHAPES:
        best = min((fitted.chi_square for fitted in fits), default=math.inf)
        fits.append(
            fit_shapes(binned, noise_rms=noise, start=begin, shapes=shapes, tail=tail, hopeless=best + OUT_OF_QUESTION)
        )
    return fits


def _restart(fitted: Fitted) -> Start:
    return Start(edges=fitted.edges, pole_per_s=fitted.pole_per_s, plateau=fitted.plateau, base=fitted.base)


def _best_pole(binned: Binned, start: Start, noise: float) -> Fitted:
    """Return the straight-edged fit from the most promising of a few corner frequencies."""
    best: Fitted | None = None
    for corner in (0.0, 4.0, 20.0):
        fitted = fit_shapes(
            binned,
            noise_rms=noise,
            start=replace(start, pole_per_s=2 * math.pi * corner),
            shapes=("area", "area"),
            done=1.0,
        )
        if best is None or fitted.chi_square < best.chi_square:
            best = fitted
        if best.chi_square < 2 * best.free:
            break
    assert best is not None
    return best


@dataclass(frozen=True, slots=True, kw_only=True)
class _Averaged:
    """What the fits say together, each weighted by its likelihood."""

    effective_s: float
    u_random_s: float
    half_level_s: float
    total_s: float
    opening_s: float
    closing_s: float
    first_s: float


def _average(fits: list[Fitted]) -> _Averaged:
    least = min(fitted.chi_square for fitted in fits)
    weight = np.array([math.exp(-min(700.0, (fitted.chi_square - least) / 2)) for fitted in fits])
    weight /= weight.sum()
    times = np.array([fitted.effective_s for fitted in fits])
    mean = float(weight @ times)
    variance = weight @ (np.array([fitted.u_effective_s for fitted in fits]) ** 2 + (times - mean) ** 2)

    def mixed(values: list[float]) -> float:
        return float(weight @ np.array(values))

    return _Averaged(
        effective_s=mean,
        u_random_s=math.sqrt(variance),
        half_level_s=mixed([f.half_level_s for f in fits]),
        total_s=mixed([f.edges.last_s - f.edges.first_s for f in fits]),
        opening_s=mixed([f.edges.opening_s for f in fits]),
        closing_s=mixed([f.edges.closing_s for f in fits]),
        first_s=mixed([f.edges.first_s for f in fits]),
    )


def _firing(
    span: Span, light: Floats, fits: list[Fitted], noise: float, sample_rate_hz: float, clip_level: float
) -> Firing | None:
    best = min(fits, key=lambda fitted: fitted.chi_square)
    if best.plateau <= 3 * noise or best.edges.last_s <= best.edges.first_s:
        return None
    mean = _average(fits)
    misfit = best.chi_square / max(1, best.free)
    random = mean.u_random_s * max(1.0, math.sqrt(misfit))
    clock = CLOCK_TOLERANCE / math.sqrt(3) * mean.effective_s
    flags = _flags(span, best, noise, misfit, clip_level)
    return Firing(
        start_s=span.start_index / sample_rate_hz + mean.first_s,
        total_open_s=mean.total_s,
        half_level_s=mean.half_level_s,
        effective_s=mean.effective_s,
        opening_s=mean.opening_s,
        closing_s=mean.closing_s,
        efficiency=mean.effective_s / mean.total_s,
        u_random_s=random,
        u_effective_s=math.hypot(random, clock),
        flags=flags,
        start_index=span.start_index,
        stop_index=span.start_index + span.samples.size,
        base=span.polarity * best.base,
        plateau=span.polarity * best.plateau,
        coupling_hz=(best.pole_per_s / (2 * math.pi),) if Flag.AC_DROOP in flags else (),
        shapes=best.shapes,
    )


def _flags(span: Span, best: Fitted, noise: float, misfit: float, clip_level: float) -> tuple[Flag, ...]:
    edges = best.edges
    fully = edges.last_s - edges.closing_s - edges.first_s - edges.opening_s
    said = {
        Flag.CLIPPED: float(np.abs(span.samples).max()) >= clip_level,
        Flag.NO_PLATEAU: fully < 0.05 * (edges.last_s - edges.first_s),
        Flag.AC_DROOP: best.pole_per_s * (edges.last_s - edges.first_s) > DROOP_SEEN,
        Flag.LOW_SIGNAL_TO_NOISE: best.plateau < 8 * noise,
        Flag.MODEL_MISFIT: misfit > 1.5,
    }
    return tuple(flag for flag, true in said.items() if true)
