"""Parts, fasteners, what holds and frees what, and the way back."""

from asfound.teardown.fastener import FastenerGroup
from asfound.teardown.freeing import freed_by
from asfound.teardown.handling import Effort, Handling, fewest_changes
from asfound.teardown.ledger import Ledger, LedgerRow, TrayCell, TrayMap, ledger, put_back_otherwise, tray_map
from asfound.teardown.offer import Offer, OrderEffort, better_order
from asfound.teardown.ordering import shortest_order
from asfound.teardown.proving import Check, PlacedProof, place_proofs
from asfound.teardown.step import Step
from asfound.teardown.wayback import (
    ReadingToRestore,
    StepBack,
    WayBack,
    fastener_count,
    order_back,
    shown_order,
    way_back,
)

__all__ = [
    "Check",
    "Effort",
    "FastenerGroup",
    "Handling",
    "Ledger",
    "LedgerRow",
    "Offer",
    "OrderEffort",
    "PlacedProof",
    "ReadingToRestore",
    "Step",
    "StepBack",
    "TrayCell",
    "TrayMap",
    "WayBack",
    "better_order",
    "fastener_count",
    "fewest_changes",
    "freed_by",
    "ledger",
    "order_back",
    "place_proofs",
    "put_back_otherwise",
    "shortest_order",
    "shown_order",
    "tray_map",
    "way_back",
]
