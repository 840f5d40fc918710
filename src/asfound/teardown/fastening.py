"""How a group of fasteners goes back: all started before any is tightened, the hardest first; counted before closing.

Common practice, no source.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from uuid import UUID

from asfound.teardown.fastener import FastenerGroup
from asfound.teardown.step import Step

_CLOSING = re.compile(r"\b(?:cover|plate|lid|cap|back|housing|shell|top|bottom|face|front cell|rear cell|door)\b", re.I)


def hardest_first(groups: Iterable[FastenerGroup]) -> tuple[FastenerGroup, ...]:
    """Return groups in the order to start them: chewed or deformed, then only to be reached in a pose, then small."""

    def ease(group: FastenerGroup) -> tuple[bool, bool, bool, float]:
        hurt = bool(group.damaged) or bool(group.deformed_head)
        return not hurt, not group.reachable, not group.left_hand, group.length_mm or 0.0

    return tuple(sorted(groups, key=ease))


def how_to_start(groups: Sequence[FastenerGroup]) -> tuple[str, ...]:
    """Return how to put in the fasteners of one step, a line each; nothing for one plain screw."""
    turning = [group for group in hardest_first(groups) if group.what in ("screw", "nut", "grub screw", "bolt")]
    number = sum(group.count for group in turning)
    lines = [_left_hand(group) for group in turning if group.left_hand]
    if number < 2:
        return tuple(lines)
    first = "" if len({g.sort + g.place for g in turning}) == 1 else f", first {_which(turning[0])}"
    return (f"start {'both' if number == 2 else f'all {number}'} before tightening any{first}", *lines)


def _which(group: FastenerGroup) -> str:
    remarks = [group.place, f"{group.damaged} damaged" if group.damaged else "", group.reachable or ""]
    return ", ".join([group.sort, *(remark for remark in remarks if remark)])


def _left_hand(group: FastenerGroup) -> str:
    return f"{group.sort}: turns in anticlockwise"


def closes(step: Step, freed: Mapping[UUID, frozenset[UUID]], steps: Sequence[Step]) -> bool:
    """Return whether putting this part back shuts something in.

    It does when it was said to have freed another part; where only the order says so, when it is a part that covers.
    """
    if step.action == "slackened":
        return False
    under = [later for later in steps if step.id in freed[later.id] and later.action != "slackened"]
    return any(not later.assumed for later in under) or bool(under and _CLOSING.search(step.part))


def count_of(groups: Iterable[FastenerGroup]) -> dict[str, int]:
    """Return how many there are of each sort, by sort."""
    counts: dict[str, int] = {}
    for group in groups:
        counts[group.sort] = counts.get(group.sort, 0) + group.count
    return dict(sorted(counts.items()))
