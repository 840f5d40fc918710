import numpy as np
import pytest

from asfound.problems import BadInputError
from asfound.shape import (
    Harmonic,
    PressMade,
    Profile,
    Scuff,
    learn,
    next_push_mm,
    overlay,
    press_places,
    profile,
    rub_in_ring,
    rub_on_pointer,
)

ANGLE = np.arange(0, 360, 0.5)


def oval(radius=10.0, amplitude=0.1, direction=30.0):
    return Profile(radius + amplitude * np.cos(2 * np.radians(ANGLE - direction)))


def test_an_oval_ring_rubs_a_pointer_at_its_long_ends():
    rub = rub_on_pointer(oval(), pointer_radius_mm=10.05, pointer_deg=90.0)
    assert rub.clearance_mm == pytest.approx(-0.05)
    assert rub.short_mm == pytest.approx(0.05)
    assert rub.place_deg % 180 == pytest.approx(30)
    assert (rub.place_deg + rub.turned_deg) % 360 == pytest.approx(90)
    # cos 2(t - 30) > 1/2 within 30 degrees either side of each end, worked by hand.
    assert rub.rubbing == (pytest.approx((0.5, 59.5), abs=0.6), pytest.approx((180.5, 239.5), abs=0.6))


def test_an_arc_over_the_first_direction_is_one_arc():
    rub = rub_on_pointer(oval(direction=0), pointer_radius_mm=10.05, pointer_deg=0)
    assert rub.rubbing[-1] == pytest.approx((330.5, 29.5), abs=0.6)
    assert len(rub.rubbing) == 2


def test_a_free_ring_is_short_of_nothing_unless_clearance_is_needed():
    assert rub_on_pointer(oval(), pointer_radius_mm=10.2, pointer_deg=0).short_mm == 0
    rub = rub_on_pointer(oval(), pointer_radius_mm=10.2, pointer_deg=0, needed_mm=0.15)
    assert rub.short_mm == pytest.approx(0.05)


def test_two_ovals_bind_when_crossed():
    inner, outer = oval(10, 0.1, 30), oval(10.15, 0.1, 75)
    rub = rub_in_ring(inner, outer)
    assert rub.clearance_mm == pytest.approx(0.15 - 0.2, abs=1e-4)
    assert (rub.place_deg + rub.turned_deg - 75 - 90) % 180 == pytest.approx(0, abs=0.5)
    naive = min(np.min(outer.radius_mm - np.roll(inner.radius_mm, k)) for k in range(len(ANGLE)))
    assert rub.clearance_mm == pytest.approx(naive)


def test_rings_that_touch_everywhere_rub_all_round():
    rub = rub_in_ring(oval(10, 0), oval(9.9, 0))
    assert rub.rubbing == ((0.0, 360.0),)


def test_profiles_with_other_steps_are_refused():
    with pytest.raises(BadInputError):
        rub_in_ring(oval(), Profile(np.full(90, 10.0)))


def test_profile_goes_straight_between_radii_and_over_the_turn():
    shape = profile(angle_deg=np.array([350.0, 110.0, 230.0]), radius_mm=np.array([10.0, 11.0, 12.0]), step_deg=1)
    assert shape.radius_mm[110] == pytest.approx(11)
    assert shape.radius_mm[50] == pytest.approx(10.5)
    assert shape.radius_mm[0] == pytest.approx(10 + 10 / 120)


def test_an_open_profile_is_refused():
    with pytest.raises(BadInputError, match="go round"):
        profile(angle_deg=np.array([0.0, 40, 90]), radius_mm=np.ones(3))


def test_scuffs_are_told_from_those_that_the_shape_explains():
    ring = oval(direction=30)
    rub = rub_on_pointer(ring, pointer_radius_mm=10.05, pointer_deg=0)
    expected, odd = overlay([Scuff(20, 40), Scuff(110, 130)], ring, rub)
    assert expected.rubs_there
    assert expected.deviation_mm == pytest.approx(0.1)
    assert not odd.rubs_there
    assert odd.deviation_mm < 0


def test_no_rub_explains_no_scuff():
    ring = oval()
    rub = rub_on_pointer(ring, pointer_radius_mm=11, pointer_deg=0)
    assert not overlay([Scuff(0, 359)], ring, rub)[0].rubs_there


def test_an_oval_is_pressed_in_at_its_ends_and_out_at_its_sides():
    places = press_places([Harmonic(2, 0.1, 30.0, None)])
    assert sorted((p.way, round(p.angle_deg)) for p in places) == [
        ("inwards", 30),
        ("inwards", 210),
        ("outwards", 120),
        ("outwards", 300),
    ]
    assert all(p.shortfall_mm == pytest.approx(0.1) for p in places)


def test_eccentricity_is_not_pressed_out():
    assert press_places([Harmonic(1, 0.5, 0.0, None)]) == ()


def test_what_is_allowed_to_stay_is_not_pressed():
    assert press_places([Harmonic(2, 0.1, 30.0, None)], allowed_mm=0.2) == ()
    assert press_places([Harmonic(2, 0.1, 30.0, None)], allowed_mm=0.04)[0].shortfall_mm == pytest.approx(0.06)


def test_spring_back_is_learned_from_presses():
    # A ring that springs back 0.4 mm and then keeps three quarters of the rest.
    made = [PressMade(pushed, max(0.0, 0.75 * (pushed - 0.4))) for pushed in (0.2, 0.5, 0.6, 0.8)]
    taught = learn(made)
    assert taught is not None
    assert taught.springs_back_mm == pytest.approx(0.4)
    assert taught.stays_share == pytest.approx(0.75)
    assert next_push_mm(0.3, taught, made) == pytest.approx(0.8)


def test_nothing_is_learned_from_one_press_and_the_next_goes_half_the_way():
    assert learn([PressMade(0.2, 0.0), PressMade(0.5, 0.1)]) is None
    assert next_push_mm(0.3, None, []) == pytest.approx(0.15)
    assert next_push_mm(0.3, None, [PressMade(0.2, 0.0)]) == pytest.approx(0.35)


def test_a_push_is_never_far_beyond_those_tried():
    made = [PressMade(0.5, 0.075), PressMade(0.6, 0.15)]
    assert next_push_mm(3.0, learn(made), made) == pytest.approx(0.9)
