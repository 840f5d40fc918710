"""The chance that a spring as made will do, over the tolerances of wire, winding and modulus."""

import math
from dataclasses import dataclass

import numpy as np

from asfound.springs.search import Demands
from asfound.springs.torsion import TorsionSpring
from asfound.springs.wire import diameter_tolerance_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Tolerances:
    """Half-widths of even distributions for the wire, standard deviations for the rest.

    Attributes
    ----------
    wire_mm : float
        The wire lies anywhere within this of its nominal size, as it is drawn.
    mean_diameter_mm, leg_angle_deg : float
        How well a spring is wound by hand (common practice, no source: 2 % and 5 deg).
    modulus_share : float
        Relative standard deviation of Young's modulus (common practice, no source: 1 %).
    """

    wire_mm: float
    mean_diameter_mm: float
    leg_angle_deg: float = 5.0
    modulus_share: float = 0.01


@dataclass(frozen=True, slots=True, kw_only=True)
class Chance:
    """Shares of the springs made that will do, and of each way to fail.

    Attributes
    ----------
    low, high : float
        95 % interval of `will_do` for the number of springs tried (Wilson's score interval, from memory).
    erected_n_mm : tuple of float
        Torque erected: 5th, 50th and 95th percentile.
    """

    will_do: float
    low: float
    high: float
    too_weak: float
    over_stressed: float
    does_not_fit: float
    erected_n_mm: tuple[float, float, float]
    tried: int


def usual_tolerances(spring: TorsionSpring) -> Tolerances:
    """Return wire as it is drawn and a careful winding by hand."""
    return Tolerances(
        wire_mm=diameter_tolerance_mm(wire_diameter_mm=spring.wire_diameter_mm),
        mean_diameter_mm=0.02 * spring.mean_diameter_mm,
    )


def chance_that_it_will_do(
    spring: TorsionSpring,
    *,
    demands: Demands,
    preload_deg: float,
    limit_mpa: float,
    tolerances: Tolerances,
    tried: int = 20_000,
    seed: int = 1,
) -> Chance:
    """Return the chance that a spring wound to these dimensions does what is demanded (Monte Carlo).

    Needed torque, stress limit, pin, outside and cheeks must all be met; the demands' margin is not asked for on
    top. The same seed gives the same answer.
    """
    made = np.random.default_rng(seed)
    d = spring.wire_diameter_mm + made.uniform(-1, 1, tried) * tolerances.wire_mm
    mean = spring.mean_diameter_mm + made.standard_normal(tried) * tolerances.mean_diameter_mm
    e = spring.modulus_mpa * (1 + made.standard_normal(tried) * tolerances.modulus_share)
    preload = (preload_deg + made.standard_normal(tried) * tolerances.leg_angle_deg) / 360
    # A leg standing further round is that much less of a turn in the body.
    body = spring.body_turns - (preload - preload_deg / 360)
    active = body + sum(spring.leg_lengths_mm) / (3 * math.pi * mean)
    rate = 360 * e * d**4 / (spring.constant.value * mean * active)
    wound = preload + demands.travel_deg / 360
    erected, folded = rate * preload, rate * wound
    index = mean / d
    factor = (4 * index**2 - index - 1) / (4 * index * (index - 1))
    weak = (erected < demands.erected_n_mm) | (folded < demands.folded_n_mm)
    strained = factor * 32 * folded / (math.pi * d**3) > limit_mpa
    tight = (
        (mean / (1 + wound / active) - d < demands.pin_mm)
        | (mean + d > demands.outside_mm)
        | (d * (body * (1 + wound / active) + 1) > demands.cheeks_mm)
    )
    good = float(np.mean(~(weak | strained | tight)))
    low, high = _wilson(good, tried)
    low_torque, mid, high_torque = (float(x) for x in np.percentile(erected, (5, 50, 95)))
    return Chance(
        will_do=good,
        low=low,
        high=high,
        too_weak=float(np.mean(weak)),
        over_stressed=float(np.mean(strained)),
        does_not_fit=float(np.mean(tight)),
        erected_n_mm=(low_torque, mid, high_torque),
        tried=tried,
    )


def _wilson(share: float, tried: int, z: float = 1.959964) -> tuple[float, float]:
    scale = 1 + z * z / tried
    centre = (share + z * z / (2 * tried)) / scale
    half = z / scale * math.sqrt(share * (1 - share) / tried + z * z / (4 * tried * tried))
    return max(0.0, centre - half), min(1.0, centre + half)
