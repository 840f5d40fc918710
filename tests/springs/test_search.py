"""The search for a new spring, against looking at every design."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from asfound.springs.choose import choose, design_curve, per_strut, steps, wire_choices
from asfound.springs.loaded import fit_problems, load_torsion
from asfound.springs.search import Demands, Grid, search
from asfound.springs.torsion import CONSTANTS, TorsionSpring
from asfound.springs.wire import MATERIALS, find_material, sold_sizes

WIRES, _ = wire_choices(MATERIALS, sold_sizes(thinnest_mm=0.25, thickest_mm=0.9))
DEMANDS = Demands(
    erected_n_mm=12.3,
    folded_n_mm=15.1,
    travel_deg=87.0,
    pin_mm=2.53,
    outside_mm=7.47,
    cheeks_mm=6.53,
    constant=CONSTANTS["textbook"],
)


def grid(wires, diameters=12, turns=8, preloads=20):
    return Grid(
        wires=tuple(wires),
        mean_diameters_mm=tuple(np.linspace(3.1, 7.3, diameters).tolist()),
        whole_turns=tuple(range(2, 2 + turns)),
        preloads_deg=tuple(np.linspace(11, 355, preloads).tolist()),
        erected_leg_angle_deg=70.0,
        leg_lengths_mm=(8.0, 12.0),
    )


def look_at_all(g, w):
    """Every design at once by the formulas as they stand in the books; -1 where one does not fit."""
    d = np.array([x.diameter_mm for x in g.wires])[:, None, None, None]
    e = np.array([x.modulus_mpa for x in g.wires])[:, None, None, None]
    limit = np.array([x.limit_mpa for x in g.wires])[:, None, None, None]
    mean = np.array(g.mean_diameters_mm)[None, :, None, None]
    preload = np.array(g.preloads_deg)[None, None, None, :] / 360
    body = np.array(g.whole_turns)[None, None, :, None] + g.erected_leg_angle_deg / 360 - preload
    active = body + sum(g.leg_lengths_mm) / (3 * np.pi * mean)
    rate = 360 * e * d**4 / (w.constant.value * mean * active)
    wound = preload + w.travel_deg / 360
    c = mean / d
    factor = (4 * c * c - c - 1) / (4 * c * (c - 1))
    stress = factor * 32 * rate * wound / (np.pi * d**3)
    rotation = wound * body / active
    bore = mean * body / (body + rotation) - d
    length = d * (body + 1 + rotation)
    margin = np.minimum(rate * preload / w.erected_n_mm, limit / stress)
    if w.folded_n_mm:
        margin = np.minimum(margin, rate * wound / w.folded_n_mm)
    good = (
        (c >= w.least_index)
        & (c <= w.most_index)
        & (mean + d <= w.outside_mm)
        & (bore >= w.pin_mm + w.clearance_mm)
        & (length <= w.cheeks_mm)
        & (body > 0)
        & (rate * preload <= w.most_erected_n_mm)
        & (rate * wound <= w.most_folded_n_mm)
    )
    return np.where(good, margin, -1.0).ravel()


def best_of(margins, keep, least=1.0):
    order = np.lexsort((np.arange(margins.size), -margins))[:keep]
    return [int(i) for i in order if margins[i] >= least]


def test_a_million_designs_are_ranked_as_if_each_had_been_looked_at():
    g = grid(WIRES[:50], diameters=25, turns=16, preloads=50)
    assert g.size == 1_000_000
    margins = look_at_all(g, DEMANDS)
    result = search(g, DEMANDS, keep=50)
    wanted = best_of(margins, 50)
    assert [one.place for one in result.found] == wanted
    assert [one.margin for one in result.found] == pytest.approx(margins[wanted].tolist(), rel=1e-12)
    assert result.space == g.size
    assert result.evaluated < g.size / 2


def test_pruning_changes_nothing_of_the_answer():
    g = grid(WIRES)
    assert search(g, DEMANDS, keep=30).found == search(g, DEMANDS, keep=30, prune=False).found


@settings(max_examples=25, deadline=None)
@given(
    need=st.floats(2, 40),
    folded=st.sampled_from([0.0, 20.0]),
    travel=st.floats(30, 150),
    pin=st.floats(1.5, 4),
    cheeks=st.floats(2, 9),
    most=st.sampled_from([float("inf"), 30.0]),
    keep=st.integers(1, 40),
)
def test_whatever_is_asked_the_best_designs_are_those_of_looking_at_all(need, folded, travel, pin, cheeks, most, keep):
    g = grid(WIRES[::5])
    w = replace(
        DEMANDS,
        erected_n_mm=need,
        folded_n_mm=folded,
        travel_deg=travel,
        pin_mm=pin,
        cheeks_mm=cheeks,
        most_erected_n_mm=most,
        most_folded_n_mm=most * 2,
    )
    margins = look_at_all(g, w)
    found = search(g, w, keep=keep).found
    assert [one.place for one in found] == best_of(margins, keep)


def test_the_best_of_each_wire_is_the_best_among_that_wires_own_designs():
    g = grid(WIRES[::4])
    margins = look_at_all(g, DEMANDS).reshape(len(g.wires), -1)
    found = search(g, DEMANDS, keep=1, each_wire=True).found
    expected = {i: row.max() for i, row in enumerate(margins) if row.max() >= 1}
    assert {one.wire: one.margin for one in found} == pytest.approx(expected, rel=1e-12)
    assert [one.margin for one in found] == sorted((one.margin for one in found), reverse=True)


def test_a_design_found_passes_the_same_checks_as_a_spring_typed_in():
    g = grid(WIRES)
    choice = choose(g, DEMANDS, keep=6)
    assert choice.designs
    for design in choice.designs:
        made = design.spring
        assert not fit_problems(
            made,
            torque_n_mm=design.folded_n_mm,
            pin_mm=DEMANDS.pin_mm,
            outside_mm=DEMANDS.outside_mm,
            between_cheeks_mm=DEMANDS.cheeks_mm,
        )
        loaded = load_torsion(made, torque_n_mm=design.folded_n_mm, material=find_material(design.material))
        assert loaded.angle_deg == pytest.approx(design.preload_deg + DEMANDS.travel_deg)
        # Over-stressed designs are refused: at or below the static limit, and so below tensile strength.
        assert loaded.stress_mpa <= loaded.limits.static_limit_mpa
        assert design.erected_n_mm >= DEMANDS.erected_n_mm
        assert design.margin == pytest.approx(
            min(
                design.erected_n_mm / DEMANDS.erected_n_mm,
                design.folded_n_mm / DEMANDS.folded_n_mm,
                loaded.limits.static_limit_mpa / loaded.stress_mpa,
            )
        )
        # The legs stand where the camera asks when wound by the preload.
        erected = made.body_turns + design.preload_deg / 360
        assert (erected * 360) % 360 == pytest.approx(g.erected_leg_angle_deg)
        assert design.cautions


def test_more_room_never_makes_the_best_spring_worse():
    g = grid(WIRES[::3])
    tight, loose = DEMANDS, replace(DEMANDS, cheeks_mm=9, outside_mm=8)
    assert search(g, loose, keep=1).found[0].margin >= search(g, tight, keep=1).found[0].margin


def test_where_nothing_fits_nothing_is_offered():
    assert search(grid(WIRES), replace(DEMANDS, erected_n_mm=500), keep=5).found == ()


def test_wire_without_listed_strength_is_left_out_and_named():
    wires, missing = wire_choices([find_material("EN SM")], sold_sizes(thickest_mm=0.4))
    assert [w.diameter_mm for w in wires] == [0.30, 0.35, 0.40]
    assert "EN SM 0.25 mm" in missing


def test_gauge_sizes_are_offered_in_music_wire_only():
    wires, _ = wire_choices(MATERIALS, sold_sizes())
    assert {w.material for w in wires if w.label.startswith("music wire")} == {"music wire"}


def test_steps_reach_their_end_without_drift():
    assert steps(0.1, 1.0, 0.1)[-1] == pytest.approx(1.0)
    assert len(steps(0.1, 1.0, 0.1)) == 10


def test_two_struts_share_a_need_unlike_if_so_wished():
    first, second = per_strut(DEMANDS, share=0.6), per_strut(DEMANDS, share=0.4)
    assert first.erected_n_mm + second.erected_n_mm == pytest.approx(DEMANDS.erected_n_mm)


def test_the_curve_of_a_design_runs_from_erected_to_folded():
    design = choose(grid(WIRES), DEMANDS, keep=1).designs[0]
    curve = design_curve(design)
    assert curve.angles_deg == (0.0, DEMANDS.travel_deg)
    assert curve.torques_n_mm == (design.erected_n_mm, design.folded_n_mm)
    assert isinstance(design.spring, TorsionSpring)
