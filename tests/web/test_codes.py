"""Codes that let a device in: short-lived, used once, and not to be guessed."""

import itertools

import pytest

from asfound.problems import BadInputError
from asfound.web.codes import FROM_ALL, FROM_ONE, GOOD_FOR_S, LENGTH, LETTERS, WITHIN_S, Codes, WaitError


class Clock:
    def __init__(self) -> None:
        self.now = 1000.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def codes(clock: Clock) -> Codes:
    return Codes(clock)


def test_a_code_is_taken_as_people_type_it(codes: Codes) -> None:
    text = codes.make().text
    codes.use(f" {text.lower().replace('-', ' ')} ", address="a")


def test_a_code_is_good_once(codes: Codes) -> None:
    text = codes.make().text
    codes.use(text, address="a")
    assert codes.now() is None
    with pytest.raises(BadInputError, match="not the code"):
        codes.use(text, address="a")


def test_a_code_is_good_for_five_minutes_and_no_longer(codes: Codes, clock: Clock) -> None:
    text = codes.make().text
    clock.now += GOOD_FOR_S - 0.1
    assert codes.now() is not None
    clock.now += 0.2
    assert codes.now() is None
    with pytest.raises(BadInputError, match="good now"):
        codes.use(text, address="a")


def test_a_new_code_takes_the_place_of_the_one_before(codes: Codes) -> None:
    first = codes.make().text
    codes.make()
    with pytest.raises(BadInputError):
        codes.use(first, address="a")


@pytest.mark.parametrize("typed", ["", "-", "0000-0000", "ÄÖ", "\x00", "x" * 10_000])
def test_before_any_code_is_made_nothing_is_one(codes: Codes, typed: str) -> None:
    with pytest.raises(BadInputError):
        codes.use(typed, address="a")


def test_after_five_wrong_codes_even_the_right_one_must_wait_and_is_told_how_long(codes: Codes, clock: Clock) -> None:
    for _ in range(FROM_ONE):
        with pytest.raises(BadInputError):
            codes.use("0000-0000", address="a")
    text = codes.make().text
    with pytest.raises(WaitError, match="from this device; wait 10 minutes"):
        codes.use(text, address="a")
    clock.now += WITHIN_S - 60
    with pytest.raises(WaitError, match="wait 1 minute,"):
        codes.use(text, address="a")
    clock.now += 61
    codes.use(codes.make().text, address="a")


def test_one_who_guesses_does_not_keep_another_out_until_there_are_many(codes: Codes) -> None:
    for _ in range(FROM_ONE):
        with pytest.raises(BadInputError):
            codes.use("wrong", address="a")
    codes.use(codes.make().text, address="b")


def test_guessing_from_many_addresses_is_slowed_too(codes: Codes) -> None:
    for number in range(FROM_ALL):
        with pytest.raises(BadInputError):
            codes.use("wrong", address=f"address {number}")
    with pytest.raises(WaitError, match="on this network"):
        codes.use(codes.make().text, address="another")


def test_the_addresses_that_tried_wrong_codes_are_told_for_ten_minutes(codes: Codes, clock: Clock) -> None:
    for address in ("b", "a", "b"):
        with pytest.raises(BadInputError):
            codes.use("wrong", address=address)
    assert codes.wrong() == (("a", 1), ("b", 2))
    clock.now += WITHIN_S
    assert codes.wrong() == ()


def test_all_tries_that_the_limits_allow_in_a_year_leave_no_hope(codes: Codes) -> None:
    tries = FROM_ALL * 365.25 * 86_400 / WITHIN_S
    assert tries / len(LETTERS) ** LENGTH < 1e-5


def test_codes_hold_no_letter_that_looks_like_a_figure(codes: Codes) -> None:
    assert len(LETTERS) == len(set(LETTERS)) == 32
    assert not set("01IO") & set(LETTERS)
    made = [codes.make().text for _ in range(200)]
    assert len(set(made)) == 200
    assert set(itertools.chain(*made)) <= {*LETTERS, "-"}
