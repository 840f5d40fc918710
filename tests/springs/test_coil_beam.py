"""A coil solved numerically as a chain of straight beam elements, against the formulas for rate and legs."""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.sparse import lil_matrix
from scipy.sparse.linalg import spsolve

from asfound.springs.torsion import CONSTANTS, TorsionSpring, active_turns, rate_of

D, E = 0.5, 203_400.0
AREA, INERTIA = math.pi * D**2 / 4, math.pi * D**4 / 64


def frame_stiffness(start, end):
    """Stiffness in the plane of a straight beam between two points (Euler and Bernoulli's beam)."""
    along = np.subtract(end, start)
    length = float(np.hypot(*along))
    c, s = along / length
    axial, shear = E * AREA / length, 12 * E * INERTIA / length**3
    couple, far, near = 6 * E * INERTIA / length**2, 2 * E * INERTIA / length, 4 * E * INERTIA / length
    local = np.array(
        [
            [axial, 0, 0, -axial, 0, 0],
            [0, shear, couple, 0, -shear, couple],
            [0, couple, near, 0, -couple, far],
            [-axial, 0, 0, axial, 0, 0],
            [0, -shear, -couple, 0, shear, -couple],
            [0, couple, far, 0, -couple, near],
        ]
    )
    turn = np.zeros((6, 6))
    turn[:3, :3] = turn[3:, 3:] = [[c, s, 0], [-s, c, 0], [0, 0, 1]]
    return turn.T @ local @ turn


def solve(points, loads, held):
    """Return displacements (x, y, rotation at each point) of a chain of beams."""
    size = 3 * len(points)
    stiffness = lil_matrix((size, size))
    for i in range(len(points) - 1):
        part = slice(3 * i, 3 * i + 6)
        stiffness[part, part] += frame_stiffness(points[i], points[i + 1])
    force = np.zeros(size)
    for place, value in loads.items():
        force[place] = value
    free = np.array([i for i in range(size) if i not in held])
    moved = np.zeros(size)
    moved[free] = spsolve(stiffness.tocsc()[free][:, free], force[free])
    return moved


def coil(mean, turns, per_turn=120):
    angles = np.linspace(0, 2 * math.pi * turns, int(per_turn * turns) + 1)
    return np.column_stack([mean / 2 * np.cos(angles), mean / 2 * np.sin(angles)])


@pytest.mark.parametrize("turns", [2, 4.25])
def test_a_coil_under_an_even_moment_turns_as_pure_bending_says(turns):
    points = coil(5.0, turns)
    moment, last = 1.0, 3 * len(points) - 1
    turned = solve(points, {last: moment}, held={0, 1, 2})[last]
    spring = TorsionSpring(
        wire_diameter_mm=D, mean_diameter_mm=5.0, body_turns=turns, modulus_mpa=E, constant=CONSTANTS["bending"]
    )
    # Chords are shorter than the arc by 1 in 9000 at 120 to the turn.
    assert moment / turned * 2 * math.pi == pytest.approx(rate_of(spring), rel=5e-4)


def test_a_leg_bends_like_a_third_of_its_length_of_coil():
    # A radial pair of hands on the coil would need contact; the leg alone on its clamped root is the case of the
    # formula: force at its end, its angle reckoned from root to tip.
    length, mean = 12.0, 4.0
    points = np.column_stack([np.linspace(0, length, 40), np.zeros(40)])
    moment = 1.0
    tip = 3 * len(points) - 2
    moved = solve(points, {tip: moment / length}, held={0, 1, 2})[tip]
    as_turns = active_turns(body_turns=0, mean_diameter_mm=mean, leg_lengths_mm=(length,))
    one_turn = moment * math.pi * mean / (E * INERTIA)
    assert moved / length == pytest.approx(as_turns * one_turn, rel=1e-6)


def test_a_wound_coil_keeps_its_wire_and_shrinks_as_reckoned():
    # Large rotations: curvature grows by M/(EI) everywhere; the bent line is integrated from its curvature.
    mean, turns, moment = 5.0, 6.0, 25.0
    curvature = 2 / mean + moment / (E * INERTIA)
    length = math.pi * mean * turns
    line = solve_ivp(
        lambda s, y: [math.cos(y[2]), math.sin(y[2]), curvature],
        (0, length),
        [0.0, 0.0, 0.0],
        rtol=1e-10,
        atol=1e-10,
        dense_output=True,
    )
    x, y = line.sol(np.linspace(0, length, 4000))[:2]
    across = y.max() - y.min()
    rotation = (line.y[2, -1] - 2 * math.pi * turns) / (2 * math.pi)
    spring = TorsionSpring(
        wire_diameter_mm=D, mean_diameter_mm=mean, body_turns=turns, modulus_mpa=E, constant=CONSTANTS["bending"]
    )
    assert rotation == pytest.approx(moment / rate_of(spring), rel=1e-8)
    assert across == pytest.approx(mean * turns / (turns + rotation), rel=1e-5)
    assert x.max() - x.min() == pytest.approx(across, rel=1e-4)
