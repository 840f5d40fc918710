"""The order shown at work stays; new steps are laid in where they belong."""

from itertools import permutations

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from asfound.teardown.freeing import freed_by
from asfound.teardown.holding import held_order

numbers = st.lists(st.integers(1, 12), unique=True, max_size=12)
same_step = settings(suppress_health_check=[HealthCheck.function_scoped_fixture])


def held(step, ident, shown, fresh):
    """Return the numbers of free steps as held."""
    steps = [step(n, by=()) for n in fresh]
    return [int(s.number) for s in held_order([ident(n) for n in shown], steps, steps)]


@same_step
@given(shown=numbers, fresh=numbers)
def test_the_order_held_has_exactly_the_steps_there_are(step, ident, shown, fresh):
    assert sorted(held(step, ident, shown, fresh)) == sorted(fresh)


@same_step
@given(shown=st.permutations(range(1, 9)), fresh=st.permutations(range(1, 9)))
def test_the_order_held_is_the_order_shown(step, ident, shown, fresh):
    assert held(step, ident, shown, fresh) == list(shown)


@same_step
@given(shown=numbers, data=st.data())
def test_new_steps_leave_the_others_in_their_order(step, ident, shown, data):
    new = data.draw(numbers.map(lambda more: [one for one in more if one not in shown]))
    fresh = data.draw(st.permutations([*shown, *new]))
    assert [one for one in held(step, ident, shown, fresh) if one in shown] == shown


@same_step
@given(shown=st.permutations(range(1, 7)), data=st.data())
def test_no_part_goes_back_before_one_that_it_freed(step, ident, shown, data):
    steps = [step(n, by=data.draw(st.sets(st.integers(1, n - 1))) if n > 1 else ()) for n in range(1, 7)]
    order = held_order([ident(n) for n in shown], steps[::-1], steps)
    place = {s.id: n for n, s in enumerate(order)}
    before, _ = freed_by(steps)
    assert all(place[later] < place[earlier] for later in place for earlier in before[later])


def test_the_pen_of_five_connections_goes_together_in_thirty_orders(step, ident):
    # Ullman, The Mechanical Design Process, the ballpoint pen (read): 5 connections, 3 before 4 and 1 before 5.
    # Going back each is reversed; an order that may be is one that is held as it is.
    freed = {1: (), 2: (), 3: (), 4: (3,), 5: (1,)}
    steps = [step(n, by=freed[n]) for n in freed]
    orders = [[ident(n) for n in order] for order in permutations(freed)]
    assert sum([s.id for s in held_order(order, steps, steps)] == order for order in orders) == 30
