"""Live firing: sound received block by block, kept on the disk, listened to, and sealed into a recording."""

from asfound.bench.live.plan import LivePlan
from asfound.bench.live.sealing import seal
from asfound.bench.live.session import Session
from asfound.bench.live.sessions import Left, Sessions, throw_away

__all__ = ["Left", "LivePlan", "Session", "Sessions", "seal", "throw_away"]
