"""Simulated shutters with one known fault each: what they would read, shot by shot.

Every shutter is drawn anew, set right by its cam steps, and then spoilt. Nothing here is used to judge a
real dial: it is what judgements are tried on. The sizes of everything: common practice, no source.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from asfound.shutter.simulated.mechanism import Floats, Mechanism, open_time_s
from asfound.shutter.speeds.groups import USUAL_TRAIN, Group, Train

KINDS = (
    "in order", "engagement", "pallet", "weak drive", "weak booster", "growing friction", "scatter", "cam play",
    "rebound", "never closes",
)  # fmt: skip
SCATTER = 0.03  # of one shot, share of its time
UNEVEN_STOPS = 0.05  # from speed to speed, on a shutter that is set right
SEVERITY_STOPS = (0.3, 2.0)
FALSE_REBOUND, FALSE_STALL = 0.01, 0.003


@dataclass(frozen=True, slots=True, kw_only=True)
class Cameras:
    """Shutters that are set right: the mechanism with its cam steps.

    Attributes
    ----------
    mechanism : Mechanism
        Fields of shape (cameras, speeds, 1).
    train_arc_rad : array, shape (cameras, speeds, 1)
    nominal_s : array, shape (speeds, 1)
    groups : tuple of Group
    """

    mechanism: Mechanism
    train_arc_rad: Floats
    nominal_s: Floats
    groups: tuple[Group, ...]

    def times_s(self, mechanism: Mechanism | None = None, arc_rad: Floats | None = None) -> Floats:
        """Return the effective times, with another mechanism or other arcs where given."""
        return self.firing(mechanism, arc_rad)[0]

    def firing(self, mechanism: Mechanism | None = None, arc_rad: Floats | None = None) -> tuple[Floats, Floats]:
        """Return the effective times and the speed of the ring as the blades are shut."""
        top = self.nominal_s == self.nominal_s.min()
        held = np.array([group != Group.PLAIN for group in self.groups])[:, None]
        arc = self.train_arc_rad if arc_rad is None else arc_rad
        return open_time_s(
            mechanism or self.mechanism,
            train_arc_rad=np.where(held, np.maximum(arc, 0.0), 0.0),
            pallet_in=np.array([group == Group.PALLET_IN for group in self.groups])[:, None],
            top=top,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Readings:
    """What shutters with one fault would read, before chance has its say.

    Attributes
    ----------
    error_stops : array, shape (cameras, speeds, shots)
    scatter_stops : array, shape (cameras,)
        Of one shot.
    stalls, rebounds : array, shape (cameras, speeds)
        Chance of a shot that never closes, and of one that rebounds.
    """

    error_stops: Floats
    scatter_stops: Floats
    stalls: Floats
    rebounds: Floats


def draw_cameras(
    count: int, nominal_s: Sequence[float], generator: np.random.Generator, *, train: Train = USUAL_TRAIN
) -> Cameras:
    """Draw shutters and file their cam steps until every speed is right.

    Parameters
    ----------
    count : int
    nominal_s : sequence of float
        Marked times.
    generator : numpy.random.Generator
    train : Train
        Which speeds the train and the pallet make.
    """

    def between(low: float, high: float) -> Floats:
        return np.exp(generator.uniform(np.log(low), np.log(high), (count, 1, 1)))

    torque, opening, swing = between(10, 30), between(0.25, 0.45), between(4e-3, 6e-3)
    inertia = torque * 1e6 * swing**2 / (2 * opening)
    rate_out, rate_in = between(3, 7), between(0.4, 0.9)
    beat, settles = between(1.5e-3, 4e-3), between(4e-3, 12e-3)
    drag = torque / rate_out
    beating = torque * 1e6 * (beat / rate_in) ** 2 / (2 * beat)
    mechanism = Mechanism(
        torque_n_mm=torque,
        fall_n_mm_rad=torque * between(0.1, 0.3),
        booster=np.full((count, 1, 1), 4.0),
        ring_inertia_g_mm2=inertia,
        ring_friction_n_mm=torque * between(0.03, 0.08),
        ring_drag_n_mm_s=torque * between(2e-4, 1e-3),
        opening_rad=opening,
        dwell_rad=np.full((count, len(nominal_s), 1), 0.3),
        closing_rad=opening * between(0.9, 1.1),
        train_inertia_g_mm2=drag * 1e6 * settles,
        train_drag_n_mm_s=drag,
        train_friction_n_mm=torque * between(0.02, 0.06),
        beat_rad=beat,
        pallet_inertia_g_mm2=np.maximum(beating - drag * 1e6 * settles, 0.3 * beating),
        keeps=between(0.1, 0.3),
    )
    nominal = np.asarray(nominal_s, dtype=float)[:, None]
    arcs = np.full((count, len(nominal_s), 1), 0.05)
    return _set_right(Cameras(
        mechanism=mechanism,
        train_arc_rad=arcs,
        nominal_s=nominal,
        groups=tuple(train.group(t) for t in nominal_s),
    ))  # fmt: skip


def _set_right(cameras: Cameras, rounds: int = 14) -> Cameras:
    """File dwell, booster and cam steps in turn until the times are as marked."""
    nominal, groups = cameras.nominal_s, cameras.groups
    top = int(np.argmin(nominal))
    plain = [i for i, group in enumerate(groups) if group == Group.PLAIN and i != top]
    held = [i for i, group in enumerate(groups) if group != Group.PLAIN]
    slowest = max(plain, key=lambda i: nominal[i, 0]) if plain else top
    for _ in range(rounds):
        m = cameras.mechanism
        times = cameras.times_s()
        dwell, booster, arc = m.dwell_rad.copy(), m.booster.copy(), cameras.train_arc_rad.copy()
        for i in plain:
            dwell[:, i] = np.maximum(dwell[:, i] * (nominal[i] / times[:, i]) ** 1.5, 0.01)
        for i in (*held, top):
            dwell[:, i] = dwell[:, slowest] if slowest != top else dwell[:, i]
        booster[:, 0] *= (times[:, top] / nominal[top]) ** 2
        free = nominal[slowest]
        for i in held:
            ratio = np.maximum(nominal[i] - free, 1e-4) / np.maximum(times[:, i] - free, 1e-4)
            arc[:, i] *= np.clip(ratio, 0.2, 5.0)
        cameras = replace(cameras, mechanism=replace(m, dwell_rad=dwell, booster=booster), train_arc_rad=arc)
    return cameras


def spoil(
    kind: str, cameras: Cameras, sides: Sequence[int], generator: np.random.Generator
) -> tuple[Readings, NDArray[np.bool_]]:
    """Give each camera one fault of a kind, of a size drawn anew.

    Parameters
    ----------
    kind : str
        One of `KINDS`.
    cameras : Cameras
    sides : sequence of int
        For each shot at a speed, +1 where the dial was set from above, -1 from below.
    generator : numpy.random.Generator

    Returns
    -------
    readings : Readings
    usable : array of bool
        Whether the largest error lies within `SEVERITY_STOPS` (where a fault shows as an error at all).
    """
    count, speeds = cameras.train_arc_rad.shape[:2]
    shots = np.arange(len(sides), dtype=float)
    draw = _Draw(cameras, generator, count)
    times, stalls, rebounds = _TIMES[kind](draw, np.asarray(sides, dtype=float), shots)
    error = np.log2(times / cameras.nominal_s) + np.zeros((count, speeds, len(sides)))
    low, high = SEVERITY_STOPS
    jumps = low + (high - low) * generator.random(count)
    scatter: Floats = np.where(kind == "scatter", jumps / 2, SCATTER / np.log(2))
    largest: Floats = np.max(np.abs(error), axis=(1, 2))
    shows = kind not in ("in order", "scatter", "rebound", "never closes")
    usable = np.isfinite(largest) & (largest <= high) & ((largest >= low) if shows else True)
    return Readings(error_stops=error, scatter_stops=scatter, stalls=stalls, rebounds=rebounds), usable


@dataclass(frozen=True, slots=True)
class _Draw:
    cameras: Cameras
    generator: np.random.Generator
    count: int

    def log(self, low: float, high: float) -> Floats:
        return np.exp(self.generator.uniform(np.log(low), np.log(high), (self.count, 1, 1)))

    def sign(self) -> Floats:
        return self.generator.choice([-1.0, 1.0], (self.count, 1, 1))

    def flat(self, chance: float) -> Floats:
        return np.full(self.cameras.train_arc_rad.shape[:2], chance)


_Made = tuple[Floats, Floats, Floats]


def _with_times(draw: _Draw, times: Floats) -> _Made:
    return times, draw.flat(FALSE_STALL), draw.flat(FALSE_REBOUND)


def _in_order(draw: _Draw, sides: Floats, shots: Floats) -> _Made:
    return _with_times(draw, draw.cameras.times_s())


def _engagement(draw: _Draw, sides: Floats, shots: Floats) -> _Made:
    arc = draw.cameras.train_arc_rad + draw.sign() * draw.log(0.008, 0.15)
    return _with_times(draw, draw.cameras.times_s(arc_rad=arc))


def _pallet(draw: _Draw, sides: Floats, shots: Floats) -> _Made:
    m = draw.cameras.mechanism
    deeper = draw.log(1.3, 16) ** draw.sign()
    return _with_times(draw, draw.cameras.times_s(replace(m, pallet_inertia_g_mm2=m.pallet_inertia_g_mm2 * deeper)))


def _weak_drive(draw: _Draw, sides: Floats, shots: Floats) -> _Made:
    m, left = draw.cameras.mechanism, 1 / draw.log(1.2, 6)
    weak = replace(m, torque_n_mm=m.torque_n_mm * left, fall_n_mm_rad=m.fall_n_mm_rad * left)
    return _with_times(draw, draw.cameras.times_s(weak))


def _weak_booster(draw: _Draw, sides: Floats, shots: Floats) -> _Made:
    m = draw.cameras.mechanism
    return _with_times(draw, draw.cameras.times_s(replace(m, booster=m.booster / draw.log(1.3, 16))))


def _growing_friction(draw: _Draw, sides: Floats, shots: Floats) -> _Made:
    m = draw.cameras.mechanism
    share = draw.log(0.15, 0.8) * (1 + draw.log(0.05, 0.3) * shots)
    spoilt = replace(m, train_friction_n_mm=m.train_friction_n_mm + m.torque_n_mm * share)
    return _with_times(draw, draw.cameras.times_s(spoilt))


def _cam_play(draw: _Draw, sides: Floats, shots: Floats) -> _Made:
    slope = np.exp(draw.generator.normal(0, 0.4, draw.cameras.train_arc_rad.shape))
    arc = draw.cameras.train_arc_rad + draw.log(0.006, 0.08) * slope * sides
    return _with_times(draw, draw.cameras.times_s(arc_rad=arc))


def _rebound(draw: _Draw, sides: Floats, shots: Floats) -> _Made:
    """Blades spring open again where the ring arrives fast; the second opening adds to the time."""
    times, speed = draw.cameras.firing()
    fastest = speed / speed.max(axis=1, keepdims=True)
    back = draw.log(0.3, 0.8) * fastest**2
    chance = np.clip(1.5 * back[..., 0] - 0.1, FALSE_REBOUND, 0.98)
    longer = times * (1 + 0.3 * back * (back > 0.15))
    return longer, draw.flat(FALSE_STALL), chance


def _never_closes(draw: _Draw, sides: Floats, shots: Floats) -> _Made:
    """Friction of the ring nearly eats the drive up: what is left at the end decides whether it closes."""
    m = draw.cameras.mechanism
    share = draw.generator.uniform(0.3, 0.75, (draw.count, 1, 1))
    stiff = replace(m, ring_friction_n_mm=m.ring_friction_n_mm + share * m.torque_n_mm)
    times = draw.cameras.times_s(stiff)
    left = 1 - share - m.fall_n_mm_rad / m.torque_n_mm * (draw.cameras.train_arc_rad + m.dwell_rad + 2 * m.opening_rad)
    chance = np.clip(0.7 - 1.5 * left[..., 0], 0.05, 0.95)
    return np.where(np.isfinite(times), times, draw.cameras.nominal_s * 4), chance, draw.flat(FALSE_REBOUND)


_TIMES = dict(zip(KINDS, (
    _in_order, _engagement, _pallet, _weak_drive, _weak_booster, _growing_friction, _in_order, _cam_play,
    _rebound, _never_closes,
), strict=True))  # fmt: skip
