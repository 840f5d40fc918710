"""Which donors may still have a part that is lost."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfound.teardown.donors import donors_with
from asfound.teardown.stock import Donor


def donor(camera="Ostrel Junior", has="", gone=""):
    return Donor(camera=camera, has=has, gone=gone, lies="")


@pytest.mark.parametrize(
    ("has", "part"),
    [
        ("struts", "left strut"),
        ("bellows", "bellows"),
        ("rear cell, struts", "rear cell"),
        ("left strut", "left strut"),
        ("Strut springs; door", "right strut spring"),
    ],
)
def test_what_was_said_is_the_part_without_side_or_plural(has, part):
    assert donors_with([donor(has=has)], part)


@pytest.mark.parametrize(
    ("has", "part"),
    [
        ("struts", "left strut spring"),
        ("rear cell", "front cell"),
        ("left strut", "right strut"),
        ("strut springs", "booster spring"),
        ("", "bellows"),
    ],
)
def test_another_part_is_not_offered(has, part):
    assert donors_with([donor(has=has)], part) == ()


def test_a_donor_of_the_same_model_may_have_it_until_it_is_said_to_be_gone():
    (fit,) = donors_with([donor()], "bellows", models=("junior", "ostrel  junior"))
    assert fit.but == ("nobody said whether it still has it",)
    assert donors_with([donor(has="bellows", gone="bellows")], "bellows", models=("Ostrel Junior",)) == ()


@given(st.lists(st.text(max_size=12), max_size=4), st.text(max_size=20))
def test_any_words_can_be_said_of_a_donor(words, part):
    fits = donors_with([donor(has=", ".join(words), gone=part)], part, models=(part,))
    assert len(fits) <= 1
