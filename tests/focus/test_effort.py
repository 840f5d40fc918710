import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfound.focus.effort import Effort, effort_finding, outstanding
from asfound.problems import BadInputError

POSITIONS = tuple(float(p) for p in range(0, 100, 10))


def travel(force, surface="dry", ring="off", ways=("out", "in"), pull=0.0):
    """Readings of a force given as a number or as a function of the position, with a pull outwards."""
    at = force if callable(force) else lambda _: force
    sign = {"out": -pull, "in": pull}
    return [
        Effort(position=p, force_n=at(p) + sign[way], surface=surface, ring=ring, way=way)
        for p in POSITIONS
        for way in ways
    ]


def bump(position: float) -> float:
    return 1.8 if 40 <= position <= 60 else 1.0


def test_ring_on_less_ring_off_locates_a_rub_with_its_scuffs() -> None:
    found = effort_finding(readings=travel(bump, ring="on") + travel(1.0), u_force_n=0.05, scuffs=[37, 52, 80])
    (zone,) = found.rubs[0].zones
    assert (zone.first, zone.last) == (40, 60)
    assert zone.greatest_n == pytest.approx(0.8)
    assert zone.scuffs == (37, 52)
    assert found.advice.startswith("the ring rubs at 40 to 60 where scuffs are seen")


def test_a_bump_that_stays_with_the_ring_off_is_the_thread() -> None:
    found = effort_finding(readings=travel(bump, ring="on") + travel(bump), u_force_n=0.05)
    assert found.rubs[0].zones == ()
    assert [(zone.first, zone.last) for zone in found.stiff] == [(40, 60)]
    assert "the thread is stiff at 40 to 60" in found.advice


def test_stiffness_near_the_close_end_alone_is_commonly_accepted() -> None:
    found = effort_finding(readings=travel(lambda p: 2.0 if p >= 80 else 1.0), u_force_n=0.05)
    assert found.close_end_only
    assert "common practice, no source" in found.advice


def test_an_even_travel_is_even() -> None:
    found = effort_finding(readings=travel(1.0, ring="on") + travel(1.0), u_force_n=0.05)
    assert found.advice == "even over the whole travel"


def test_what_grease_gains_is_told() -> None:
    found = effort_finding(readings=travel(1.5) + travel(0.9, surface="greased"), u_force_n=0.05)
    assert found.grease_gain_n == pytest.approx(0.6)
    assert [(c.surface, c.ring) for c in found.curves] == [("dry", "off"), ("greased", "off")]


@given(st.floats(0.0, 0.9))
def test_a_pull_one_way_is_no_friction(pull: float) -> None:
    (curve,) = effort_finding(readings=travel(1.0, pull=pull), u_force_n=0.05).curves
    assert curve.force_n == pytest.approx([1.0] * 10)
    assert curve.way_n == pytest.approx([-pull] * 10)


def test_one_way_only_leaves_the_pull_unknown() -> None:
    (curve,) = effort_finding(readings=travel(1.0, ways=("out",)), u_force_n=0.05).curves
    assert all(math.isnan(value) for value in curve.way_n)
    assert curve.u_force_n == pytest.approx([0.05] * 10)


def test_repeats_are_averaged_and_their_uncertainty_with_them() -> None:
    (curve,) = effort_finding(readings=2 * travel(1.0), u_force_n=0.06).curves
    assert curve.u_force_n == pytest.approx([0.03] * 10)


def test_the_rub_is_as_uncertain_as_stated_and_seldom_seen_where_there_is_none() -> None:
    rng = np.random.default_rng(9)
    drawn, seen = [], 0
    for _ in range(400):
        readings = [
            Effort(
                position=r.position,
                force_n=r.force_n + rng.normal(0, 0.05),
                surface=r.surface,
                ring=r.ring,
                way=r.way,
            )
            for r in travel(1.0, ring="on") + travel(1.0)
        ]
        (rub,) = effort_finding(readings=readings, u_force_n=0.05).rubs
        drawn.extend(rub.rub_n)
        seen += bool(rub.zones)
    assert rub.u_rub_n[0] == pytest.approx(np.std(drawn), rel=0.03)
    assert seen / 400 == pytest.approx(0.05, abs=0.033)


def test_more_positions_must_stand_out_further() -> None:
    assert outstanding(12) > outstanding(6) > outstanding(1) == pytest.approx(1.645, abs=5e-4)


def test_too_few_positions_are_refused() -> None:
    with pytest.raises(BadInputError, match="too few"):
        effort_finding(readings=travel(1.0)[:10], u_force_n=0.05)


def test_ring_on_and_off_at_different_positions_cannot_be_compared() -> None:
    moved = [Effort(position=r.position + 5, force_n=1, surface="dry", ring="on", way=r.way) for r in travel(1.0)]
    with pytest.raises(BadInputError, match="same positions"):
        effort_finding(readings=moved + travel(1.0), u_force_n=0.05)


@pytest.mark.parametrize("force", [-0.1, math.nan])
def test_a_force_that_is_none_is_refused(force: float) -> None:
    with pytest.raises(BadInputError, match="is no force"):
        effort_finding(readings=travel(force), u_force_n=0.05)


def test_no_readings_are_refused() -> None:
    with pytest.raises(BadInputError, match="no readings"):
        effort_finding(readings=[], u_force_n=0.05)
