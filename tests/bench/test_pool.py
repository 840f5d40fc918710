"""Heavy work runs elsewhere, tells how far it is, and stops when asked."""

import os
import time

import pytest

from asfound.bench.pool import Pool
from asfound.problems import NotFoundError, StoppedError, bad_input


def count(steps, *, progress, cancelled):
    for step in range(steps):
        if cancelled():
            raise StoppedError
        progress(step / steps)
        time.sleep(0.01)
    return steps, os.getpid()


def refuse(*, progress, cancelled):
    raise bad_input("recording", "no firing in it", "record again")


def die(*, progress, cancelled):
    os._exit(1)


@pytest.fixture(scope="module")
def pool():
    pool = Pool(workers=1)
    yield pool
    pool.close()


def test_work_is_done_in_another_process(pool):
    task = pool.wait(pool.submit(count, 3), 60)
    assert task.state == "done"
    assert task.result[0] == 3
    assert task.result[1] != os.getpid()


def test_work_tells_how_far_it_is_and_stops_when_asked(pool):
    task_id = pool.submit(count, 10_000)
    deadline = time.monotonic() + 60
    while pool.look(task_id).share == 0 and time.monotonic() < deadline:
        time.sleep(0.01)
    assert 0 < pool.look(task_id).share < 1
    pool.stop(task_id)
    assert pool.wait(task_id, 60).state == "stopped"


def test_work_that_waits_never_starts_once_stopped(pool):
    first, second = pool.submit(count, 10_000), pool.submit(count, 10_000)
    pool.stop(second)
    pool.stop(first)
    assert pool.wait(second, 60).state == "stopped"


def test_a_refusal_comes_back_with_its_problem(pool):
    task = pool.wait(pool.submit(refuse), 60)
    assert task.state == "failed"
    assert [str(problem) for problem in task.problems] == ["recording: no firing in it; record again"]


def test_a_worker_that_dies_is_replaced(pool):
    assert pool.wait(pool.submit(die), 60).state == "failed"
    assert pool.wait(pool.submit(count, 2), 60).state == "done"


def test_unknown_work_is_said_to_be_unknown(pool):
    with pytest.raises(NotFoundError, match="no such piece of work"):
        pool.look("nothing")
