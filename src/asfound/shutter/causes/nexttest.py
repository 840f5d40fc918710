"""Which shots, or which look, would best tell the two leading causes apart."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass, replace

import numpy as np

from asfound.quantity import show_number
from asfound.shutter.causes.weighing import STRAY_REBOUND, STRAY_STALL, Fitted, fit_causes, flatten
from asfound.shutter.speeds.groups import Group
from asfound.shutter.speeds.series import Shot, Speed

# Fewer natural units of evidence than this are not worth the film of oil they cost.
WORTH_IT = 1.5


@dataclass(frozen=True, slots=True, kw_only=True)
class NextTest:
    """A test, and what either cause would lead one to expect.

    Attributes
    ----------
    first, second : str
        The two leading causes.
    test : str
        What to do.
    expect_first, expect_second : str
        What each would show; empty where only a look can tell.
    odds : float
        By what factor the test would be expected to move the odds between the two; 1 where it is a look.
    """

    first: str
    second: str
    test: str
    expect_first: str
    expect_second: str
    odds: float

    def as_json(self) -> dict[str, object]:
        """Return it as plain values."""
        return asdict(self)


@dataclass(frozen=True, slots=True)
class _Trial:
    speed: Speed
    added: tuple[Shot, ...]
    words: str


def next_test(speeds: Sequence[Speed]) -> NextTest:
    """Return the test expected to separate the two leading causes best.

    Parameters
    ----------
    speeds : sequence of Speed
        The dial that was judged.

    Notes
    -----
    Each trial's shots are predicted under both causes, over all sizes that the dial leaves open; the expected
    gain is the symmetric Kullback-Leibler divergence of the two predictions taken as normal (from memory).
    Repeats at a setting already measured only tell what changes: side, growth, scatter.
    """
    fitted = fit_causes(speeds)
    ranked = sorted(fitted, key=lambda f: -(f.log_likelihood + math.log(f.cause.prior)))
    first, second = ranked[0], ranked[1]
    tried = [(_gain(speeds, trial, first, second), trial) for trial in _trials(speeds)]
    counted = [*_watching(speeds, first, second)]
    gain, trial = max(tried, key=lambda pair: pair[0], default=(0.0, None))
    watch = max(counted, key=lambda test: test.odds, default=None)
    if watch is not None and math.log(watch.odds) > max(gain, WORTH_IT):
        return watch
    if trial is None or gain < WORTH_IT:
        return _look(first, second)
    expect = [_said(speeds, trial, f) for f in (first, second)]
    return NextTest(
        first=first.cause.name,
        second=second.cause.name,
        test=trial.words,
        expect_first=expect[0],
        expect_second=expect[1],
        odds=math.exp(min(gain, 50.0)),
    )


def _look(first: Fitted, second: Fitted) -> NextTest:
    chosen = first if first.cause.name not in ("in order", "something else") else second
    return NextTest(
        first=first.cause.name,
        second=second.cause.name,
        test=f"More shots would hardly tell. Look for {chosen.cause.name}: {chosen.cause.look}.",
        expect_first="",
        expect_second="",
        odds=1.0,
    )


def _trials(speeds: Sequence[Speed]) -> Iterator[_Trial]:
    for speed in speeds:
        if all(shot.time_s is None for shot in speed.shots):
            continue
        seen = {shot.side for shot in speed.shots}
        for side, word in ((1, "above, from a longer time"), (-1, "below, from a shorter time")):
            if side not in seen:
                words = f"Set {speed.marked} from {word}, and fire three times."
                yield _Trial(speed, (Shot(time_s=speed.nominal_s, side=side),) * 3, words)
        last = speed.shots[-1].side
        words = f"Fire ten times in a row at {speed.marked}, the dial untouched."
        yield _Trial(speed, (Shot(time_s=speed.nominal_s, side=last),) * 10, words)


def _predict(speeds: Sequence[Speed], trial: _Trial, fitted: Fitted) -> tuple[float, float, float]:
    """Return mean and variance of (new shots less old ones) at the speed, and the variance of one shot."""
    old = [shot for shot in trial.speed.shots if shot.time_s is not None]
    whole = [s if s is not trial.speed else replace(s, shots=(*old, *trial.added)) for s in speeds]
    timed = [s for s in whole if any(shot.time_s is not None for shot in s.shots)]
    curves = fitted.cause.curves(flatten(timed))
    start = sum(sum(shot.time_s is not None for shot in s.shots) for s in timed[: timed.index(_same(timed, trial))])
    before = curves.errors[:, start : start + len(old)].mean(axis=1)
    after = curves.errors[:, start + len(old) : start + len(old) + len(trial.added)].mean(axis=1)
    weights = fitted.of_sizes
    change = after - before
    mean = float(weights @ change)
    of_scatter = np.exp(fitted.log_weights - fitted.log_weights.max()).sum(axis=0)
    one = float(of_scatter @ fitted.curves.scatter**2 / of_scatter.sum())
    variance = float(weights @ (change - mean) ** 2) + one * (1 / len(old) + 1 / len(trial.added))
    return mean, variance, one


def _same(timed: Sequence[Speed], trial: _Trial) -> Speed:
    return next(s for s in timed if s.marked == trial.speed.marked)


def _gain(speeds: Sequence[Speed], trial: _Trial, first: Fitted, second: Fitted) -> float:
    (m1, v1, s1), (m2, v2, s2) = (_predict(speeds, trial, f) for f in (first, second))
    free = len(trial.added) - 1
    return _apart(m1 - m2, v1, v2) + free * _apart(0.0, s1, s2)


def _apart(distance: float, v1: float, v2: float) -> float:
    """Return half the symmetric divergence of two normals: the expected log odds, averaged over both."""
    return 0.25 * (v1 / v2 + v2 / v1 - 2) + 0.25 * distance**2 * (1 / v1 + 1 / v2)


def _said(speeds: Sequence[Speed], trial: _Trial, fitted: Fitted) -> str:
    mean, variance, one = _predict(speeds, trial, fitted)
    middle = show_number(mean, math.sqrt(variance)) if abs(mean) > 0.02 else "0"
    each = show_number(math.sqrt(one), significant=2)
    return (
        f"{middle} stop against the shots before, ± {2 * math.sqrt(variance):.2f}; single shots scatter by {each} stop"
    )


def _watching(speeds: Sequence[Speed], first: Fitted, second: Fitted) -> Iterator[NextTest]:
    """Yield the tests that count rebounds or stalls in ten firings."""
    plain = [s for s in speeds if s.group == Group.PLAIN] or list(speeds)
    top = min(plain, key=lambda s: s.nominal_s)
    slow = max(speeds, key=lambda s: s.nominal_s)
    for name, speed, stray, seen in (
        ("rebounds", top, STRAY_REBOUND, lambda shot: shot.rebound),
        ("stalls", slow, STRAY_STALL, lambda shot: shot.time_s is None),
    ):
        mine, other = getattr(first.cause, name), getattr(second.cause, name)
        if mine == other:
            continue
        shots = [shot for s in (plain if name == "rebounds" else speeds) for shot in s.shots]
        rate = (sum(map(seen, shots)) + 1) / (len(shots) + 2)
        gain = 10 * (rate - stray) * math.log(rate * (1 - stray) / (stray * (1 - rate))) / 2
        expected = (f"about {10 * rate:.0f} of ten", "hardly one")
        yield NextTest(
            first=first.cause.name,
            second=second.cause.name,
            test=f"Fire ten times at {speed.marked} and count the {name}.",
            expect_first=expected[0 if mine else 1],
            expect_second=expected[1 if mine else 0],
            odds=math.exp(max(0.0, min(gain, 50.0))),
        )
