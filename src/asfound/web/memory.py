"""What the pages remember while the server runs; losing it costs no more than a second look."""

from collections import OrderedDict
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from asfound.bench.live import Sessions
from asfound.bench.measured import How
from asfound.capture import Recording

_KEPT = 50


@dataclass(slots=True)
class Memory:
    """Better orders looked for, measuring tasks under way, and what they found.

    Attributes
    ----------
    offers : dict
        By job, what was offered as a better order, and at how many entries it was looked for.
    tasks : dict
        By recording entry, the identifier of its measuring task.
    asked : dict
        By recording entry, how it was said to be made when that task began.
    taken_in : dict
        By job, what was said when a bundle of it was last taken in.
    measured : dict
        By hash of a recording and how it was said to be made, what was found in it.
    live : Sessions
        Live sessions under way.
    pages : dict
        By live session, the connection of the page that shows it.
    """

    offers: dict[UUID, tuple[int, str]] = field(default_factory=dict)
    tasks: dict[UUID, str] = field(default_factory=dict)
    asked: dict[UUID, How] = field(default_factory=dict)
    taken_in: dict[UUID, tuple[str, ...]] = field(default_factory=dict)
    measured: OrderedDict[tuple[str, How], Recording] = field(default_factory=OrderedDict)
    live: Sessions = field(default_factory=Sessions)
    pages: dict[str, Any] = field(default_factory=dict)

    def keep_measured(self, sha256: str, how: How, recording: Recording) -> None:
        """Keep what was found in a recording made so, letting the oldest go."""
        self.measured[sha256, how] = recording
        while len(self.measured) > _KEPT:
            self.measured.popitem(last=False)
