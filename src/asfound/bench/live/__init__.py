"""Live firing: sound received block by block, kept on the disk, listened to, and sealed into a recording."""

from asfound.bench.live.plan import LivePlan
from asfound.bench.live.sealing import seal
from asfound.bench.live.session import Session
from asfound.bench.live.sessions import Left, Sessions, spools_of, throw_away
from asfound.bench.live.walked import Walked, told_of, walked_by

__all__ = [
    "Left",
    "LivePlan",
    "Session",
    "Sessions",
    "Walked",
    "seal",
    "spools_of",
    "throw_away",
    "told_of",
    "walked_by",
]
