"""What each cause would do to the dial: its pattern of errors, with its size left open.

The patterns are short formulas, not a shutter in motion: a fixed time where the train engages too deep, a
rate where the pallet is off. Pattern -> mechanism is common practice, no source.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from asfound.shutter.speeds.groups import Group

Floats = NDArray[np.float64]
SIZES = np.concatenate([np.linspace(0.1, 1.0, 13), np.linspace(1.1, 2.4, 10)])
USUAL_SCATTER_STOPS = np.exp(np.linspace(np.log(0.02), np.log(0.12), 7))
LARGE_SCATTER_STOPS = np.exp(np.linspace(np.log(0.11), np.log(1.4), 9))
UNEVEN_STOPS = 0.06  # from speed to speed on a shutter in order


@dataclass(frozen=True, slots=True)
class Shots:
    """The shots of a dial, flattened: what a pattern needs to know of each.

    Attributes
    ----------
    nominal_s, index, side : array, shape (shots,)
        Marked time, number at its setting from 0, side from which the dial was set.
    group : array of Group
    top : array of bool
        Whether it is of the shortest marked time.
    free_s : float
        The longest time that the shutter makes without the train.
    """

    nominal_s: Floats
    index: Floats
    side: Floats
    group: NDArray[np.str_]
    top: NDArray[np.bool_]
    free_s: float

    def where(self, *, pallet_in: float, pallet_out: float, plain: float) -> Floats:
        """Return one number for each shot by its group."""
        inside, outside = self.group == Group.PALLET_IN, self.group == Group.PALLET_OUT
        return np.where(inside, pallet_in, np.where(outside, pallet_out, plain))


@dataclass(frozen=True, slots=True)
class Curves:
    """A pattern in many sizes.

    Attributes
    ----------
    errors : array, shape (sizes, shots)
        In stops.
    scatter : array
        Of one shot, in stops, to be tried with every size.
    unsure : array, shape (sizes, shots), optional
        Signed standard deviation of what may be added to each speed's error by itself.
    free : int
        Sizes left open, for the information criterion.
    """

    errors: Floats
    scatter: Floats
    free: int
    unsure: Floats | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """Why a dial may read as it does.

    Attributes
    ----------
    name : str
    words : str
        What is wrong, in the trade's words.
    look : str
        What to look at or try on the bench.
    curves : callable
    prior : float
        Weight before anything was measured, relative to the others.
    rebounds, stalls : bool
        Whether rebounds, or shots that never close, belong to it.
    """

    name: str
    words: str
    look: str
    curves: Callable[[Shots], Curves]
    prior: float = 1.0
    rebounds: bool = False
    stalls: bool = False


def _stack(rows: Sequence[Floats]) -> Floats:
    return np.array(rows)


def _in_order(shots: Shots) -> Curves:
    return Curves(np.zeros((1, shots.nominal_s.size)), USUAL_SCATTER_STOPS, 0)


def added_time_stops(shots: Shots, *, share_out: float, size_stops: float) -> Floats:
    """Return the errors of a fixed time added to each group of speeds that the train makes.

    Parameters
    ----------
    shots : Shots
    share_out : float
        The time added with the pallet out, as a share of that with the pallet in: the same arc takes less.
    size_stops : float
        Of the largest error; negative where time is taken away.
    """
    share = shots.where(pallet_in=1.0, pallet_out=share_out, plain=0.0)
    with np.errstate(divide="ignore"):
        most = np.min(np.abs(2.0**size_stops - 1) * shots.nominal_s / share) if np.any(share > 0) else 0.0
    least = np.minimum(shots.free_s, shots.nominal_s)
    added = shots.nominal_s + np.sign(size_stops) * most * share
    return np.asarray(np.log2(np.maximum(added, least) / shots.nominal_s))


_SHARES = np.exp(np.linspace(np.log(0.05), np.log(0.5), 7))


def _engagement(shots: Shots) -> Curves:
    signed = np.concatenate([SIZES, -SIZES])
    rows = [added_time_stops(shots, share_out=r, size_stops=s) for r, s in product(_SHARES, signed)]
    return Curves(_stack(rows), USUAL_SCATTER_STOPS, 2)


def _pallet(shots: Shots) -> Curves:
    rows = []
    for size in np.concatenate([SIZES, -SIZES]):
        held = np.maximum(shots.nominal_s - shots.free_s, 0) * 2.0**size
        error = np.log2((np.minimum(shots.nominal_s, shots.free_s) + held) / shots.nominal_s)
        rows.append(np.where(shots.group == Group.PALLET_IN, error, 0.0))
    return Curves(_stack(rows), USUAL_SCATTER_STOPS, 1)


def _engagement_and_pallet(shots: Shots) -> Curves:
    """Both at once, as after somebody has nudged the one to make up for the other."""
    few = np.array([0.2, 0.4, 0.6, 0.9, 1.3, 1.8])
    both = np.concatenate([few, -few])
    rows = []
    for share, added, rate in product(_SHARES[1::2], both, both):
        error = added_time_stops(shots, share_out=share, size_stops=added)
        held = 1 - np.minimum(shots.free_s / shots.nominal_s, 1.0)
        turned = np.where(shots.group == Group.PALLET_IN, np.log2(1 + held * (2.0**rate - 1)), 0.0)
        rows.append(error + turned)
    table = _stack(rows)
    return Curves(table, USUAL_SCATTER_STOPS, 3, unsure=np.full_like(table, 0.05))


def _weak_drive(shots: Shots) -> Curves:
    """A free swing and a beat go as the root of the drive; a running train, held by its drag, more so."""
    rows = []
    free = np.minimum(shots.free_s / shots.nominal_s, 1.0)
    for size, out, swing, top in product(SIZES, (1.0, 1.35, 1.7), (0.85, 1.0), (0.8, 1.0)):
        held = shots.where(pallet_in=1.0, pallet_out=out, plain=1.0)
        row = np.log2(free * 2.0 ** (size * swing) + (1 - free) * 2.0 ** (size * held))
        rows.append(np.where(shots.top, row * top, row))
    return Curves(_stack(rows), USUAL_SCATTER_STOPS, 2)


def _weak_booster(shots: Shots) -> Curves:
    return Curves(_stack([np.where(shots.top, size, 0.0) for size in SIZES]), USUAL_SCATTER_STOPS, 1)


def _growing_friction(shots: Shots) -> Curves:
    """Friction takes a share of the drive, more at each shot; a beat goes as its root, a running train more so."""
    rows = []
    shares, growths = np.linspace(0.15, 0.85, 10), (0.05, 0.12, 0.2, 0.3)
    for share, growth, out in product(shares, growths, (0.5, 0.8, 1.1)):
        left = np.maximum(1 - share * (1 + growth * shots.index), 0.02)
        held = np.maximum(1 - shots.free_s / shots.nominal_s, 0.0)
        slower = -np.log2(left) * shots.where(pallet_in=0.5, pallet_out=out, plain=0.0)
        rows.append(np.log2(1 + held * (2.0**slower - 1)))
    return Curves(_stack(rows), USUAL_SCATTER_STOPS, 3)


def _scatter(shots: Shots) -> Curves:
    return Curves(np.zeros((1, shots.nominal_s.size)), LARGE_SCATTER_STOPS, 1)


def _cam_play(shots: Shots) -> Curves:
    """From one side the train engages deeper, from the other less; by how much differs from step to step."""
    slow = [added_time_stops(shots, share_out=r, size_stops=s) for r, s in product(_SHARES[::2], SIZES)]
    fast = [added_time_stops(shots, share_out=r, size_stops=-s) for r, s in product(_SHARES[::2], SIZES)]
    rows = np.where(shots.side > 0, _stack(slow), np.where(shots.side < 0, _stack(fast), 0.0))
    return Curves(rows, USUAL_SCATTER_STOPS, 3, unsure=0.4 * rows)


def _rebound(shots: Shots) -> Curves:
    plain = shots.where(pallet_in=0.0, pallet_out=0.0, plain=1.0)
    rows = [size * np.where(shots.top, 1.0, plain * other) for size in np.linspace(0, 0.4, 9) for other in (0.0, 0.5)]
    return Curves(_stack(rows), USUAL_SCATTER_STOPS, 2)


def _never_closes(shots: Shots) -> Curves:
    sizes = np.concatenate([[0.0], SIZES])
    rows = [np.where(shots.top, size * top, size) for size in sizes for top in (0.1, 0.5, 1.0)]
    return Curves(_stack(rows), USUAL_SCATTER_STOPS, 2)


def _something_else(shots: Shots) -> Curves:
    shape = (4, shots.nominal_s.size)
    spread = np.broadcast_to(np.array([0.15, 0.3, 0.6, 1.2])[:, None], shape)
    return Curves(np.zeros(shape), USUAL_SCATTER_STOPS, 8, unsure=spread)


CAUSES = (
    Cause(
        name="in order",
        words="nothing is wrong that this dial could show",
        look="leave it alone",
        curves=_in_order,
    ),
    Cause(
        name="engagement",
        words="the retard train engages too deep or not deep enough: nearly a fixed time in each group of speeds",
        look="watch how far the sector is driven at 1/25; move the train a little and see whether 1/25 follows",
        curves=_engagement,
    ),
    Cause(
        name="pallet",
        words="the pallet sets a wrong rate: one factor on all speeds with the pallet in, none on the others",
        look="swing the pallet out: if the train then runs as it should, look at how deep the pallet sits",
        curves=_pallet,
    ),
    Cause(
        name="weak drive",
        words="the main spring drives too weakly: every speed is slow",
        look="feel the cocking lever against that of a sound shutter; look whether the spring sits in its notch",
        curves=_weak_drive,
    ),
    Cause(
        name="weak booster",
        words="the booster of the top speed is weak or does not catch: only the top speed is slow",
        look="cock at the top speed and feel the extra stiffness; look whether the booster is caught",
        curves=_weak_booster,
    ),
    Cause(
        name="growing friction",
        words="friction in the train that grows from shot to shot",
        look="let the train run down with the pallet out and listen whether it slows; look for dry or bent pivots",
        curves=_growing_friction,
    ),
    Cause(
        name="scatter",
        words="the times jump about: something sticks, is loose, or is bent",
        look="fire ten times at one speed and watch the blades and the train",
        curves=_scatter,
    ),
    Cause(
        name="cam play",
        words="the cam plate is loose: the time depends on the side from which the dial was set",
        look="hold the speed ring and feel for play; look at the cam plate's tongue and screws",
        curves=_cam_play,
    ),
    Cause(
        name="rebound",
        words="the blades spring open again after closing",
        look="look at the trace after closing; look at the ring's stop and its latch",
        curves=_rebound,
        rebounds=True,
    ),
    Cause(
        name="never closes",
        words="the ring stands still before the blades are shut: friction eats the drive up",
        look="with the spring let down, move the ring by hand and feel where it stops",
        curves=_never_closes,
        stalls=True,
    ),
    Cause(
        name="engagement and pallet",
        words="the train engages wrong and the pallet sets a wrong rate: a time and a factor together",
        look="set the engagement by the speeds with the pallet out; then the pallet by the slow ones",
        curves=_engagement_and_pallet,
        prior=0.5,
    ),
    Cause(
        name="something else",
        words="none of the known patterns: more than one fault, or steps of the cam that are bent or filed",
        look="measure again; then look at each step of the cam that is off",
        curves=_something_else,
        prior=0.2,
    ),
)  # fmt: skip
