"""The next move: which adjuster, which way, and the reading to aim for."""

import math
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from itertools import combinations

import numpy as np

from asfound.quantity import show_number, show_time
from asfound.shutter.speeds.groups import Group
from asfound.shutter.speeds.series import Speed
from asfound.shutter.trimming.effects import ORDER, Adjuster, Effect, Floats, Move, after, expected_effect, learn

_SAMPLES = 300
# A first move with an adjuster goes at most so far on its pilot speed.
SMALL_STOPS = 0.4
GOOD_CHANCE, NO_CHANCE = 0.9, 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class Aim:
    """One adjuster to be moved, and the pilot speed to watch meanwhile.

    Attributes
    ----------
    adjuster : str
    direction : str
        Which way, in the words used before; empty where no move has shown it yet.
    amount : float or None
        How far, in the unit used before, where moves were measured.
    trial : bool
        Whether it is a first, small move to see what the adjuster does.
    pilot : str
        The speed whose reading best predicts the dial.
    now_s, aim_s : float
        Its time now, and the one to aim for, with the screw tight.
    low_s, high_s : float
        The band to stop in.
    loose_s : float
        What to aim for before tightening, allowing for what tightening did so far.
    words : str
    """

    adjuster: str
    direction: str
    amount: float | None
    trial: bool
    pilot: str
    now_s: float
    aim_s: float
    low_s: float
    high_s: float
    loose_s: float
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Predicted:
    """One speed as it should read after the moves."""

    marked: str
    now_stops: float
    error_stops: float
    u_error_stops: float
    tolerance_stops: float


@dataclass(frozen=True, slots=True, kw_only=True)
class NextMove:
    """What to do next.

    Attributes
    ----------
    verdict : {"within", "move", "out of reach"}
    aims : tuple of Aim
        The move, and the one after it where two are needed; the first is to be made, then the dial fired again.
    dial : tuple of Predicted
        After all of them.
    chance_now, chance : float
        Of every speed lying within its tolerance: as it is, and after the moves.
    words : tuple of str
    """

    verdict: str
    aims: tuple[Aim, ...]
    dial: tuple[Predicted, ...]
    chance_now: float
    chance: float
    words: tuple[str, ...]

    def as_json(self) -> dict[str, object]:
        """Return everything as plain values."""
        return asdict(self)


@dataclass(frozen=True, slots=True)
class _Bench:
    """The dial with its doubt: samples of the true times, and of the gains of each adjuster."""

    speeds: tuple[Speed, ...]
    nominal: Floats
    times: Floats  # measured means, (speeds,)
    u: Floats  # stops
    tolerance: Floats
    samples: Floats  # (samples, speeds)
    effects: tuple[Effect, ...]
    gains: tuple[Floats, ...]  # each (samples, speeds)

    def errors(self, which: Sequence[int], travels: Sequence[float]) -> Floats:
        times = self.samples
        for i, travel in zip(which, travels, strict=True):
            times = after(self.effects[i], times, travel, self.gains[i])
        return np.asarray(np.log2(times / self.nominal))

    def chance(self, which: Sequence[int], travels: Sequence[float]) -> float:
        inside = np.abs(self.errors(which, travels)) <= self.tolerance
        return float(np.mean(np.all(inside, axis=1)))


def next_move(
    speeds: Sequence[Speed],
    *,
    tolerance_stops: Sequence[float],
    u_stops: Sequence[float],
    adjusters: Sequence[Adjuster],
    moves: Sequence[Move] = (),
) -> NextMove:
    """Return the move, or pair of moves, with the least expected squared error over the dial.

    Parameters
    ----------
    speeds : sequence of Speed
        The dial as it is; every speed with a time.
    tolerance_stops, u_stops : sequence of float
        Of each speed: its tolerance, and the standard uncertainty of its mean.
    adjusters : sequence of Adjuster
        Those that may be moved.
    moves : sequence of Move
        Made so far.

    Raises
    ------
    ValueError
        If a speed has no time, or there is no adjuster.

    Notes
    -----
    It is called out of reach only once the adjusters that could help were moved and showed what they do, or if
    they would hardly help by what mechanics leads to expect. Errors count in units of their tolerance. Where the
    least squares leave a speed outside, moves that keep the largest error small are tried, too, and taken if the
    chance is better. Of a pair, engagement comes first and is judged on the speeds with the pallet out; then the
    pallet (common practice, no source).
    """
    if not adjusters:
        raise ValueError("no adjuster is given")
    bench = _bench(speeds, tolerance_stops, u_stops, adjusters, moves)
    now = bench.chance((), ())
    measured_within = bool(np.all(np.abs(np.log2(bench.times / bench.nominal)) <= bench.tolerance))
    if now >= GOOD_CHANCE:
        return _result(bench, "within", (), (), now)
    which, travels = _best(bench)
    best = bench.chance(which, travels)
    if measured_within and best < now + 0.1:
        return _result(bench, "within", (), (), now)
    known = all(bench.effects[i].moves for i in which)
    if best < NO_CHANCE and (known or _cost(bench, which, travels) > 0.7 * _cost(bench, (), ())):
        return _result(bench, "out of reach", which, travels, now)
    return _result(bench, "move", which, travels, now)


def reading_says(aim: Aim, time_s: float) -> str:
    """Return what one reading of the pilot speed says while somebody is nudging: to be shown live.

    Parameters
    ----------
    aim : Aim
    time_s : float
        Of the pilot speed, fired with the screw tight.
    """
    off = math.log2(time_s / aim.aim_s)
    if aim.low_s <= time_s <= aim.high_s:
        return f"In the band ({off:+.2f} stop from its middle): stop here and fire the whole dial."
    past = (time_s < aim.low_s) if aim.now_s > aim.aim_s else (time_s > aim.high_s)
    way = "Too far: go back" if past else "Go on"
    return f"{way}, {abs(off):.2f} stop {'shorter' if off > 0 else 'longer'}."


def _bench(
    speeds: Sequence[Speed],
    tolerance: Sequence[float],
    u: Sequence[float],
    adjusters: Sequence[Adjuster],
    moves: Sequence[Move],
) -> _Bench:
    times = mean_times_s(speeds)
    if not np.all(np.isfinite(times)):
        raise ValueError("a speed has no time")
    ordered = sorted(adjusters, key=lambda a: ORDER.index(a.kind))
    effects = tuple(learn(expected_effect(a, speeds), moves) for a in ordered)
    generator = np.random.default_rng(1)  # the same samples every time: results can be repeated
    doubt = generator.normal(size=(_SAMPLES, len(times))) * np.asarray(u)
    gains = tuple(
        generator.multivariate_normal(e.gain, e.covariance, _SAMPLES, method="eigh", check_valid="ignore")
        for e in effects
    )
    return _Bench(
        speeds=tuple(speeds),
        nominal=np.array([s.nominal_s for s in speeds]),
        times=times,
        u=np.asarray(u, dtype=float),
        tolerance=np.asarray(tolerance, dtype=float),
        samples=times * 2.0**doubt,
        effects=effects,
        gains=gains,
    )


def mean_times_s(speeds: Sequence[Speed]) -> Floats:
    """Return the mean time of each speed, not a number where none was timed."""
    timed = [[shot.time_s for shot in s.shots if shot.time_s is not None] for s in speeds]
    return np.array([math.fsum(t) / len(t) if t else math.nan for t in timed])


def _best(bench: _Bench) -> tuple[tuple[int, ...], tuple[float, ...]]:
    """Return the moves to make: one if it does nearly as well as two."""
    found: list[tuple[float, float, tuple[int, ...], tuple[float, ...]]] = []
    for count in (1, 2, 3):
        for which in combinations(range(len(bench.effects)), count):
            squared = _least(bench, which, 1)
            options = [squared]
            if bench.chance(which, squared) < GOOD_CHANCE:
                options.append(_least(bench, which, 4))
            travels = max(options, key=lambda t: bench.chance(which, t))
            cost = _cost(bench, which, travels) + 0.3 * (count - 1)
            found.append((bench.chance(which, travels) - 0.05 * (count - 1), -cost, which, travels))
    best = max(found)
    if best[0] < NO_CHANCE:
        best = max(found, key=lambda f: f[1])
    return best[2], best[3]


def _cost(bench: _Bench, which: Sequence[int], travels: Sequence[float]) -> float:
    """Return the expected sum of squared errors, in tolerances."""
    return float(np.mean(np.sum((bench.errors(which, travels) / bench.tolerance) ** 2, axis=1)))


def _least(bench: _Bench, which: Sequence[int], power: int) -> tuple[float, ...]:
    """Return the travels with the least expected sum of errors in tolerances to the power of twice `power`."""
    # Imported here because nothing else needs it, and every shutter command starts with this room.
    from scipy.optimize import least_squares

    few = slice(0, _SAMPLES, 6)

    def left(travels: Floats) -> Floats:
        share = (bench.errors(which, list(travels)) / bench.tolerance)[few]
        return np.ravel(share if power == 1 else np.abs(share) ** power)

    found = least_squares(left, np.zeros(len(which)), x_scale=0.3, max_nfev=40)
    return tuple(float(x) for x in found.x)


def _result(bench: _Bench, verdict: str, which: Sequence[int], travels: Sequence[float], now: float) -> NextMove:
    errors = bench.errors(which, travels)
    first = np.log2(bench.times / bench.nominal)
    dial = tuple(
        Predicted(
            marked=s.marked, now_stops=float(first[i]), error_stops=float(errors[:, i].mean()),
            u_error_stops=float(errors[:, i].std()), tolerance_stops=float(bench.tolerance[i]),
        )
        for i, s in enumerate(bench.speeds)
    )  # fmt: skip
    aims = tuple(_aim(bench, which, travels, n) for n in range(len(which))) if verdict == "move" else ()
    chance = bench.chance(which, travels)
    words = _words(bench, verdict, aims, dial, chance)
    return NextMove(verdict=verdict, aims=aims, dial=dial, chance_now=now, chance=chance, words=words)


def _words(
    bench: _Bench, verdict: str, aims: Sequence[Aim], dial: Sequence[Predicted], chance: float
) -> tuple[str, ...]:
    if verdict == "within":
        return ("Every speed is within its tolerance, as near as can be told: leave it.",)
    if verdict == "move":
        caution = "Let the main spring down before a screw is loosened: a cocked ring can whip round."
        return (*(aim.words for aim in aims[:1]), "Then fire the whole dial again.", caution)
    worst = max(dial, key=lambda p: abs(p.error_stops) / p.tolerance_stops)
    names = ", ".join(e.adjuster.name for e in bench.effects)
    left = f"at best {worst.marked} stays {worst.error_stops:+.2f} stop off"
    return (
        f"No move of {names} brings every speed within: {left}.",
        "Look for a cause first, or accept a wider tolerance there and say so.",
    )


def pilot_of(bench: _Bench, number: int, travel: float) -> int:
    """Return the place of the speed whose reading best predicts the dial under one adjuster.

    What a travel inferred from one speed leaves open at all the others, in units of their tolerance.
    """
    effect, gains = bench.effects[number], bench.gains[number]
    slope = (np.log2(after(effect, bench.times, travel + 0.02) / after(effect, bench.times, travel - 0.02))) / 0.04
    own = bench.gains[number].std(axis=0)
    scale = np.where(np.abs(effect.gain) > 1e-9, effect.gain, np.nan)
    doubt = np.full(len(bench.times), np.inf)
    out = [i for i, s in enumerate(bench.speeds) if s.group == Group.PALLET_OUT]
    allowed = out if effect.adjuster.kind == "engagement" and out else range(len(bench.times))
    for p in allowed:
        if abs(slope[p]) < 0.05:
            continue
        reading = slope * bench.u[p] * math.sqrt(3) / slope[p]
        shape = slope * travel * ((gains / gains[:, [p]]).std(axis=0) / np.abs(scale) * np.abs(scale[p]))
        left = reading**2 + np.where(own > 0, np.nan_to_num(shape), 0.0) ** 2
        doubt[p] = float(np.sum(left / bench.tolerance**2))
    return int(np.argmin(doubt)) if np.isfinite(doubt).any() else int(np.argmax(np.abs(slope)))


def _aim(bench: _Bench, which: Sequence[int], travels: Sequence[float], n: int) -> Aim:
    number, travel = which[n], travels[n]
    effect = bench.effects[number]
    pilot = pilot_of(bench, number, travel)
    now = float(bench.times[pilot])

    def reads(q: float) -> float:
        return float(after(effect, bench.times, q)[pilot])

    whole = math.log2(reads(travel) / now)
    trial = effect.moves == 0
    if trial and abs(whole) > SMALL_STOPS:
        travel = _reach(reads, now * 2 ** math.copysign(max(SMALL_STOPS, abs(whole) / 2), whole), travel)
        low, high = sorted(reads(travel * f) for f in (0.75, 1.2))
    else:
        low, high = _band(bench, which, travels, n, pilot)
    aim = reads(travel)
    amount = None if effect.per_amount is None or effect.per_amount == 0 else travel / effect.per_amount
    loose = aim * 2**-effect.tightening_stops
    direction = effect.way(travel)
    return Aim(
        adjuster=effect.adjuster.name, direction=direction, amount=amount, trial=trial,
        pilot=bench.speeds[pilot].marked, now_s=now, aim_s=aim, low_s=low, high_s=high, loose_s=loose,
        words=_say(effect, bench.speeds[pilot].marked, direction, amount, trial, (now, low, high, loose)),
    )  # fmt: skip


def _reach(reads: Callable[[float], float], wanted: float, travel: float) -> float:
    """Return the share of a travel at which the pilot reads what is wanted, by halving."""
    low, high = 0.0, 1.0
    for _ in range(40):
        middle = (low + high) / 2
        short = (reads(travel * middle) < wanted) == (reads(travel) > reads(0.0))
        low, high = (middle, high) if short else (low, middle)
    return travel * low


def _band(bench: _Bench, which: Sequence[int], travels: Sequence[float], n: int, pilot: int) -> tuple[float, float]:
    """Return the pilot's times between which the chance is nearly as good as at best; never too narrow to hit."""
    effect, best = bench.effects[which[n]], bench.chance(which, travels)

    def chance(q: float) -> float:
        return bench.chance(which, [q if i == n else t for i, t in enumerate(travels)])

    centre = float(after(effect, bench.times, travels[n])[pilot])
    slope = math.log2(float(after(effect, bench.times, travels[n] + 0.01)[pilot]) / centre) / 0.01
    ends = []
    for sign in (-1.0, 1.0):
        wide = 0.03
        while wide < 0.3 and chance(travels[n] + sign * (wide + 0.02) / abs(slope)) >= 0.85 * best:
            wide += 0.02
        ends.append(centre * 2 ** (sign * math.copysign(wide, slope)))
    return min(ends), max(ends)


def _say(
    effect: Effect,
    pilot: str,
    direction: str,
    amount: float | None,
    trial: bool,
    times_s: tuple[float, float, float, float],
) -> str:
    now, low, high, loose = times_s
    if trial:
        how = f"First a small move of the {effect.adjuster.name}, either way, to see what it does: "
    else:
        size = "" if amount is None else f", about {show_number(abs(amount), significant=2)} of what was measured as 1"
        way = f", {direction}{size}" if direction else size
        how = f"Move the {effect.adjuster.name}{way}: "
    band = f"{show_time(low, low / 50)} to {show_time(high, high / 50)}"
    said = f"{how}nudge, tighten, fire {pilot} until {band} (now {show_time(now, now / 50)})."
    if abs(effect.tightening_stops) > 0.02:
        shift = f"{effect.tightening_stops:+.2f} stop"
        said += f" Tightening shifts it by {shift}: before, aim for {show_time(loose, loose / 50)}."
    return said
