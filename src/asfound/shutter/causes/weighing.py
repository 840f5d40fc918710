"""Why a dial is off: competing causes weighed by how likely each makes the shots."""

import math
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Literal

import numpy as np
from scipy.special import betaln, logsumexp

from asfound.shutter.causes.patterns import CAUSES, UNEVEN_STOPS, Cause, Curves, Floats, Shots
from asfound.shutter.speeds.groups import Group
from asfound.shutter.speeds.series import Speed

Condition = Literal["dirty", "clean", "not said"]
# How often a rebound or a stall is noted where neither belongs to the cause.
STRAY_REBOUND, STRAY_STALL = 0.02, 0.005
# Odds above which the trade would act: strong evidence (Kass and Raftery 1995: twenty to one; from memory).
STRONG = 20.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighed:
    """One cause with what speaks for it.

    Attributes
    ----------
    cause, words, look : str
    weight : float
        Posterior: its share of all, from 0 to 1.
    log_likelihood : float
        Natural logarithm of how likely the shots are under it, its sizes averaged over.
    bic : float
        Bayesian information criterion at its best size; smaller is better.
    size_stops : float
        Largest error that its pattern puts on the dial, as the shots suggest; its sign is kept.
    """

    cause: str
    words: str
    look: str
    weight: float
    log_likelihood: float
    bic: float
    size_stops: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Why:
    """The causes, the most likely first, and what to do about it.

    Attributes
    ----------
    causes : tuple of Weighed
    odds : float
        Of the first to the second.
    verdict : str
        In a sentence; on a dirty shutter always to clean it first.
    evidence : tuple of str
        What speaks for the first, in sentences.
    remarks : tuple of str
        What the judgement rests on.
    """

    causes: tuple[Weighed, ...]
    odds: float
    verdict: str
    evidence: tuple[str, ...]
    remarks: tuple[str, ...]

    def as_json(self) -> dict[str, object]:
        """Return everything as plain values."""
        return asdict(self)


@dataclass(frozen=True, slots=True)
class Fitted:
    """One cause tried on a dial: the weight of each size and scatter, for asking it further."""

    cause: Cause
    curves: Curves
    log_weights: Floats  # (sizes, scatters), not normed
    log_flags: float

    @property
    def log_likelihood(self) -> float:
        """Averaged over sizes and scatters, with what was seen of rebounds and stalls."""
        return float(logsumexp(self.log_weights)) + self.log_flags

    @property
    def of_sizes(self) -> Floats:
        """Weight of each size, summing to one."""
        over_scatter = logsumexp(self.log_weights, axis=1)
        weights: Floats = np.exp(over_scatter - logsumexp(over_scatter))
        return weights


def why(speeds: Sequence[Speed], *, condition: Condition = "not said") -> Why:
    """Weigh the causes of a dial's errors.

    Parameters
    ----------
    speeds : sequence of Speed
        At least one with a time; the more speeds and shots, the more is told apart.
    condition : {"dirty", "clean", "not said"}
        Of the shutter when it was measured: gum imitates most faults.

    Raises
    ------
    ValueError
        If no shot has a time and none failed to close.

    Notes
    -----
    Each cause is a pattern with open sizes; its likelihood is averaged over them (a Bayes factor between any
    two), and the BIC at the best size is given beside (Schwarz 1978; Kass and Raftery 1995: from memory).
    The patterns: common practice, no source.
    """
    if not any(speed.shots for speed in speeds):
        raise ValueError("no shot is given")
    fitted = fit_causes(speeds)
    total = np.array([f.log_likelihood + math.log(f.cause.prior) for f in fitted])
    weights = np.exp(total - logsumexp(total))
    count = sum(shot.time_s is not None for speed in speeds for shot in speed.shots)
    pairs = zip(fitted, weights, strict=True)
    ranked = tuple(sorted((_weighed(f, float(w), count) for f, w in pairs), key=lambda c: -c.weight))
    odds = ranked[0].weight / max(ranked[1].weight, 1e-300)
    return Why(
        causes=ranked,
        odds=odds,
        verdict=_verdict(ranked, odds, condition),
        evidence=evidence(ranked[0].cause, speeds),
        remarks=_remarks(speeds, condition),
    )


def fit_causes(speeds: Sequence[Speed], causes: Sequence[Cause] = CAUSES) -> tuple[Fitted, ...]:
    """Try each cause on a dial."""
    timed = [s for s in speeds if any(shot.time_s is not None for shot in s.shots)]
    shots = flatten(timed)
    measured = [
        np.array([math.log2(shot.time_s / s.nominal_s) for shot in s.shots if shot.time_s is not None]) for s in timed
    ]
    found = []
    for cause in causes:
        curves = cause.curves(shots)
        log_weights = _log_weights(curves, measured, large=cause.name == "scatter")
        found.append(Fitted(cause, curves, log_weights, _log_flags(cause, speeds)))
    return tuple(found)


def flatten(speeds: Sequence[Speed]) -> Shots:
    """Return the timed shots of some speeds one after another."""
    each = [
        (s.nominal_s, n, shot.side, s.group.value)
        for s in speeds
        for n, shot in enumerate([shot for shot in s.shots if shot.time_s is not None])
    ]
    nominal = np.array([row[0] for row in each], dtype=float)
    plain = [s.nominal_s for s in speeds if s.group == Group.PLAIN]
    shortest = min((s.nominal_s for s in speeds), default=0.01)
    group = np.array([row[3] for row in each], dtype=np.str_)
    return Shots(
        nominal_s=nominal,
        index=np.array([row[1] for row in each], dtype=float),
        side=np.array([row[2] for row in each], dtype=float),
        group=group,
        top=(nominal == shortest) & (group == Group.PLAIN),
        free_s=max(plain) if plain else shortest / 2,
    )


def _log_weights(curves: Curves, measured: Sequence[Floats], *, large: bool) -> Floats:
    """Return log prior plus log likelihood of every size with every scatter."""
    sizes, scatter = curves.errors.shape[0], curves.scatter
    total = np.zeros((sizes, scatter.size)) + _log_prior_of_scatter(scatter, flat=large) - math.log(sizes)
    at = 0
    for errors in measured:
        part = slice(at, at + errors.size)
        at += errors.size
        left = errors - curves.errors[:, part]
        own = None if curves.unsure is None else curves.unsure[:, part]
        total += speed_log_likelihood(left, scatter, own)
    return total


def _log_prior_of_scatter(scatter: Floats, *, flat: bool) -> Floats:
    """Return weights around 3 % of the time for a sound shutter, even ones for one whose times jump about."""
    logs = np.zeros(scatter.size) if flat else -0.5 * (np.log(scatter / 0.043) / 0.5) ** 2
    return np.asarray(logs - logsumexp(logs))


def speed_log_likelihood(left: Floats, scatter: Floats, own: Floats | None = None) -> Floats:
    """Return the log likelihood of what is left of the errors at one speed.

    Parameters
    ----------
    left : array, shape (sizes, shots)
        Measured less pattern, in stops.
    scatter : array, shape (scatters,)
        Of one shot.
    own : array, shape (sizes, shots), optional
        What this speed may have of its own: each shot's share of one normal deviate.

    Returns
    -------
    array, shape (sizes, scatters)

    Notes
    -----
    The shots share the unevenness of their speed: multivariate normal with covariance
    s^2 I + u^2 11' + own own', worked out by the matrix determinant and inversion lemmas.
    """
    n = left.shape[1]
    variance = scatter[None, :] ** 2
    ones = np.full_like(left, UNEVEN_STOPS)
    squares = np.sum(left**2, axis=1)[:, None] / variance
    a = 1 + np.sum(ones**2, axis=1)[:, None] / variance
    x = np.sum(ones * left, axis=1)[:, None] / variance
    if own is None:
        return np.asarray(-0.5 * (n * np.log(2 * np.pi * variance) + np.log(a) + squares - x**2 / a))
    b = 1 + np.sum(own**2, axis=1)[:, None] / variance
    c = np.sum(ones * own, axis=1)[:, None] / variance
    y = np.sum(own * left, axis=1)[:, None] / variance
    determinant = a * b - c**2
    taken = (b * x**2 - 2 * c * x * y + a * y**2) / determinant
    return np.asarray(-0.5 * (n * np.log(2 * np.pi * variance) + np.log(determinant) + squares - taken))


def _log_flags(cause: Cause, speeds: Sequence[Speed]) -> float:
    """Return how likely the rebounds and stalls are: their rate is open where they belong to the cause."""
    plain = [shot for s in speeds if s.group == Group.PLAIN for shot in s.shots]
    others = [shot for s in speeds if s.group != Group.PLAIN for shot in s.shots]
    everything = [*plain, *others]
    stalls = sum(shot.time_s is None for shot in everything)
    fast, slow = (sum(shot.rebound for shot in of) for of in (plain, others))
    total = _of_rate(stalls, len(everything), STRAY_STALL, open_rate=cause.stalls)
    total += _of_rate(fast, len(plain), STRAY_REBOUND, open_rate=cause.rebounds)
    return total + _of_rate(slow, len(others), STRAY_REBOUND, open_rate=cause.rebounds and slow > 0)


def _of_rate(seen: int, count: int, stray: float, *, open_rate: bool) -> float:
    if open_rate:
        return float(betaln(seen + 1, count - seen + 1))
    return seen * math.log(stray) + (count - seen) * math.log1p(-stray)


def _weighed(fitted: Fitted, weight: float, count: int) -> Weighed:
    cause, curves = fitted.cause, fitted.curves
    best = int(np.argmax(fitted.of_sizes))
    row = curves.errors[best]
    size = float(row[np.argmax(np.abs(row))]) if row.size else 0.0
    free = curves.free + 1
    likelihood = _at_best(fitted) + fitted.log_flags
    return Weighed(
        cause=cause.name,
        words=cause.words,
        look=cause.look,
        weight=weight,
        log_likelihood=fitted.log_likelihood,
        bic=bic(log_likelihood=likelihood, free=free, count=max(count, 1)),
        size_stops=size,
    )


def _at_best(fitted: Fitted) -> float:
    """Return the greatest log likelihood over sizes and scatters, their priors taken away again."""
    scatter = fitted.curves.scatter
    prior = _log_prior_of_scatter(scatter, flat=fitted.cause.name == "scatter")
    return float(np.max(fitted.log_weights - prior + math.log(fitted.curves.errors.shape[0])))


def bic(*, log_likelihood: float, free: int, count: int) -> float:
    """Return the Bayesian information criterion, k ln n - 2 ln L.

    Parameters
    ----------
    log_likelihood : float
        Greatest, natural logarithm.
    free : int
        Parameters that were fitted.
    count : int
        Observations.

    Notes
    -----
    Schwarz, 1978 (from memory).
    """
    return free * math.log(count) - 2 * log_likelihood


def _verdict(ranked: Sequence[Weighed], odds: float, condition: Condition) -> str:
    first, second = ranked[0], ranked[1]
    if condition == "dirty":
        return "Clean it, and measure again: before cleaning, gum imitates most faults."
    share = f"{100 * first.weight:.0f} %" if first.weight < 0.995 else "over 99 %"
    if odds >= STRONG:
        return f"{first.cause} ({share}): {first.words}."
    return f"Cannot tell: {first.cause} ({share}) or {second.cause} ({100 * second.weight:.0f} %)."


def _remarks(speeds: Sequence[Speed], condition: Condition) -> tuple[str, ...]:
    named = {group: ", ".join(s.marked for s in speeds if s.group == group) for group in Group}
    groups = "; ".join(f"{group.value}: {names}" for group, names in named.items() if names)
    said = [
        f"Groups of speeds, a property of the camera: {groups}.",
        "Pattern to mechanism: common practice, no source.",
    ]
    if condition == "not said":
        said.append("Whether the shutter was clean was not said: on a dirty one, clean first and measure again.")
    if condition == "dirty":
        said.append("The weights below are those of a clean shutter: do not act on them.")
    if all(shot.side == 0 for s in speeds for shot in s.shots):
        said.append("From which side the dial was set was not said: a loose cam plate cannot show.")
    return tuple(said)


def evidence(cause: str, speeds: Sequence[Speed]) -> tuple[str, ...]:
    """Return what the dial shows, in sentences, beginning with what speaks for a cause.

    Parameters
    ----------
    cause : str
        Name of one of the causes.
    speeds : sequence of Speed
    """
    errors = {s.marked: mean_error_stops(s) for s in speeds}
    lines = []
    for group in Group:
        known = [(s.marked, e) for s in speeds if s.group == group and (e := errors[s.marked]) is not None]
        if known:
            each = ", ".join(f"{marked} {error:+.2f}" for marked, error in known)
            lines.append(f"{group.value.capitalize()}: {each} stops.")
    if cause in ("engagement", "cam play"):
        lines.insert(0, _in_ms(speeds))
    stalls = sum(shot.time_s is None for s in speeds for shot in s.shots)
    rebounds = sum(shot.rebound for s in speeds for shot in s.shots)
    if stalls:
        lines.insert(0, f"{stalls} shots never closed.")
    if rebounds:
        lines.insert(0, f"{rebounds} shots rebounded.")
    return tuple(line for line in lines if line)


def _in_ms(speeds: Sequence[Speed]) -> str:
    held = [s for s in speeds if s.group != Group.PLAIN and mean_error_stops(s) is not None]
    each = ", ".join(f"{s.marked} {1e3 * s.nominal_s * (2 ** (mean_error_stops(s) or 0) - 1):+.3g}" for s in held)
    return f"As time added: {each} ms." if each else ""


def mean_error_stops(speed: Speed) -> float | None:
    """Return log2 of the mean time over the marked one; None where no shot has a time."""
    times = [shot.time_s for shot in speed.shots if shot.time_s is not None]
    return math.log2(math.fsum(times) / len(times) / speed.nominal_s) if times else None
