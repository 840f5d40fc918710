"""Every kind of entry can be told on the pages."""

import typing

from asfound.job import bodies
from asfound.web import sayings

TOLD_WITH_THE_JOB = {
    bodies.Struck,
    bodies.Restored,
    bodies.Tick,
    bodies.StepFreed,
    bodies.OrderTaken,
    bodies.HowRecorded,
    bodies.FiringsSet,
    bodies.Photo,
    bodies.PhotoPlaced,
}


def test_every_kind_of_entry_has_its_words() -> None:
    kinds = set(typing.get_args(typing.get_args(bodies.AnyBody)[0]))
    assert len(kinds) > 20
    assert kinds - set(sayings._SAYINGS) == TOLD_WITH_THE_JOB
