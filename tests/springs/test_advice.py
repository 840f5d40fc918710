"""One weak spring, and everything that can be done about it."""

from dataclasses import replace

import numpy as np
import pytest

from asfound.quantity import Reading
from asfound.springs.advice import SpringInPlace, least_reforming, least_sleeve, propose, propose_for_lost
from asfound.springs.choose import wire_choices
from asfound.springs.drawer import StockSpring
from asfound.springs.search import Demands, Grid
from asfound.springs.torsion import CONSTANTS, TorsionSpring, rate_of
from asfound.springs.wire import find_material, sold_sizes

MUSIC = find_material("music wire")
SPRING = TorsionSpring(
    wire_diameter_mm=0.5,
    mean_diameter_mm=5,
    body_turns=6,
    leg_lengths_mm=(10, 10),
    modulus_mpa=203_400,
    constant=CONSTANTS["textbook"],
)


def torque(value, u=0.1):
    return Reading(value=value, unit="N·mm", standard_uncertainty=u)


# An invented folding camera: 60 degrees of travel, 36.6 N mm a turn.
PLACE = SpringInPlace(spring=SPRING, material=MUSIC, erected=torque(8.0), folded=torque(14.1))
DEMANDS = Demands(erected_n_mm=1, travel_deg=60, pin_mm=3.2, outside_mm=7, cheeks_mm=6, constant=CONSTANTS["textbook"])
WIRES, _ = wire_choices([MUSIC], sold_sizes(thinnest_mm=0.4, thickest_mm=0.8))
GRID = Grid(
    wires=WIRES,
    mean_diameters_mm=tuple(np.linspace(4, 6, 21).tolist()),
    whole_turns=tuple(range(2, 12)),
    preloads_deg=tuple(range(10, 360, 10)),
    erected_leg_angle_deg=100,
    leg_lengths_mm=(10, 10),
)
DONOR = StockSpring(
    name="P7",
    wire_diameter_mm=0.5,
    outside_diameter_mm=5.5,
    body_turns=5.9,
    leg_lengths_mm=(12, 12),
    hand="right",
    material="music wire",
)


def names(needed, **change):
    proposals = propose(PLACE, needed_n_mm=needed, demands=DEMANDS, grid=GRID, drawer=(DONOR,), **change)
    return [p.remedy.name for p in proposals], proposals


def test_a_spring_that_holds_with_margin_is_left_alone():
    found, _ = names(5.0)
    assert found[0] == "leave it"


def test_a_weak_one_is_helped_by_the_drawer_first_and_leaving_it_comes_last_or_fails():
    found, proposals = names(8.5)
    assert found[0].startswith("from the drawer: P7")
    leave = next(p for p in proposals if p.remedy.name == "leave it")
    assert leave.remedy.verdict == "outside"
    for proposal in proposals:
        if proposal.remedy.verdict == "within":
            assert proposal.remedy.margin >= 1.3 - 1e-9
        if proposal.remedy.name != "leave it":
            assert proposal.remedy.cautions
            assert len(proposal.curves) >= 2
            assert proposal.curves[0].name == "as found"


def test_for_a_lost_spring_the_same_of_the_drawer_and_new_ones_are_offered_and_nothing_is_done_to_the_old():
    _, weak = names(8.5)
    lost = propose_for_lost(needed_n_mm=8.5, demands=DEMANDS, grid=GRID, hand="right", drawer=(DONOR,))
    new = {p.remedy.name: p.remedy.margin for p in weak if p.remedy.name.startswith(("from the drawer", "wind new"))}
    assert {p.remedy.name: p.remedy.margin for p in lost} == new
    for proposal in lost:
        assert "taken out" not in proposal.remedy.risk_words
        assert [curve.name for curve in proposal.curves] != ["as found"]


def test_for_a_lost_spring_one_of_the_other_hand_is_not_offered():
    lost = propose_for_lost(needed_n_mm=8.5, demands=DEMANDS, grid=GRID, hand="left", drawer=(DONOR,))
    assert not [p for p in lost if p.remedy.name.startswith("from the drawer")]


def test_the_least_forming_is_just_enough():
    reformed = least_reforming(PLACE, way="legs", wanted_n_mm=11.0, most_deg=90)
    # 3 N mm at 36.6 a turn is 29.5 degrees.
    assert reformed.formed_deg == pytest.approx(360 * 3 / rate_of(SPRING), abs=1)
    assert reformed.erected_n_mm >= 11.0


def test_where_forming_cannot_reach_what_is_wanted_the_most_it_can_is_shown():
    reformed = least_reforming(PLACE, way="legs", wanted_n_mm=50.0, most_deg=90)
    assert reformed.erected_n_mm < 50
    assert reformed.erected_n_mm > 8


def test_a_sleeve_is_the_one_that_strains_least_folded():
    sleeve = least_sleeve(PLACE, arbor_mm=3.2, wanted_n_mm=8.5, travel_deg=60)
    assert sleeve is not None
    assert sleeve.erected_n_mm >= 8.5
    harder = least_sleeve(PLACE, arbor_mm=3.2, wanted_n_mm=9.5, travel_deg=60)
    assert harder.folded_n_mm >= sleeve.folded_n_mm


def test_a_measured_rate_outweighs_the_dimensions():
    soft = replace(PLACE, rate_n_mm_per_turn=rate_of(SPRING) / 2)
    needs_more = least_reforming(soft, way="legs", wanted_n_mm=9.0, most_deg=90)
    assert needs_more.formed_deg == pytest.approx(
        2 * least_reforming(PLACE, way="legs", wanted_n_mm=9.0, most_deg=90).formed_deg, abs=1
    )
    assert needs_more.gain_n_mm >= 1.0


def test_without_a_drawer_and_room_only_what_is_there_is_worked_on():
    cramped = replace(DEMANDS, outside_mm=3.4)
    proposals = propose(PLACE, needed_n_mm=8.5, demands=cramped, grid=GRID)
    assert not any(p.remedy.name.startswith(("wind", "from the drawer")) for p in proposals)
