"""Service notes over 1,000 jobs of 60 steps on one model.

The bound: under 1 s from what was seen on each camera to the notes. Each camera is taken apart in another order that
the model allows, with some screws short and some minutes more.
"""

import random
import time
from collections.abc import Sequence

from benchmarks._table import Figure

from asfound.job.notes import service_notes
from asfound.job.observing import CameraSeen, ReadingSeen, StepSeen
from asfound.quantity import CameraState, Reading
from asfound.teardown import FastenerGroup

PARTS = tuple(f"part {n}" for n in range(60))


def camera(number: int) -> CameraSeen:
    """Return one camera: parts in an order in which each comes after the third before it, and twelve readings."""
    dice = random.Random(number)
    order = sorted(range(60), key=lambda n: n + dice.uniform(0, 3))
    steps = tuple(
        StepSeen(
            part=PARTS[n],
            fasteners=(FastenerGroup(count=dice.choice((2, 2, 3)), thread="M1.4", length_mm=2.0),),
            tool=dice.choice(("fine blade", "spanner")),
            minutes=dice.uniform(0.5, 6),
        )
        for n in order
    )
    readings = tuple(
        ReadingSeen(quantity="gap", place=f"place {n}", reading=_gap(0.3 + 0.01 * n + dice.gauss(0, 0.01)))
        for n in range(12)
    )
    return CameraSeen(camera=f"{number:064x}", model="Practice Six", steps=steps, readings=readings)


def _gap(value: float) -> Reading:
    return Reading(value=value, unit="mm", standard_uncertainty=0.01, state=CameraState(seated="push"))


def main(brief: bool = False) -> Sequence[Figure]:
    """Measure and print."""
    cameras = [camera(n) for n in range(1000)]
    start = time.process_time()
    notes = service_notes("Practice Six", cameras)
    seconds = time.process_time() - start
    pairs = sum(len(earlier) for earlier in notes.order.before.values())
    print(f"{notes.cameras} jobs of 60 steps: {seconds:.2f} s")
    print(
        f"  {len(notes.parts)} parts, {pairs} of {60 * 59 // 2} pairs in a sure order, {len(notes.readings)} readings"
    )
    return (Figure("service notes of 1,000 jobs of 60 steps", f"{seconds:.2f} s", "<= 1 s", seconds <= 1),)


if __name__ == "__main__":
    main()
