"""The stage that a reading belongs to, as pages ask for it."""

from typing import cast

from asfound.job.bodies import Stage
from asfound.problems import bad_input

STAGES = ("as found", "working", "as left")


def read_stage(typed: str) -> Stage:
    """Return a stage as typed."""
    if typed not in STAGES:
        raise bad_input("stage", f"{typed!r} is no stage", "choose as found, working or as left")
    return cast(Stage, typed)
