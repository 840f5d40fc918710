"""Where the fit of a firing begins: its edges, roughly, from crossings of the smoothed signal."""

import numpy as np

from asfound.shutter.timing.fit import Edges, Start
from asfound.shutter.timing.levels import Floats, rough_rise
from asfound.shutter.timing.scan import Span


def rough_start(span: Span, light: Floats, *, base: float, noise_rms: float, sample_rate_hz: float) -> Start | None:
    """Return where the fit begins; None where no edge can be made out."""
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
