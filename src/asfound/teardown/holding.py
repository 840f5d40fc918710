"""The order shown to somebody at work: it stays, and a better one is only offered."""

import heapq
from collections.abc import Sequence
from uuid import UUID

from asfound.teardown.freeing import freed_by
from asfound.teardown.step import Step


def held_order(shown: Sequence[UUID], fresh: Sequence[Step], steps: Sequence[Step]) -> tuple[Step, ...]:
    """Return the steps in the order shown before, as far as they may still come in it.

    Steps that are gone are left out; a new one comes before the step that follows it in the fresh order. Where it
    has since been said that one step frees another, only the steps that this concerns move.

    Parameters
    ----------
    shown : sequence of UUID
        The steps in the order last shown.
    fresh : sequence of Step
        The same steps, and newer ones, in the order that would be shown without an older one.
    steps : sequence of Step
        The steps in the order they were taken.
    """
    rank = {id_: n for n, id_ in enumerate(_laid_in(shown, [step.id for step in fresh]))}
    before, _ = freed_by(steps)
    by_id = {step.id: step for step in fresh}
    waits_for = {id_: {later for later in by_id if id_ in before[later]} for id_ in by_id}
    heap = [(rank[id_], id_) for id_ in by_id if not waits_for[id_]]
    heapq.heapify(heap)
    order: list[Step] = []
    while heap:
        _, id_ = heapq.heappop(heap)
        order.append(by_id[id_])
        for earlier in before[id_] & set(by_id):
            waits_for[earlier].discard(id_)
            if not waits_for[earlier]:
                heapq.heappush(heap, (rank[earlier], earlier))
    return tuple(order)


def _laid_in(shown: Sequence[UUID], fresh: Sequence[UUID]) -> list[UUID]:
    wanted = set(fresh)
    held = [id_ for id_ in shown if id_ in wanted]
    for place in range(len(fresh) - 1, -1, -1):
        if fresh[place] not in held:
            after = fresh[place + 1] if place + 1 < len(fresh) else None
            held.insert(held.index(after) if after is not None else len(held), fresh[place])
    return held
