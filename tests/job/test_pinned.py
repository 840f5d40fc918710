"""Pins say which hole each of a step's fasteners came from."""

import pytest

from asfound.job import fold
from asfound.job.bodies import Annotation, Attached, Photo, Pin, StepTaken
from asfound.job.pinned import pins_of_step, say_pins
from asfound.teardown.fastener import FastenerGroup

ATTACHED = Attached(sha256="0" * 64, name="p.jpg", media_type="image/jpeg", size=1)


@pytest.fixture
def pinned(bench):
    """Give a bench, two steps, and a photograph of the first with three pins: two of its screws, one of the other's."""
    cover = bench.write(StepTaken(action="off", part="cover")).id
    plate = bench.write(StepTaken(action="off", part="plate")).id
    photo = bench.write(Photo(attachment=ATTACHED, step=cover)).id
    for length, step in ((2.5, None), (3.0, cover), (4.0, plate)):
        screw = FastenerGroup(thread="M1.4", length_mm=length)
        bench.write(Annotation(photo=photo, pins=(Pin(x=0.5, y=0.5, fastener=screw, step=step),)))
    bench.write(Annotation(photo=photo, pins=(Pin(x=0.5, y=0.5, label="a dent"),)))
    return bench, cover, plate


def test_a_pin_belongs_to_the_step_it_names_or_to_that_of_its_photograph(pinned):
    bench, cover, plate = pinned
    job = fold(bench.entries)
    assert [now.number for now in pins_of_step(job, cover)] == [1, 2]
    assert [now.number for now in pins_of_step(job, plate)] == [3]


def test_they_are_said_by_the_number_of_the_photograph_with_their_lengths(pinned):
    bench, cover, plate = pinned
    job = fold(bench.entries)
    assert say_pins(job, cover) == ("photograph 4: 1 is 2.5 mm, 2 is 3 mm",)
    assert say_pins(job, plate) == ("photograph 4: 3 is 4 mm",)
