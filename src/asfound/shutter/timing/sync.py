"""Flash synchronisation: the contact's closure against the blades, from two channels of one recording."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from asfound.quantity.tolerance import Verdict
from asfound.shutter.timing.coupling import Floats, rising_edge
from asfound.shutter.timing.firing import Firing

Setting = Literal["X", "M"]
Datum = Literal["blades start", "80 % open"]
# X: closes as the blades become fully open (read). M: about 12 ms before the blades begin to move (read), or
# 13 to 19 ms before they are 80 % open (read, another text). The two are different data: the datum is said.
M_DELAY_S: dict[Datum, tuple[float, float]] = {"blades start": (0.010, 0.014), "80 % open": (0.013, 0.019)}
M_SOURCE: dict[Datum, str] = {
    "blades start": "a text giving about 12 ms before the blades move; 2 ms either way is ours",
    "80 % open": "a text giving 13 to 19 ms before the blades are 80 % open",
}
BOUNCE_GAP_S = 5e-5
MOST_BEFORE_S = 0.05
U_CONTACT_S = 3e-5


@dataclass(frozen=True, slots=True, kw_only=True)
class Contact:
    """One closure of the contact.

    Attributes
    ----------
    closes_s : float
        From the beginning of the recording.
    dwell_s : float
        From the first closing to the last opening, bounce included.
    bounces : int
        How many times it opened again in between.
    open_share : float
        Share of the dwell for which it was open again.
    """

    closes_s: float
    dwell_s: float
    bounces: int
    open_share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SyncResult:
    """One firing's synchronisation.

    Attributes
    ----------
    setting : {"X", "M"}
    datum : str
        What the delay is counted to.
    delay_s : float or None
        From the contact's closing to the datum; positive when it closes before. None without a closure.
    u_delay_s : float or None
    after_full_s : float or None
        From full opening to the contact; None for M.
    before_closing_s : float or None
        From the contact to the beginning of the closing.
    contact : Contact or None
    verdict : {"within", "outside", "cannot tell"}
    reason : str
        Why, in a sentence.
    """

    setting: Setting
    datum: str
    delay_s: float | None
    u_delay_s: float | None
    after_full_s: float | None
    before_closing_s: float | None
    contact: Contact | None
    verdict: Verdict
    reason: str


def find_closures(samples: NDArray[np.floating], *, sample_rate_hz: float, join_s: float = 2e-3) -> tuple[Contact, ...]:
    """Return the closures of the contact on its channel.

    Parameters
    ----------
    samples : ndarray, shape (n,)
        The contact's channel: one level when open, another when closed, at rest most of the time. A coupled
        input makes each change a spike that dies away; closing and opening then have opposite signs.
    sample_rate_hz : float
    join_s : float
        Closures nearer to each other than this are one closure that bounces.
    """
    signal = samples.astype(np.float64)
    rest = float(np.median(signal))
    noise = 1.4826 * float(np.median(np.abs(signal - rest)))
    swing = float(np.abs(signal - rest).max())
    if swing <= 8 * noise or swing < 1e-3:
        return ()
    sign = 1.0 if signal[int(np.abs(signal - rest).argmax())] > rest else -1.0
    closed = sign * (signal - rest) > 0.5 * swing
    edges = np.flatnonzero(np.diff(np.concatenate([[False], closed, [False]]).astype(np.int8)))
    starts, stops = edges[::2], edges[1::2]
    found: list[Contact] = []
    first = 0
    for i in range(1, starts.size + 1):
        if i == starts.size or (starts[i] - stops[i - 1]) / sample_rate_hz > join_s:
            found.append(_contact(starts[first:i], stops[first:i], sample_rate_hz))
            first = i
    return tuple(found)


def _contact(starts: NDArray[np.intp], stops: NDArray[np.intp], rate: float) -> Contact:
    gaps = (starts[1:] - stops[:-1]) / rate
    counted = gaps[gaps >= BOUNCE_GAP_S]
    dwell = float(stops[-1] - starts[0]) / rate
    return Contact(
        closes_s=float(starts[0]) / rate,
        dwell_s=dwell,
        bounces=int(counted.size),
        open_share=float(counted.sum()) / dwell if dwell > 0 else 0.0,
    )


def sync_of(
    firing: Firing, closures: Sequence[Contact], *, setting: Setting, datum: Datum = "blades start"
) -> SyncResult:
    """Return how one firing's contact lies against its blades.

    Parameters
    ----------
    firing : Firing
        From the light on another channel of the same recording.
    closures : sequence of Contact
    setting : {"X", "M"}
    datum : {"blades start", "80 % open"}
        For M: what the delay is counted to.

    Notes
    -----
    X is in order when the contact closes while the blades are fully open (an electronic flash is taken to be
    short). M is judged against the range of its datum; see `M_SOURCE`.
    """
    if firing.opening_s is None or firing.total_open_s is None or firing.closing_s is None:
        return _without(setting, datum, "cannot tell", "the firing has no times", None)
    near = [c for c in closures if -MOST_BEFORE_S < c.closes_s - firing.start_s < firing.total_open_s + 5e-3]
    if not near:
        return _without(setting, datum, "outside", "the contact did not close", None)
    contact = near[0]
    u = math.hypot(U_CONTACT_S, 0.1 * firing.opening_s if setting == "X" else 0.05 * firing.opening_s)
    return _x(firing, contact, u) if setting == "X" else _m(firing, contact, u, datum)


def _x(firing: Firing, contact: Contact, u: float) -> SyncResult:
    opening, total, closing = firing.opening_s or 0.0, firing.total_open_s or 0.0, firing.closing_s or 0.0
    full = firing.start_s + opening
    closes = firing.start_s + total - closing
    after, before = contact.closes_s - full, closes - contact.closes_s
    margin = min(after, before)
    verdict: Verdict = "within" if margin >= 2 * u else "outside" if margin < -2 * u else "cannot tell"
    reasons = {
        "within": "the contact closes while the blades are fully open",
        "outside": "the contact closes before the blades are fully open"
        if after < before
        else "the contact closes when the blades are closing already",
        "cannot tell": "the contact closes within the uncertainty of full opening",
    }
    return SyncResult(
        setting="X",
        datum="fully open",
        delay_s=-after,
        u_delay_s=u,
        after_full_s=after,
        before_closing_s=before,
        contact=contact,
        verdict=verdict,
        reason=reasons[verdict],
    )


def _m(firing: Firing, contact: Contact, u: float, datum: Datum) -> SyncResult:
    at = firing.start_s if datum == "blades start" else firing.start_s + _time_to(firing, 0.8)
    delay = at - contact.closes_s
    low, high = M_DELAY_S[datum]
    margin = min(delay - low, high - delay)
    verdict: Verdict = "within" if margin >= 2 * u else "outside" if margin < -2 * u else "cannot tell"
    return SyncResult(
        setting="M",
        datum=datum,
        delay_s=delay,
        u_delay_s=u,
        after_full_s=None,
        before_closing_s=None,
        contact=contact,
        verdict=verdict,
        reason=f"{delay * 1e3:.1f} ms before {datum}; {low * 1e3:g} to {high * 1e3:g} ms by {M_SOURCE[datum]}",
    )


def _time_to(firing: Firing, share: float) -> float:
    """Return the time from first light until the blades leave this share of the area free."""
    opening = firing.opening_s or 0.0
    shape = firing.shapes[0] if firing.shapes and firing.shapes[0] != "free" else "area"
    time: Floats = np.linspace(0, opening, 2001)
    light = rising_edge(start_s=0.0, duration_s=opening, shape=shape).through(time)
    return float(np.interp(share, light, time))


def _without(setting: Setting, datum: str, verdict: Verdict, reason: str, contact: Contact | None) -> SyncResult:
    return SyncResult(
        setting=setting,
        datum="fully open" if setting == "X" else datum,
        delay_s=None,
        u_delay_s=None,
        after_full_s=None,
        before_closing_s=None,
        contact=contact,
        verdict=verdict,
        reason=reason,
    )
