"""Parts, fasteners, what holds and frees what, and the way back."""

from asfound.teardown.fastener import FastenerGroup
from asfound.teardown.step import Step
from asfound.teardown.wayback import (
    ReadingToRestore,
    StepBack,
    WayBack,
    fastener_count,
    freed_by,
    order_back,
    way_back,
)

__all__ = [
    "FastenerGroup",
    "ReadingToRestore",
    "Step",
    "StepBack",
    "WayBack",
    "fastener_count",
    "freed_by",
    "order_back",
    "way_back",
]
