"""A between-the-lens shutter in motion: what drives it, what holds it back, and how long it is open.

A ring driven by the main spring swings the blades open, dwells, and swings them shut. On the slower speeds a
pin on the ring has to drive a train of gears before it is let past: the step of the cam says over what arc.
With the pallet in, the train goes from beat to beat and comes nearly to rest at each. This is a model to
try judgements on, made from mechanics alone; no particular shutter was measured (numbers: common practice,
no source).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_STEPS_FREE = 24
_STEPS_TRAIN = 160


@dataclass(frozen=True, slots=True, kw_only=True)
class Mechanism:
    """One or many shutters: each field is an array, and all fields are broadcast together.

    Attributes
    ----------
    torque_n_mm : array
        Of the main spring on the ring at the beginning of its swing.
    fall_n_mm_rad : array
        How much of it is lost in each radian.
    booster : array
        Torque of the top speed over that of the others.
    ring_inertia_g_mm2 : array
        Of ring and blades.
    ring_friction_n_mm, ring_drag_n_mm_s : array
        Dry friction of the ring, and drag in proportion to its speed.
    opening_rad, dwell_rad, closing_rad : array
        Arcs in which the blades open, stand open on the free speeds, and close.
    train_inertia_g_mm2, train_drag_n_mm_s, train_friction_n_mm : array
        Of the train, as the ring feels them through its gearing, the pallet out.
    beat_rad, pallet_inertia_g_mm2, keeps : array
        Arc of the ring in one beat; the pallet's inertia as the ring feels it; share of the speed that is
        left after a beat.
    """

    torque_n_mm: Floats
    fall_n_mm_rad: Floats
    booster: Floats
    ring_inertia_g_mm2: Floats
    ring_friction_n_mm: Floats
    ring_drag_n_mm_s: Floats
    opening_rad: Floats
    dwell_rad: Floats
    closing_rad: Floats
    train_inertia_g_mm2: Floats
    train_drag_n_mm_s: Floats
    train_friction_n_mm: Floats
    beat_rad: Floats
    pallet_inertia_g_mm2: Floats
    keeps: Floats


def swing(
    *,
    arc_rad: Floats,
    steps: int,
    inertia_g_mm2: Floats,
    torque_n_mm: Floats,
    fall_n_mm_rad: Floats,
    drag_n_mm_s: Floats,
    speed_rad_s: Floats,
    keeps: Floats | None = None,
) -> tuple[Floats, Floats]:
    """Drive an inertia through an arc; return times at the ends of equal steps, and speed at the last.

    Parameters
    ----------
    arc_rad, inertia_g_mm2, torque_n_mm, fall_n_mm_rad, drag_n_mm_s, speed_rad_s : array
        All of one shape: the torque (less dry friction) at the beginning, its loss in a radian, the drag in
        proportion to speed, and the speed at the beginning.
    steps : int
        Equal parts of the arc.
    keeps : array, optional
        Share of the speed left after each step: the beats of an escapement.

    Returns
    -------
    times : array, shape (steps + 1, ...)
        Seconds; infinite from where it stands still.
    speed : array

    Notes
    -----
    Work and energy, I d(w^2)/2 = (T - b w) d phi, solved for w at the end of each step with the drag taken
    there, so that no step is too long; constant acceleration within a step. 1 N mm is 1e6 g mm2/s2.
    """
    part = arc_rad / steps
    half_drag = part * drag_n_mm_s * 1e6 / inertia_g_mm2
    speed = speed_rad_s
    shape = np.broadcast_shapes(*map(np.shape, (part, half_drag, torque_n_mm, fall_n_mm_rad, speed)))
    times = np.zeros((steps + 1, *shape))
    for n in range(steps):
        torque = torque_n_mm - fall_n_mm_rad * part * (n + 0.5)
        squared = speed**2 + 2e6 * part * torque / inertia_g_mm2
        end = np.where(squared > 0, np.sqrt(np.maximum(squared, 0) + half_drag**2) - half_drag, 0.0)
        both = speed + end
        with np.errstate(divide="ignore"):
            times[n + 1] = times[n] + np.where((end > 0) | (part == 0), 2 * part / np.maximum(both, 1e-300), np.inf)
        speed = end if keeps is None else end * keeps
    return times, speed


def open_time_s(
    mechanism: Mechanism, *, train_arc_rad: Floats, pallet_in: NDArray[np.bool_], top: NDArray[np.bool_]
) -> tuple[Floats, Floats]:
    """Return the effective time of a firing, and the ring's speed as the blades are shut.

    Parameters
    ----------
    mechanism : Mechanism
    train_arc_rad : array
        Over which the ring drives the train; 0 on the free speeds.
    pallet_in, top : array of bool
        Whether the pallet is in; whether the booster drives.

    Notes
    -----
    The opening grows evenly with the ring's angle, so that the effective time is the integral of the open
    share over time. The time is infinite where the ring stops on its way.
    """
    m = mechanism
    drive = m.torque_n_mm * np.where(top, m.booster, 1.0) - m.ring_friction_n_mm
    shape = np.broadcast_shapes(np.shape(drive), np.shape(train_arc_rad))
    zero = np.zeros(shape)

    def leg(arc: Floats, before: Floats, speed: Floats) -> tuple[Floats, Floats]:
        return swing(
            arc_rad=arc + zero,
            steps=_STEPS_FREE,
            inertia_g_mm2=m.ring_inertia_g_mm2,
            torque_n_mm=drive - m.fall_n_mm_rad * before,
            fall_n_mm_rad=m.fall_n_mm_rad,
            drag_n_mm_s=m.ring_drag_n_mm_s,
            speed_rad_s=speed,
        )

    opening, speed = leg(m.opening_rad, zero, zero)
    held, speed = train_time_s(m, train_arc_rad + zero, pallet_in, drive - m.fall_n_mm_rad * m.opening_rad, speed)
    so_far = m.opening_rad + train_arc_rad
    dwell, speed = leg(m.dwell_rad, so_far, speed)
    closing, speed = leg(m.closing_rad, so_far + m.dwell_rad, speed)
    share = np.linspace(0, 1, _STEPS_FREE + 1)
    return _under(opening, share) + held + dwell[-1] + _under(closing, 1 - share), speed


def train_time_s(
    mechanism: Mechanism, arc_rad: Floats, pallet_in: NDArray[np.bool_], drive_n_mm: Floats, speed_rad_s: Floats
) -> tuple[Floats, Floats]:
    """Return how long the ring drives the train, and its speed as it is let past.

    Parameters
    ----------
    mechanism : Mechanism
    arc_rad : array
        Over which the train is driven.
    pallet_in : array of bool
    drive_n_mm : array
        Torque on the ring as it meets the train.
    speed_rad_s : array
        Speed with which it meets it.

    Notes
    -----
    Ring and train share their momentum as they meet. With the pallet in, one step is one beat (or an equal
    number of them, where there are more beats than steps): each beat begins with what the last one left.
    """
    m = mechanism
    inertia = m.ring_inertia_g_mm2 + m.train_inertia_g_mm2
    beating = inertia + m.pallet_inertia_g_mm2
    whole = np.where(pallet_in, beating, inertia)
    start = speed_rad_s * m.ring_inertia_g_mm2 / whole
    drive = drive_n_mm - m.train_friction_n_mm
    beats = arc_rad / m.beat_rad / _STEPS_TRAIN  # beats to a step
    inertia_of_step = np.where(pallet_in, beating * beats, inertia)
    times, speed = swing(
        arc_rad=arc_rad,
        steps=_STEPS_TRAIN,
        inertia_g_mm2=np.where(arc_rad > 0, inertia_of_step, inertia),
        torque_n_mm=drive,
        fall_n_mm_rad=m.fall_n_mm_rad,
        drag_n_mm_s=m.train_drag_n_mm_s + m.ring_drag_n_mm_s,
        speed_rad_s=start,
        keeps=np.where(pallet_in, m.keeps, 1.0),
    )
    free = arc_rad <= 0
    return np.where(free, 0.0, times[-1]), np.where(free, speed_rad_s, speed)


def _under(times: Floats, share: Floats) -> Floats:
    """Return the integral of the open share over the times, by trapezia."""
    ends = np.isfinite(times[-1])
    steps = np.diff(np.where(ends, times, 0.0), axis=0)
    middle = ((share[1:] + share[:-1]) / 2).reshape(-1, *([1] * (times.ndim - 1)))
    return np.where(ends, np.sum(steps * middle, axis=0), np.inf)
