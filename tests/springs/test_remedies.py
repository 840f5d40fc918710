"""Re-forming, sleeves, the drawer, the chance of a made spring, and their order."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from asfound.quantity import Reading
from asfound.springs.chance import Tolerances, chance_that_it_will_do, usual_tolerances
from asfound.springs.choose import choose, wire_choices
from asfound.springs.drawer import StockSpring, look_through, read_drawer
from asfound.springs.hold import judge_hold
from asfound.springs.reform import reform
from asfound.springs.remedies import (
    from_design,
    from_drawer,
    from_reforming,
    from_sleeve,
    leave_it,
    rank_remedies,
)
from asfound.springs.search import Demands, Grid
from asfound.springs.sleeve import sleeved
from asfound.springs.torsion import CONSTANTS, TorsionSpring, rate_of, turns_of
from asfound.springs.wire import find_material, sold_sizes

SPRING = TorsionSpring(
    wire_diameter_mm=0.5,
    mean_diameter_mm=5,
    body_turns=6,
    leg_lengths_mm=(10, 10),
    modulus_mpa=203_400,
    constant=CONSTANTS["textbook"],
)


def formed(**change):
    given_ = {
        "way": "legs",
        "formed_deg": 30.0,
        "rate_n_mm_per_turn": 36.0,
        "erected_n_mm": 8.0,
        "folded_n_mm": 14.0,
        "stress_per_torque": 88.0,
        "yield_mpa": 1887.0,
        "body_turns": 6.0,
        "mean_diameter_mm": 5.0,
    }
    return reform(**(given_ | change))


def test_bending_the_legs_gains_the_same_torque_everywhere():
    # 30 of 360 degrees of 36 N mm a turn.
    found = formed()
    assert found.gain_n_mm == pytest.approx(3.0)
    assert (found.erected_n_mm, found.folded_n_mm) == pytest.approx((11, 17))
    assert found.takes_set == "within"
    assert found.new_set_deg == 0
    assert any("heating wire" in caution for caution in found.cautions)


def test_past_yield_part_of_it_is_taken_back():
    found = formed(formed_deg=120.0)
    assert found.stress_folded_mpa == pytest.approx(26 * 88)
    assert found.takes_set == "outside"
    assert 0 < found.new_set_deg < 120
    assert 0 < found.remaining_gain_n_mm < found.gain_n_mm
    curves = {curve.name: curve for curve in found.curves}
    assert curves["after the first folding"].torques_n_mm[0] == pytest.approx(found.erected_n_mm)


@given(st.floats(1, 300), st.floats(1, 300))
def test_forming_further_never_leaves_less_torque_folded(a, b):
    less, more = (formed(formed_deg=x) for x in sorted((a, b)))
    assert more.folded_n_mm >= less.folded_n_mm - 1e-9


@given(st.floats(1, 300))
def test_opening_the_coil_keeps_the_wire_and_so_the_rate(by):
    found = formed(way="coil", formed_deg=by)
    assert found.body_turns == pytest.approx(6 - by / 360)
    assert found.body_turns * found.mean_diameter_mm == pytest.approx(30)


def test_without_known_strength_the_new_set_is_left_open():
    assert formed(yield_mpa=None).takes_set == "cannot tell"


def test_a_spring_that_carries_more_than_it_can_was_mismeasured():
    found = formed(folded_n_mm=22.0)
    assert found.takes_set == "cannot tell"
    assert "mismeasured" in found.words


def sleeve(**change):
    given_ = {
        "sleeve_mm": 4.25,
        "covered_turns": 3.0,
        "arbor_mm": 3.2,
        "erected_deg": 150.0,
        "folded_deg": 200.0,
    }
    return sleeved(SPRING, **(given_ | change))


def test_a_sleeve_takes_turns_out_and_stiffens_the_rest():
    found, problems = sleeve()
    assert not problems
    # Grips where D' - d is the sleeve: 6 (5/4.75 - 1) body turns, with the legs' share on top.
    binds = 6 * (5 / 4.75 - 1) * turns_of(SPRING) / 6 * 360
    assert found.binds_at_deg == pytest.approx(binds)
    shorter = replace(SPRING, body_turns=3.0)
    assert found.rate_after_n_mm_per_turn == pytest.approx(rate_of(shorter))
    by_hand = (rate_of(SPRING) * binds + rate_of(shorter) * (150 - binds)) / 360
    assert found.erected_n_mm == pytest.approx(by_hand)
    assert found.gain_folded_n_mm > found.gain_erected_n_mm > 0


@given(st.floats(3.3, 4.4), st.floats(0.5, 4), st.floats(100, 160))
def test_a_sleeve_never_weakens(size, covered, angle):
    found, problems = sleeve(sleeve_mm=size, covered_turns=covered, erected_deg=angle, folded_deg=angle + 20)
    if problems:
        assert found is None
        return
    assert found.gain_erected_n_mm >= 0
    assert found.gain_folded_n_mm >= found.gain_erected_n_mm
    assert found.remaining_clearance_mm >= 0


def test_a_sleeve_too_large_or_under_all_turns_or_binding_below_is_refused():
    assert "between arbor" in sleeve(sleeve_mm=4.6)[1][0].what
    assert "past binding" in sleeve(covered_turns=6)[1][0].what
    assert "grip the arbor" in sleeve(arbor_mm=4.1, covered_turns=5, folded_deg=260)[1][0].what


def test_a_sleeve_never_reached_says_so():
    assert "changes nothing" in sleeve(sleeve_mm=3.5)[0].words


DEMANDS = Demands(
    erected_n_mm=10,
    travel_deg=60,
    pin_mm=3.2,
    outside_mm=7,
    cheeks_mm=6,
    constant=CONSTANTS["textbook"],
)
HEAD = "name,wire,outside diameter,turns,leg 1,leg 2,hand,material,from\n"


def test_a_drawer_is_read_line_by_line():
    text = HEAD + "A1,0.5mm,5.5,6.25,10,12,right,,old shutter\nB2,20thou,0.22in,4,8mm,8mm,Left,EN SM,\n"
    stock, problems = read_drawer(text)
    assert not problems
    assert stock[0].donor == "old shutter"
    assert stock[0].material == "music wire"
    assert stock[1].wire_diameter_mm == pytest.approx(0.508)
    assert stock[1].outside_diameter_mm == pytest.approx(5.588)
    assert stock[1].hand == "left"


def test_what_is_wrong_in_a_drawer_is_named_with_its_line():
    text = HEAD + "A1,x,5.5,6,10,12,right,,\nB,0.5,5.5,6,10,12,up,,\nC,2,5,6,10,10,left,,\nD,0.5,5.5,6,9,9,left,tin,\n"
    stock, problems = read_drawer(text)
    assert not stock
    assert [p.where for p in problems] == ["line 2, wire", "line 3, hand", "line 4", "line 5, material"]
    assert read_drawer("")[1]
    assert "outside diameter" in read_drawer("name,wire\n")[1][0].what


def stock(name="A", turns=6.0, hand="right", legs=(12.0, 12.0), wire=0.5):
    return StockSpring(
        name=name,
        wire_diameter_mm=wire,
        outside_diameter_mm=5.5,
        body_turns=turns,
        leg_lengths_mm=legs,
        hand=hand,
        material="music wire",
    )


def look(*springs, demands=DEMANDS):
    return look_through(springs, demands, hand="right", erected_leg_angle_deg=100, leg_lengths_mm=(10, 10))


def test_a_spring_that_will_do_as_it_is_comes_before_one_to_be_worked_on():
    fits = look(stock("long", turns=14), stock("legs", turns=6.3), stock("fits", turns=6.0))
    assert [(f.stock.name, f.way) for f in fits] == [("fits", "as it is"), ("legs", "re-legged"), ("long", "cut down")]
    # As it is: its legs stand together free and at 100 degrees erected, so it is wound by 100.
    assert fits[0].found.preload_deg == pytest.approx(100)
    assert fits[0].found.body_turns == pytest.approx(6)
    assert fits[2].found.body_turns < 14


def test_the_hand_must_close_the_coil():
    fit = look(stock(hand="left"))[0]
    assert fit.found is None
    assert "open the coil" in fit.why


def test_a_leg_too_short_is_made_from_the_coil():
    fit = look(stock(turns=6.9, legs=(4, 4)))[0]
    assert fit.way == "cut down"
    assert fit.found.body_turns <= 6.9 - 12 / (math.pi * 5.0)


def test_a_drawer_spring_too_weak_is_not_offered():
    assert look(stock(wire=0.2))[0].found is None


WIRES, _ = wire_choices([find_material("music wire")], sold_sizes(thinnest_mm=0.4, thickest_mm=0.8))
GRID = Grid(
    wires=WIRES,
    mean_diameters_mm=tuple(np.linspace(4, 6, 21).tolist()),
    whole_turns=tuple(range(2, 12)),
    preloads_deg=tuple(range(10, 360, 10)),
    erected_leg_angle_deg=100,
    leg_lengths_mm=(10, 10),
)
DESIGN = choose(GRID, DEMANDS, keep=1).designs[0]


def chance(demands=DEMANDS, **change):
    given_ = {
        "demands": demands,
        "preload_deg": DESIGN.preload_deg,
        "limit_mpa": DESIGN.folded.limits.static_limit_mpa,
        "tolerances": usual_tolerances(DESIGN.spring),
    }
    return chance_that_it_will_do(DESIGN.spring, **(given_ | change))


def test_a_spring_made_exactly_surely_does_what_it_was_chosen_for():
    exact = Tolerances(wire_mm=0, mean_diameter_mm=0, leg_angle_deg=0, modulus_share=0)
    found = chance(tolerances=exact)
    assert found.will_do == 1
    assert found.erected_n_mm[1] == pytest.approx(DESIGN.erected_n_mm)


def test_the_chance_agrees_with_the_normal_law_where_one_thing_varies():
    # Only the modulus varies: torque is then normal; the need put one deviation below gives 84.13 %.
    share = 0.02
    only = Tolerances(wire_mm=0, mean_diameter_mm=0, leg_angle_deg=0, modulus_share=share)
    roomy = replace(DEMANDS, erected_n_mm=DESIGN.erected_n_mm * (1 - share))
    found = chance(roomy, tolerances=only, limit_mpa=1e9)
    assert found.will_do == pytest.approx(0.8413, abs=0.01)
    assert found.low < 0.8413 < found.high


def test_torque_scatters_four_times_as_much_as_the_wire():
    # First order (JCGM 100:2008, 5.1.2): an even distribution of half-width a has deviation a/sqrt(3).
    only = Tolerances(wire_mm=0.004, mean_diameter_mm=0, leg_angle_deg=0, modulus_share=0)
    found = chance(tolerances=only)
    d = DESIGN.spring.wire_diameter_mm
    # From 5 to 95 % an even distribution spans 0.9 of its whole width.
    spread = (found.erected_n_mm[2] - found.erected_n_mm[0]) / found.erected_n_mm[1]
    assert spread == pytest.approx(4 * 0.9 * 2 * 0.004 / d, rel=0.02)


def test_the_shares_of_failures_cover_what_fails():
    found = chance(replace(DEMANDS, erected_n_mm=DESIGN.erected_n_mm))
    assert 1 - found.will_do <= found.too_weak + found.over_stressed + found.does_not_fit + 1e-12
    assert found.too_weak == pytest.approx(0.5, abs=0.1)
    assert chance() == chance()


def everything(margin_now):
    now = DEMANDS.erected_n_mm * margin_now
    holding = judge_hold(
        position="erected",
        needed_n_mm=DEMANDS.erected_n_mm,
        springs=[Reading(value=now, unit="N·mm", standard_uncertainty=0.1)],
    )
    need = DEMANDS.erected_n_mm
    reformed = formed(formed_deg=60.0)
    collar, _ = sleeve()
    return [
        from_design(DESIGN, needed_n_mm=need, now_n_mm=now, chance=0.95),
        from_sleeve(collar, needed_n_mm=need, now_n_mm=now, stress_over_yield=0.9),
        from_reforming(reformed, needed_n_mm=need, now_n_mm=now),
        from_drawer(look(stock("fits"))[0], needed_n_mm=need, now_n_mm=now),
        leave_it(holding),
    ]


def test_a_spring_that_holds_is_left_alone_first_of_all():
    assert rank_remedies(everything(1.5))[0].name == "leave it"


def test_a_weak_spring_is_replaced_from_the_drawer_before_anything_is_bent_or_wound():
    ranked = rank_remedies(everything(0.8))
    assert ranked[0].name.startswith("from the drawer")
    assert ranked[-1].name == "leave it" or ranked[-1].verdict == "outside"
    verdicts = [remedy.verdict for remedy in ranked]
    assert verdicts == sorted(verdicts, key=["within", "cannot tell", "outside"].index)


def test_everything_that_proposes_work_brings_its_caution():
    for remedy in everything(0.8):
        assert bool(remedy.cautions) == (remedy.name != "leave it")
        if remedy.cautions:
            assert "eye protection" in remedy.cautions[0]


def test_a_spring_that_cannot_be_used_is_no_remedy():
    assert from_drawer(look(stock(hand="left"))[0], needed_n_mm=5, now_n_mm=5) is None


@settings(max_examples=20)
@given(st.permutations(range(5)))
def test_the_order_does_not_depend_on_how_they_came(order):
    all_ = everything(0.8)
    assert rank_remedies([all_[i] for i in order]) == rank_remedies(all_)
