"""Wire bent past yield, against the stress integrated over its section, and what follows: set and mandrel."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from asfound.springs.elastoplastic import (
    FULLY_PLASTIC,
    curvature_for_set,
    moment_share,
    set_share,
    yield_curvature,
)
from asfound.springs.torsion import CONSTANTS, TorsionSpring, wire_length
from asfound.springs.winding import mandrel_for, winding_sheet


def integrated(curvature_share):
    """Moment over yield moment by integrating stress over a round section of radius 1."""

    def part(y):
        return min(curvature_share * y, 1.0) * y * 2 * math.sqrt(1 - y * y)

    corner = min(1.0, 1 / curvature_share)
    total = quad(part, 0, corner)[0] + quad(part, corner, 1)[0]
    return 2 * total / (math.pi / 4)


@given(st.floats(0.05, 30))
def test_the_moment_is_the_integral_of_the_stress(share):
    assert moment_share(share) == pytest.approx(integrated(share), rel=1e-6)


def test_a_round_bar_carries_at_most_seventeen_tenths_of_its_yield_moment():
    # Shape factor of a solid round, 16/(3 pi) = 1.70 (textbook value, from memory).
    assert moment_share(1e6) == pytest.approx(FULLY_PLASTIC)
    assert pytest.approx(1.70, abs=0.005) == FULLY_PLASTIC


@given(st.floats(0.01, 20))
def test_bent_for_a_set_the_wire_keeps_that_set(kept):
    assert set_share(curvature_for_set(kept)) == pytest.approx(kept, rel=1e-9)


@given(st.floats(0, 1))
def test_below_yield_nothing_is_kept(share):
    assert set_share(share) == 0


SPRING = TorsionSpring(
    wire_diameter_mm=0.5,
    mean_diameter_mm=5,
    body_turns=6.25,
    leg_lengths_mm=(9, 11),
    modulus_mpa=203_400,
    constant=CONSTANTS["textbook"],
)


def wound_and_let_go(mandrel_mean, d, e, flow):
    """Free mean diameter of wire wound on a mandrel and let go, fibre by fibre."""
    y = np.linspace(-d / 2, d / 2, 20_001)
    width = 2 * np.sqrt(np.maximum((d / 2) ** 2 - y**2, 0))
    stress = np.clip(e * y * 2 / mandrel_mean, -flow, flow)
    moment = np.trapezoid(stress * y * width, y)
    inertia = np.trapezoid(y**2 * width, y)
    return 2 / (2 / mandrel_mean - moment / (e * inertia))


@pytest.mark.parametrize("flow", [2000, 2419, 2670])
def test_wire_wound_on_its_mandrel_springs_back_to_the_coil(flow):
    mandrel = mandrel_for(SPRING, flow_mpa=flow)
    mean = mandrel.diameter_mm + 0.5
    assert wound_and_let_go(mean, 0.5, 203_400, flow) == pytest.approx(5, rel=1e-4)
    # The wire keeps its length: turns wound on the smaller mean diameter open to the turns wanted.
    assert mandrel.turns_to_wind * mean == pytest.approx(6.25 * 5)


def test_stronger_wire_wants_a_thinner_mandrel():
    sheet = winding_sheet(SPRING, hand="right", tensile_mpa=2419, most_tensile_mpa=2670)
    assert sheet.mandrels[0].diameter_mm > sheet.mandrels[1].diameter_mm
    assert all(m.diameter_mm < 4.5 for m in sheet.mandrels)
    assert sheet.free_leg_angle_deg == pytest.approx(90)
    assert sheet.wire_length_mm == pytest.approx(wire_length(SPRING))
    assert sheet.cautions


@pytest.mark.parametrize(("hand", "side"), [("right", 1), ("left", -1)])
def test_the_drawing_is_true_to_scale_and_hand(hand, side):
    sheet = winding_sheet(SPRING, hand=hand, tensile_mpa=2419)
    lines = {line.name: line.points_mm for line in sheet.end_view}
    assert max(x for x, _ in lines["outside"]) == pytest.approx(2.75)
    assert max(x for x, _ in lines["bore"]) == pytest.approx(2.25)
    first, second = lines["first leg"], lines["second leg"]
    assert math.dist(*first) == pytest.approx(9)
    assert math.dist(*second) == pytest.approx(11)
    for foot, tip in (first, second):
        assert math.hypot(*foot) == pytest.approx(2.5)
        # Tangent: at right angles to the radius.
        assert foot[0] * (tip[0] - foot[0]) + foot[1] * (tip[1] - foot[1]) == pytest.approx(0, abs=1e-9)
    # 6.25 turns clockwise from the top end at the right; the other hand at the left.
    assert second[0] == pytest.approx((side * 2.5, 0), abs=1e-9)
    body = next(line for line in sheet.side_view if line.name == "body")
    assert max(x for x, _ in body.points_mm) == pytest.approx(0.5 * 7.25)
    assert sum(line.name == "turn" for line in sheet.side_view) == 6
    rising = next(line for line in sheet.side_view if line.name == "turn").points_mm
    assert (rising[0][0] - rising[1][0]) * side > 0


@given(st.floats(3, 20), st.floats(1000, 3000))
def test_every_coil_that_can_be_wound_has_a_mandrel(index, flow):
    coil = TorsionSpring(
        wire_diameter_mm=0.5,
        mean_diameter_mm=0.5 * index,
        body_turns=4,
        modulus_mpa=100_000,
        constant=CONSTANTS["bending"],
    )
    mandrel = mandrel_for(coil, flow_mpa=flow)
    assert 0.5 < mandrel.diameter_mm < 0.5 * (index - 1)
    assert mandrel.turns_to_wind > 4


def test_yield_curvature_is_where_the_outermost_fibre_yields():
    # Stress E y kappa at y = d/2.
    kappa = yield_curvature(wire_diameter_mm=0.5, yield_mpa=1900, modulus_mpa=203_400)
    assert 203_400 * 0.25 * kappa == pytest.approx(1900)
