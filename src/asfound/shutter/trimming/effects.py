"""What each adjuster does to every speed: first from mechanics, then from the moves that were made.

How far a nudged plate went usually cannot be measured. So a move counts by what it did: all speeds follow one
travel, whose size is left open and found from the readings themselves.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from asfound.shutter.speeds.groups import Group
from asfound.shutter.speeds.series import Speed

Floats = NDArray[np.float64]
Kind = Literal["engagement", "pallet", "main spring", "bend"]
ORDER: tuple[Kind, ...] = ("engagement", "pallet", "main spring", "bend")


@dataclass(frozen=True, slots=True)
class Adjuster:
    """Something that can be moved: `speed` is the mark whose step of the cam a bend belongs to."""

    kind: Kind
    speed: str = ""

    @property
    def name(self) -> str:
        """As written: "pallet", "bend 1/5"."""
        return f"{self.kind} {self.speed}".strip()


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """One move of an adjuster, with the dial before and after.

    Attributes
    ----------
    adjuster : str
    direction : str
        Which way, in the repairer's words; may be empty.
    amount : float or None
        How far, where that could be measured, in a unit of his own.
    before_s, after_s : array, shape (speeds,)
        Mean times; not a number where a speed was not fired.
    u_stops : array, shape (speeds,)
        Standard uncertainty of either reading, in stops.
    loose_s, tight_s : float or None
        One speed's time with the screw loose, and after it was tightened.
    """

    adjuster: str
    before_s: Floats
    after_s: Floats
    u_stops: Floats
    direction: str = ""
    amount: float | None = None
    loose_s: float | None = None
    tight_s: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """What one adjuster does when it travels by q: time or logarithm of time changes by q times the gain.

    Attributes
    ----------
    adjuster : Adjuster
    unit_s : float or None
        Where the adjuster adds time, the unit it is counted in; None where it multiplies (gain in stops).
    gain : array, shape (speeds,)
    covariance : array, shape (speeds, speeds)
        Of the gains.
    moves : int
        That it was learned from.
    travels : tuple of float
        What each of those moves came to.
    directions : tuple of str
        Which way each of them went, in the repairer's words.
    per_amount : float or None
        Travel for one unit of the measured amount.
    tightening_stops, u_tightening_stops : float
        What tightening the screw does to a reading, and its standard deviation from one time to the next.
    """

    adjuster: Adjuster
    unit_s: float | None
    gain: Floats
    covariance: Floats
    moves: int = 0
    travels: tuple[float, ...] = ()
    directions: tuple[str, ...] = ()
    per_amount: float | None = None
    tightening_stops: float = 0.0
    u_tightening_stops: float = 0.1

    def way(self, travel: float) -> str:
        """Return in the repairer's words which way goes with the sign of a travel; empty where not known."""
        known = [(t, d) for t, d in zip(self.travels, self.directions, strict=True) if d]
        same = [d for t, d in known if t * travel > 0]
        if same:
            return same[-1]
        return f"the other way than {known[-1][1]!r}" if known else ""


def expected_effect(adjuster: Adjuster, speeds: Sequence[Speed]) -> Effect:
    """Return what mechanics leads one to expect before any move (common practice, no source).

    Parameters
    ----------
    adjuster : Adjuster
    speeds : sequence of Speed
    """
    nominal = np.array([s.nominal_s for s in speeds])
    group = np.array([s.group.value for s in speeds])
    inside, outside = group == Group.PALLET_IN, group == Group.PALLET_OUT
    plain = group == Group.PLAIN
    free_s = nominal[plain].max() if plain.any() else nominal.min() / 2
    held = np.clip(1 - free_s / nominal, 0.0, 1.0)
    top = nominal == nominal.min()
    if adjuster.kind == "engagement":
        gain = np.where(inside, 1.0, np.where(outside, 0.15, 0.0))
        covariance = np.diag((0.12 * gain) ** 2) + 0.09**2 * np.outer(outside, outside)
        unit = float(nominal[inside].min()) if inside.any() else float(nominal.max())
        return Effect(adjuster=adjuster, unit_s=unit, gain=gain, covariance=covariance)
    if adjuster.kind == "pallet":
        gain = np.where(inside, held, 0.0)
        return Effect(adjuster=adjuster, unit_s=None, gain=gain, covariance=np.diag((0.06 * gain) ** 2))
    if adjuster.kind == "main spring":
        gain = np.where(inside, 1.0, np.where(outside, 1.1, 0.85)) * np.where(top, 0.9, 1.0)
        shared = 0.2**2 * np.outer(outside, outside) + 0.1**2 * np.outer(plain, plain)
        return Effect(adjuster=adjuster, unit_s=None, gain=gain, covariance=shared + np.diag((0.08 * gain) ** 2))
    here = np.array([1.0 if s.marked == adjuster.speed else 0.0 for s in speeds])
    return Effect(adjuster=adjuster, unit_s=None, gain=here, covariance=np.zeros((here.size, here.size)))


def after(effect: Effect, times_s: Floats, travel: float, gain: Floats | None = None) -> Floats:
    """Return the times after a travel; arrays of times and gains may have leading axes.

    Parameters
    ----------
    effect : Effect
    times_s : array, shape (..., speeds)
    travel : float
    gain : array, optional
        In place of the effect's own.
    """
    gains = effect.gain if gain is None else gain
    if effect.unit_s is None:
        return np.asarray(times_s * 2.0 ** (travel * gains))
    return np.maximum(times_s + travel * effect.unit_s * gains, times_s / 16)


def learn(effect: Effect, moves: Sequence[Move]) -> Effect:
    """Return the effect as the moves of this adjuster show it.

    Parameters
    ----------
    effect : Effect
        As expected before.
    moves : sequence of Move
        Those of other adjusters are passed over.

    Notes
    -----
    Gains are normal with the expected effect as prior; each move's travel is a free scale. Both are found in
    turn: travels by weighted least squares, gains by Bayesian linear regression (Gelman et al., Bayesian Data
    Analysis, chapter 14: from memory).
    """
    mine = [move for move in moves if move.adjuster == effect.adjuster.name]
    if not mine:
        return effect
    changes, variances = zip(*(_change(effect, move) for move in mine), strict=True)
    gain, covariance = effect.gain, effect.covariance
    travels = [0.0] * len(mine)
    for _ in range(12):
        travels = [_travel(d, v, gain) for d, v in zip(changes, variances, strict=True)]
        gain, covariance = _regress(effect, travels, changes, variances)
    shifts = [math.log2(m.tight_s / m.loose_s) for m in mine if m.tight_s and m.loose_s]
    mean, deviation = _shift(effect, shifts)
    measured = [(t, m.amount) for t, m in zip(travels, mine, strict=True) if m.amount]
    above, below = sum(t * a for t, a in measured), sum(a * a for _, a in measured)
    return replace(
        effect,
        gain=gain,
        covariance=covariance,
        moves=len(mine),
        travels=tuple(travels),
        directions=tuple(m.direction for m in mine),
        per_amount=above / below if below else None,
        tightening_stops=mean,
        u_tightening_stops=deviation,
    )


def _change(effect: Effect, move: Move) -> tuple[Floats, Floats]:
    """Return the change in the adjuster's own measure at each speed, and its variance (infinite if not fired)."""
    known = np.isfinite(move.before_s) & np.isfinite(move.after_s)
    before, last = np.where(known, move.before_s, 1.0), np.where(known, move.after_s, 1.0)
    if effect.unit_s is None:
        change, variance = np.log2(last / before), 2 * move.u_stops**2
    else:
        change = (last - before) / effect.unit_s
        variance = (before**2 + last**2) * (move.u_stops * math.log(2) / effect.unit_s) ** 2
    return change, np.where(known, variance + 1e-8, np.inf)


def _travel(change: Floats, variance: Floats, gain: Floats) -> float:
    weight = gain**2 / variance
    return float(np.sum(gain * change / variance) / np.sum(weight)) if np.sum(weight) > 0 else 0.0


def _regress(
    effect: Effect, travels: Sequence[float], changes: Sequence[Floats], variances: Sequence[Floats]
) -> tuple[Floats, Floats]:
    """Condition the expected gains on the changes seen."""
    gain, covariance = effect.gain, effect.covariance
    for travel, change, variance in zip(travels, changes, variances, strict=True):
        noise = np.diag(np.where(np.isfinite(variance), variance, 1e6))
        taken = covariance * travel @ np.linalg.inv(travel**2 * covariance + noise)
        gain = gain + taken @ (change - travel * gain)
        covariance = covariance - taken @ (travel * covariance)
    return gain, (covariance + covariance.T) / 2


def _shift(effect: Effect, shifts: Sequence[float]) -> tuple[float, float]:
    """Return mean and deviation of the shift by tightening; the expected ones count as one shift."""
    if not shifts:
        return effect.tightening_stops, effect.u_tightening_stops
    n = len(shifts)
    mean = (effect.tightening_stops + math.fsum(shifts)) / (n + 1)
    squares = effect.u_tightening_stops**2 + math.fsum((s - mean) ** 2 for s in shifts)
    return mean, math.sqrt(squares / (n + 1))
