"""Steps as a bench would record them, in short."""

import uuid

import pytest

from asfound.teardown import Step


def identify(number):
    return uuid.UUID(int=number)


def make_step(number, part="", *, by=None, **more):
    freed = None if by is None else frozenset(map(identify, by))
    given = {"action": "off", "lies": f"A{number}", **more}
    return Step(id=identify(number), number=str(number), part=part or f"part {number}", freed_by=freed, **given)


@pytest.fixture
def step():
    """Give a function that makes step `number`, freed by the steps of these numbers."""
    return make_step


@pytest.fixture
def ident():
    """Give the function from a step's number to its identifier."""
    return identify
