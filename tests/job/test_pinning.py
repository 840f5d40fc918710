"""Pins on photographs: numbered as they came, moved and taken off by later entries; photographs at their steps."""

from uuid import UUID, uuid4

from asfound.job import fold
from asfound.job.bodies import Annotation, Attached, Note, Photo, PhotoPlaced, Pin, Restored, StepTaken, Struck
from asfound.job.pinning import length_of, say_pin
from asfound.teardown.fastener import FastenerGroup

ATTACHED = Attached(sha256="0" * 64, name="p.jpg", media_type="image/jpeg", size=1)


def photo(bench, **more) -> UUID:
    return bench.write(Photo(attachment=ATTACHED, **more)).id


def pin(bench, photo: UUID, x: float = 0.5, instead_of: UUID | None = None, **more) -> UUID:
    return bench.write(Annotation(photo=photo, pins=(Pin(x=x, y=0.5, **more),), instead_of=instead_of)).id


def shown(bench) -> list[tuple[int, float]]:
    return [(one.number, one.pin.x) for one in fold(bench.entries).pins]


def test_pins_are_numbered_in_the_order_they_came(bench):
    p = photo(bench)
    for x in (0.1, 0.2, 0.3):
        pin(bench, p, x)
    assert shown(bench) == [(1, 0.1), (2, 0.2), (3, 0.3)]


def test_each_photograph_has_its_own_numbers(bench):
    for x in (0.1, 0.2):
        pin(bench, photo(bench), x)
    assert shown(bench) == [(1, 0.1), (1, 0.2)]


def test_a_pin_taken_off_leaves_its_number_empty(bench):
    p = photo(bench)
    pins = [pin(bench, p, x) for x in (0.1, 0.2, 0.3)]
    bench.write(Struck(entry=pins[1]))
    assert shown(bench) == [(1, 0.1), (3, 0.3)]
    pin(bench, p, 0.4)
    assert shown(bench) == [(1, 0.1), (3, 0.3), (4, 0.4)]
    bench.write(Restored(entry=pins[1]))
    assert (2, 0.2) in shown(bench)


def test_a_pin_moved_keeps_its_number_and_goes_back_when_the_move_is_struck(bench):
    p = photo(bench)
    first = pin(bench, p, 0.1)
    pin(bench, p, 0.2)
    moved = pin(bench, p, 0.9, instead_of=first)
    assert shown(bench) == [(1, 0.9), (2, 0.2)]
    bench.write(Struck(entry=moved))
    assert shown(bench) == [(1, 0.1), (2, 0.2)]


def test_a_move_does_not_bring_back_a_pin_that_was_taken_off(bench):
    p = photo(bench)
    first = pin(bench, p, 0.1)
    bench.write(Struck(entry=first))
    pin(bench, p, 0.9, instead_of=first)
    assert shown(bench) == []


def test_a_move_of_a_pin_that_never_was_changes_nothing(bench):
    pin(bench, photo(bench), 0.9, instead_of=uuid4())
    assert shown(bench) == []


def test_two_benches_that_pin_one_photograph_at_once_lose_neither(bench, new_bench):
    p = photo(bench)
    there = new_bench("bench-b")
    there.wall_ms = bench.wall_ms
    pin(bench, p, 0.1)
    pin(there, p, 0.2)
    here_first, there_first = fold([*bench.entries, *there.entries]), fold([*there.entries, *bench.entries])
    assert here_first.pins == there_first.pins
    assert [(one.number, one.pin.x) for one in here_first.pins] == [(1, 0.1), (2, 0.2)]


def test_a_photograph_belongs_to_the_step_last_said(bench):
    first, second = (bench.write(StepTaken(action="off", part=part)).id for part in ("cover", "plate"))
    p = photo(bench, step=first)
    placed = bench.write(PhotoPlaced(photo=p, step=second))
    assert fold(bench.entries).photos[0][1].step == second
    bench.write(PhotoPlaced(photo=p, step=None))
    assert fold(bench.entries).photos[0][1].step is None
    bench.write(Struck(entry=bench.entries[-1].id))
    assert fold(bench.entries).photos[0][1].step == second
    bench.write(Struck(entry=placed.id))
    bench.write(Note(text="as it was"))
    assert fold(bench.entries).photos[0][1].step == first


def test_a_pin_is_said_with_its_fastener_and_its_length():
    screw = FastenerGroup(thread="M1.4", length_mm=2.5, head="cheese", drive="slot")
    one = Pin(x=0, y=0, label="by the hinge", fastener=screw)
    assert say_pin(one) == "by the hinge, cheese slot screw M1.4 × 2.5 mm"
    assert length_of(one) == "2.5 mm"
    assert (say_pin(Pin(x=0, y=0)), length_of(Pin(x=0, y=0))) == ("", "")
