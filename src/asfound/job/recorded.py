"""What was said of a recording, in words: how it was made, and how its firings are set against the dial."""

from collections.abc import Sequence
from fractions import Fraction

from asfound.job.bodies import FiringsSet, HowRecorded

_BY = {
    "order shot": "in the order shot",
    "nearest speed": "each to the nearest speed",
    "as walked": "as walked live",
}


def tell_how(body: HowRecorded) -> str:
    """Return how a recording was made, in one line."""
    aperture = "" if body.aperture is None else f"shot at f/{body.aperture:g}"
    pupil = _either(body.whole_pupil, "the sensor sees the whole pupil", "the sensor sees part of the pupil")
    light = _either(body.diffuse, "light diffused", "light as it is")
    dimmed = _either(body.agrees_when_dimmed, "the same at half the light", "not the same at half the light")
    offset = "" if body.click_offset_s is None else f"{_milliseconds(body.click_offset_s)} to add between clicks"
    known = "" if body.u_click_offset_s is None else f"known to {_milliseconds(body.u_click_offset_s)}"
    parts = (
        f"of {body.sort}" if body.sort else "",
        "" if body.channel is None else f"channel {body.channel + 1}",
        aperture,
        pupil,
        light,
        dimmed,
        _length("sensor", body.sensor_mm, "wide"),
        _length("", body.distance_mm, "behind the blades"),
        "" if body.response_s is None else f"response {body.response_s * 1e6:g} µs",
        offset,
        known,
        "" if body.slow_motion == 1 else f"played {body.slow_motion:g} times slower",
        "" if body.region is None else f"region {', '.join(f'{share:g}' for share in body.region)}",
    )
    return ", ".join(part for part in parts if part) or "nothing said"


def tell_firings(body: FiringsSet) -> str:
    """Return how firings are set against the dial, in one line."""
    shots = f", {body.shots} at each" if body.by == "order shot" else ""
    own = tuple(f"{mark} by {show_stops(stops)}" for mark, stops in body.own_stops)
    parts = (
        f"{body.marked}: {_BY[body.by]}{shots}",
        "a rested shot first" if body.rested else "",
        "" if body.exact_modern else "marks at face value",
        f"held to {show_stops(body.tolerance_stops)} stop",
        "" if body.top_tolerance_stops is None else f"the top speed to {show_stops(body.top_tolerance_stops)}",
        *own,
        _at("struck as bad", body.struck_s),
        _at("left out", body.left_out_s),
    )
    return ", ".join(part for part in parts if part)


def show_stops(stops: float) -> str:
    """Return stops as one writes them: 1/3, else as a decimal that reads back to the same number."""
    share = Fraction(stops).limit_denominator(12)
    return str(share) if float(share) == stops else repr(stops)


def _either(value: bool | None, yes: str, no: str) -> str:
    return "" if value is None else yes if value else no


def _length(before: str, value: float | None, after: str) -> str:
    return "" if value is None else f"{before} {value:g} mm {after}".strip()


def _milliseconds(value_s: float) -> str:
    return f"{value_s * 1e3:g} ms"


def _at(what: str, starts_s: Sequence[float]) -> str:
    """Return so many firings with the seconds at which they began."""
    if not starts_s:
        return ""
    return f"{len(starts_s)} {what}, at {' and '.join(f'{start:.2f} s' for start in starts_s)}"
