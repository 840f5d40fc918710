"""From the samples around one firing to its times, uncertainties and flags."""

import math
from dataclasses import dataclass, replace

import numpy as np

from asfound.shutter.timing.average import Averaged, average
from asfound.shutter.timing.disturbance import (
    Rebound,
    Wave,
    expected,
    find_flicker,
    find_hum,
    find_modulation,
    find_rebound,
    leftover,
)
from asfound.shutter.timing.firing import Firing, Flag
from asfound.shutter.timing.fit import ALL_SHAPES, Binned, Fitted, Start, bin_around, fit_shapes, model
from asfound.shutter.timing.levels import Floats
from asfound.shutter.timing.rough import rough_start
from asfound.shutter.timing.scan import Span

# A sound card's clock: 100 ppm either way, rectangular (common practice, no source).
CLOCK_TOLERANCE = 1e-4
DROOP_SEEN = 0.01  # share of the plateau lost between opening and closing
OUT_OF_QUESTION = 60.0  # chi-square above the best at which a shape's weight is nothing
MISFIT_SIGMAS = 5.0
HOPELESS = 0.1  # share of the plateau left over (rms, in the light) at which no time is given at all
BANDWIDTH_SHARE = 0.45  # of the sample rate: what a sound input passes (common practice, no source)
SECOND_REACH = 0.8  # a re-opening as wide as this is a firing of its own


@dataclass(frozen=True, slots=True, kw_only=True)
class Conditions:
    """What the samples are known to be.

    Attributes
    ----------
    sample_rate_hz : float
    clip_level : float
        Magnitude from which a sample counts as overdriven, full scale 1.
    resolution : float
        Smallest step of the samples.
    """

    sample_rate_hz: float
    clip_level: float = 0.999
    resolution: float = 2.0**-15


def measure_span(span: Span, conditions: Conditions, *, quick: bool = False) -> Firing | None:
    """Return the firing in a span; None if there is none after all.

    Parameters
    ----------
    span : Span
    conditions : Conditions
    quick : bool
        Take the blades' edges for straight, and try no other shape: little more than half of the work.

    Notes
    -----
    Effective time: integral of the brightness over its plateau (ISO 516:2019).
    """
    rate = conditions.sample_rate_hz
    light = span.polarity * span.samples[: span.again].astype(np.float64)
    quiet = light[: max(16, span.onset - round(0.012 * rate))]
    noise = max(_white_noise(quiet), conditions.resolution / math.sqrt(12))
    if span.ending != "closed":
        return _unclosed(span, light, quiet, rate)
    start = rough_start(span, light, base=float(quiet.mean()), noise_rms=noise, sample_rate_hz=rate)
    if start is None:
        return None
    found = _fit(light, start, noise, rate, quick=quick)
    best = found.fits[0]
    if best.plateau <= 3 * noise or best.edges.last_s <= best.edges.first_s:
        return None
    if _left_over(found, noise) > HOPELESS:
        return replace(
            _unclosed(span, light, quiet, rate), flags=(Flag.MODEL_MISFIT,), plateau=span.polarity * best.plateau
        )
    return _firing(span, found, noise, conditions)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Found:
    """The fits of one firing, the best first, and what was taken out before them."""

    fits: list[Fitted]
    binned: Binned
    hum: Wave | None
    flicker: Wave | None
    rebound: Rebound | None


def _fit(light: Floats, start: Start, noise: float, rate: float, *, quick: bool) -> _Found:
    """Fit, look at what is left over, take out what is known of it, and fit again."""
    binned = bin_around(light, sample_rate_hz=rate, edges=start.edges)
    first = _best_pole(binned, start, noise)
    hum = flicker = None
    if _uneven(binned, first, noise):
        light, hum, flicker = _cleaned(light, first, noise, rate)
        if hum or flicker:
            first = _best_pole(bin_around(light, sample_rate_hz=rate, edges=first.edges), _restart(first), noise)
    binned = bin_around(light, sample_rate_hz=rate, edges=first.edges)
    first, binned = _with_second_pole_or_rebound(light, first, binned, noise, rate)
    fits = [first] if quick else _fit_shapes(binned, _restart(first), noise)
    rebound = find_rebound(light, fits[0], noise_rms=noise, sample_rate_hz=rate)
    return _Found(fits=fits, binned=binned, hum=hum, flicker=flicker, rebound=rebound)


def _with_second_pole_or_rebound(
    light: Floats, first: Fitted, binned: Binned, noise: float, rate: float
) -> tuple[Fitted, Binned]:
    """Return the fit with a second pole, or with a rebound left out, whichever explains more if one is needed."""
    rebound = find_rebound(light, first, noise_rms=noise, sample_rate_hz=rate)
    masked = binned.without(rebound.start_s, rebound.stop_s) if rebound else binned
    plain = _refit(masked, _restart(first), noise)
    open_s = first.edges.last_s - first.edges.first_s
    if not (_uneven(masked, plain, noise) and plain.pole_per_s * open_s > DROOP_SEEN):
        return plain, masked
    both = _refit(binned, replace(_restart(first), second_per_s=0.3 * first.pole_per_s), noise)
    if both.chi_square / both.free > 0.8 * plain.chi_square / plain.free:
        return plain, masked
    rebound = find_rebound(light, both, noise_rms=noise, sample_rate_hz=rate)
    return both, binned.without(rebound.start_s, rebound.stop_s) if rebound else binned


def _refit(binned: Binned, start: Start, noise: float) -> Fitted:
    """Return the straight-edged fit, with a tail of earlier droop where the coupling is quick enough for one."""
    return fit_shapes(
        binned,
        noise_rms=noise,
        start=start,
        shapes=("area", "area"),
        tail=start.pole_per_s * binned.time_s[-1] > 0.3,
        second=start.second_per_s > 0,
        done=1.0,
    )


def _uneven(binned: Binned, fitted: Fitted, noise: float) -> bool:
    """Say whether more than noise is left over away from the edges, where no shape of the blades matters."""
    edges, time = fitted.edges, binned.time_s
    near = (time > edges.first_s - 0.5 * edges.opening_s) & (time < edges.first_s + 1.5 * edges.opening_s)
    near |= (time > edges.last_s - 1.5 * edges.closing_s) & (time < edges.last_s + 0.5 * edges.closing_s)
    residual = (binned.mean - expected(time, fitted))[~near]
    chi = float(residual**2 @ binned.count[~near]) / noise**2
    return chi > residual.size + MISFIT_SIGMAS * math.sqrt(2 * max(1, residual.size))


def _excess(fitted: Fitted) -> bool:
    """Say whether more is left over than noise explains."""
    return fitted.chi_square > fitted.free + MISFIT_SIGMAS * math.sqrt(2 * max(1, fitted.free))


def _cleaned(light: Floats, fitted: Fitted, noise: float, rate: float) -> tuple[Floats, Wave | None, Wave | None]:
    """Return the light without hum and flicker, as far as they are seen."""
    left = leftover(light, fitted, noise_rms=noise, sample_rate_hz=rate)
    hum = find_hum(left, plateau=fitted.plateau)
    time = np.arange(light.size) / rate
    if hum:
        light = light - hum.at(time)
        left = leftover(light, fitted, noise_rms=noise, sample_rate_hz=rate)
    bare, _ = model(left.time_s, fitted.edges, fitted.shapes, 0.0)
    flicker = find_flicker(left, plateau=fitted.plateau, light=np.maximum(bare, 0.05))
    if flicker:
        # Well above the coupling's corner a flicker passes whole: take it out of the light as it stands.
        bare, _ = model(time, fitted.edges, fitted.shapes, 0.0)
        light = light - fitted.plateau * bare * flicker.at(time)
    lamp = find_modulation(light, fitted, noise_rms=noise, sample_rate_hz=rate)
    if lamp:
        bare, _ = model(time, fitted.edges, fitted.shapes, 0.0)
        light = light - fitted.plateau * bare * lamp.at(time)
    return light, hum, flicker or lamp


def _left_over(found: _Found, noise: float) -> float:
    """Return the rms of what the best fit leaves over during the light beyond noise, as a share of the plateau."""
    best, binned = found.fits[0], found.binned
    lit = (binned.time_s > best.edges.first_s) & (binned.time_s < best.edges.last_s)
    if not lit.any():
        return 0.0
    residual, count = binned.mean[lit] - expected(binned.time_s[lit], best), binned.count[lit]
    square = (float(residual**2 @ count) - noise**2 * count.size) / float(count.sum())
    return math.sqrt(max(0.0, square)) / best.plateau


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


def _fit_shapes(binned: Binned, start: Start, noise: float) -> list[Fitted]:
    """Fit every pair of shapes, the best first."""
    tail = start.pole_per_s * binned.time_s[-1] > 0.3
    fits: list[Fitted] = []
    for shapes in ALL_SHAPES:
        best = min((fitted.chi_square for fitted in fits), default=math.inf)
        fitted = fit_shapes(
            binned,
            noise_rms=noise,
            start=start,
            shapes=shapes,
            tail=tail,
            second=start.second_per_s > 0,
            hopeless=best + OUT_OF_QUESTION,
        )
        fits.append(fitted)
    return sorted(fits, key=lambda fitted: fitted.chi_square)


def _restart(fitted: Fitted) -> Start:
    return Start(
        edges=fitted.edges,
        pole_per_s=fitted.pole_per_s,
        plateau=fitted.plateau,
        base=fitted.base,
        tail=fitted.tail,
        second_per_s=fitted.second_per_s,
    )


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
        if not _uneven(binned, best, noise):
            break
    assert best is not None
    return best


@dataclass(frozen=True, slots=True, kw_only=True)
class _Summed:
    """What the edges' own residuals add to the effective time, and whether they are more than noise."""

    light_s: float
    u_light_s: float
    misfit: bool


def _sum_edges(found: _Found, noise: float) -> _Summed:
    """Return the light that the best fit leaves over around the two edges."""
    best, binned = found.fits[0], found.binned
    edges, time = best.edges, binned.time_s
    near = (time > edges.first_s - edges.opening_s / 2) & (time < edges.first_s + 1.5 * edges.opening_s)
    near |= (time > edges.last_s - 1.5 * edges.closing_s) & (time < edges.last_s + edges.closing_s / 2)
    residual, count = (binned.mean - expected(time, best))[near], binned.count[near]
    chi = float((residual**2 * count).sum()) / noise**2
    step = binned.step_s
    return _Summed(
        light_s=float(residual @ count) * step / best.plateau,
        u_light_s=noise * math.sqrt(float(count.sum())) * step / best.plateau,
        misfit=chi > near.sum() + MISFIT_SIGMAS * math.sqrt(2 * max(1, near.sum())),
    )


def _firing(span: Span, found: _Found, noise: float, conditions: Conditions) -> Firing:
    rate, best = conditions.sample_rate_hz, found.fits[0]
    mean, summed = average(found.fits, found.binned, noise_rms=noise), _sum_edges(found, noise)
    flags = _flags(span, found, summed, noise, conditions)
    effective, random, known = mean.effective_s, mean.u_random_s, 0.0
    if Flag.MODEL_MISFIT in flags:
        random *= math.sqrt(best.chi_square / max(1, best.free))
    if summed.misfit:
        effective += summed.light_s
        random = max(random, summed.u_light_s)
        known = abs(summed.light_s) / math.sqrt(3)
    if found.rebound and Flag.SECOND_FIRING not in flags:
        effective += found.rebound.light_s
        length = found.rebound.stop_s - found.rebound.start_s
        random = math.hypot(random, noise / best.plateau * math.sqrt(length / rate))
    clock = CLOCK_TOLERANCE / math.sqrt(3) * effective
    everything = (random, known, clock, _of_bandwidth(rate), _of_clipping(mean, flags))
    return Firing(
        start_s=span.start_index / rate + mean.first_s,
        total_open_s=mean.total_s,
        half_level_s=mean.half_level_s,
        effective_s=effective,
        opening_s=mean.opening_s,
        closing_s=mean.closing_s,
        efficiency=effective / mean.total_s,
        u_random_s=random,
        u_effective_s=math.hypot(*everything),
        flags=flags,
        start_index=span.start_index,
        stop_index=span.start_index + span.samples.size,
        base=span.polarity * best.base,
        plateau=span.polarity * best.plateau,
        coupling_hz=_corners(best) if Flag.AC_DROOP in flags else (),
        residual_ratio=best.chi_square / max(1, best.free),
        shapes=("free", "free") if summed.misfit else best.shapes,
    )


def _of_bandwidth(rate: float) -> float:
    """Return what the input's limited bandwidth may do to the two edges unlike each other.

    Its time constant is 1 / (2 pi bandwidth); a tenth of it is taken to differ (common practice, no source).
    """
    return 0.1 / (2 * math.pi * BANDWIDTH_SHARE * rate)


def _of_clipping(mean: Averaged, flags: tuple[Flag, ...]) -> float:
    """Return what an unknown true plateau does: had it been twice as high, half its ramps are missing."""
    return (mean.opening_s + mean.closing_s) / 2 if Flag.CLIPPED in flags else 0.0


def _corners(best: Fitted) -> tuple[float, ...]:
    return tuple(pole / (2 * math.pi) for pole in (best.pole_per_s, best.second_per_s) if pole > 0)


def _flags(span: Span, found: _Found, summed: _Summed, noise: float, conditions: Conditions) -> tuple[Flag, ...]:
    best = found.fits[0]
    edges = best.edges
    open_s = edges.last_s - edges.first_s
    again = span.again is not None or (found.rebound is not None and found.rebound.reach >= SECOND_REACH)
    clipped = _is_clipped(span, conditions, noise)
    said = {
        Flag.CLIPPED: clipped,
        Flag.REBOUND: found.rebound is not None and not again and not clipped,
        Flag.SECOND_FIRING: again,
        Flag.NO_PLATEAU: open_s - edges.closing_s - edges.opening_s < 0.05 * open_s,
        Flag.AC_DROOP: (best.pole_per_s + best.second_per_s) * open_s > DROOP_SEEN,
        Flag.HUM: found.hum is not None,
        Flag.FLICKER: found.flicker is not None,
        Flag.LOW_SIGNAL_TO_NOISE: best.plateau < 8 * noise,
        Flag.SHAPE_UNKNOWN: summed.misfit,
        Flag.MODEL_MISFIT: _excess(best) and best.chi_square > 1.5 * best.free,
    }
    return tuple(flag for flag, true in said.items() if true)


def _is_clipped(span: Span, conditions: Conditions, noise: float) -> bool:
    """Say whether samples reach full scale, or pile up at one value although there is noise."""
    size = np.abs(span.samples)
    top = float(size.max())
    if top >= conditions.clip_level:
        return True
    alike = int(np.count_nonzero(size >= top - conditions.resolution / 4))
    return noise > 2 * conditions.resolution and alike >= 12
