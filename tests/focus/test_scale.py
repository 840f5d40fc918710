import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfound.focus.budget import coverage_factor, depth_of_field, focus_budget
from asfound.focus.extension import extension_for_distance
from asfound.focus.focusing import FrontFocusing, UnitFocusing
from asfound.focus.front_cell import two_groups
from asfound.focus.scale import engraved_angle, fit_scale, lead_from_scale, rotation_for_extension
from asfound.problems import BadInputError

LENS = UnitFocusing(focal_length_mm=75)
FROM_LENS = UnitFocusing(focal_length_mm=75, origin="lens")
DISTANCES = (math.inf, 10_000, 5000, 3000, 2000, 1500, 1000)


def engraved(lead: float, zero: float, f: float = 75.0) -> list[tuple[float, float]]:
    return [(s, zero + 360 * extension_for_distance(focal_length_mm=f, distance_mm=s) / lead) for s in DISTANCES]


def test_a_lens_of_eighty_at_two_metres_turns_a_hundred_degrees() -> None:
    # f 80, u 2 m, lead 12: by arithmetic exactly 100 degrees.
    assert engraved_angle(
        focusing=UnitFocusing(focal_length_mm=80, origin="lens"), distance_mm=2000, lead_mm=12
    ) == pytest.approx(100)


def test_twelve_degrees_on_four_starts_of_three_quarters_is_a_tenth() -> None:
    # Axial travel = starts x pitch x angle / 360: a thread's definition; arithmetic.
    assert rotation_for_extension(extension_mm=0.1, lead_mm=4 * 0.75) == pytest.approx(12)


@given(st.floats(5, 40), st.floats(1000, 20_000))
def test_the_lead_comes_back_from_its_own_scale(lead: float, distance: float) -> None:
    angle = engraved_angle(focusing=LENS, distance_mm=distance, lead_mm=lead)
    assert lead_from_scale(focusing=LENS, distance_mm=distance, angle_deg=angle) == pytest.approx(lead)


@given(st.floats(5, 40), st.floats(-180, 180), st.sampled_from([1, -1]))
def test_a_true_scale_gives_its_lead_and_zero_and_no_errors(lead, zero, way) -> None:
    found = fit_scale(focusing=LENS, marks=engraved(way * lead, zero), u_angle_deg=0.5)
    assert found.lead.value == pytest.approx(way * lead, rel=1e-6)
    assert found.offset.value == pytest.approx(zero, abs=1e-6)
    assert all(abs(mark.error.value) < 1e-6 for mark in found.marks)


def test_the_lead_and_the_offset_are_as_uncertain_as_stated() -> None:
    rng = np.random.default_rng(11)
    stated = fit_scale(focusing=LENS, marks=engraved(12, 3), u_angle_deg=1.0, u_focal_length_mm=0.5)
    leads, offsets = [], []
    for _ in range(2000):
        f = 75 + rng.normal(0, 0.5)
        marks = [(s, angle + rng.normal(0, 1.0)) for s, angle in engraved(12, 3, f)]
        found = fit_scale(focusing=LENS, marks=marks, u_angle_deg=1.0)
        leads.append(found.lead.value)
        offsets.append(found.offset.value)
    assert stated.lead.standard_uncertainty == pytest.approx(np.std(leads), rel=0.05)
    assert stated.offset.standard_uncertainty == pytest.approx(np.std(offsets), rel=0.05)


def test_the_scatter_alone_covers_the_true_lead_as_often_as_it_says() -> None:
    rng = np.random.default_rng(12)
    hits = 0
    for _ in range(1000):
        marks = [(s, angle + rng.normal(0, 1.0)) for s, angle in engraved(12, 3)]
        lead = fit_scale(focusing=LENS, marks=marks).lead
        hits += abs(lead.value - 12) <= coverage_factor(lead.degrees_of_freedom) * lead.standard_uncertainty
    assert 925 <= hits <= 975


def test_a_pointer_that_slipped_shows_at_every_mark_once_infinity_is_known() -> None:
    budget = focus_budget(f_number=3.5, circle_mm=0.05)
    found = fit_scale(
        focusing=LENS,
        marks=engraved(12, 8),
        lead_mm=12,
        infinity_deg=0,
        u_angle_deg=0.3,
        budget=budget,
    )
    assert [mark.error.value for mark in found.marks] == pytest.approx([12 * 8 / 360] * len(DISTANCES))
    assert {mark.verdict for mark in found.marks} == {"outside"}
    assert found.marks[0].depths == pytest.approx(12 * 8 / 360 / 0.175)


def test_one_depth_off_is_the_edge_of_the_depth_of_field() -> None:
    # Set to 3 m, a subject at Ray's far limit is just at the edge of sharpness; likewise at the near one.
    budget = focus_budget(f_number=3.5, circle_mm=0.05)
    field = depth_of_field(focal_length_mm=75, f_number=3.5, circle_mm=0.05, distance_mm=3000)
    angle = engraved_angle(focusing=FROM_LENS, distance_mm=3000, lead_mm=12)
    marks = [(field.far_mm, angle), (field.near_mm, angle + 1e-9)]
    found = fit_scale(focusing=FROM_LENS, marks=marks, lead_mm=12, infinity_deg=0, budget=budget)
    assert [mark.depths for mark in found.marks] == pytest.approx([1, -1], rel=1e-6)


def test_a_mark_says_what_is_truly_sharp_there() -> None:
    marks = [*engraved(12, 0)[:-1], (1000, engraved_angle(focusing=LENS, distance_mm=1100, lead_mm=12))]
    found = fit_scale(focusing=LENS, marks=marks, lead_mm=12, infinity_deg=0)
    assert found.marks[-1].sharp_at_mm == pytest.approx(1100)
    assert found.marks[-1].verdict is None


def test_a_mark_in_the_wrong_place_is_more_than_the_readings_explain() -> None:
    marks = engraved(12, 0)
    marks[3] = (marks[3][0], marks[3][1] + 8)
    assert fit_scale(focusing=LENS, marks=marks, u_angle_deg=0.5).consistent is False
    assert fit_scale(focusing=LENS, marks=engraved(12, 0), u_angle_deg=0.5).consistent is True


def test_the_scale_of_a_front_cell_gives_its_lead_and_its_image_errors(trace) -> None:
    # Positions of the cell and its image by a traced ray: no formula of front-cell focusing is used.
    groups = two_groups(front_mm=40, rear_mm=-120, separation_mm=10)
    lens, film = FrontFocusing(groups=groups), groups.back_focal_mm
    marks = [(s, 360 * lens.travel_for(s) / 3) for s in DISTANCES]
    assert fit_scale(focusing=lens, marks=marks).lead.value == pytest.approx(3)
    slipped = [(s, angle + 4) for s, angle in marks]
    found = fit_scale(focusing=lens, marks=slipped, lead_mm=3, infinity_deg=0)
    for mark in found.marks:
        front = -10 - 3 * mark.angle_deg / 360
        image = trace([(front, 40), (0, -120)], film - mark.engraved_mm)
        assert mark.error.value == pytest.approx(film - image, rel=0.01)
        sharp = trace([(front, 40), (0, -120)], film - mark.sharp_at_mm)
        assert sharp == pytest.approx(film, abs=1e-6)


def test_a_lead_of_zero_is_refused() -> None:
    with pytest.raises(BadInputError, match="lead"):
        fit_scale(focusing=LENS, marks=engraved(12, 0), lead_mm=0.0)


def test_angles_all_alike_are_refused() -> None:
    with pytest.raises(BadInputError, match="all angles are alike"):
        fit_scale(focusing=LENS, marks=[(math.inf, 5.0), (2000, 5.0)])


def test_a_mark_nearer_than_the_lens_allows_is_refused() -> None:
    with pytest.raises(BadInputError, match="shorter than a lens"):
        fit_scale(focusing=LENS, marks=[(math.inf, 0.0), (200, 90.0)])
