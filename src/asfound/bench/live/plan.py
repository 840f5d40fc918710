"""What is settled before a live session begins: how it is recorded, which speeds, how many shots."""

import time
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, fields
from typing import Any, cast
from uuid import UUID, uuid4

from asfound.bench.measured import How
from asfound.job.bodies import Stage
from asfound.shutter import MarkedSpeed
from asfound.shutter.speeds.dial import tolerances
from asfound.shutter.trimming.trim import Aim


@dataclass(frozen=True, slots=True, kw_only=True)
class LivePlan:
    """A session before its first sample.

    Attributes
    ----------
    session : str
        Its name, not to be met again.
    job : UUID
    started_ms : int
    sample_rate_hz : float
    how : How
        How it is recorded; its kind is light or sound.
    speeds : tuple of MarkedSpeed
        In the order to be fired.
    each : int
        Good shots wanted of each.
    tolerance_stops : float
    top_tolerance_stops : float or None
    stage : {"as found", "working", "as left"}
    aim : Aim or None
        The move of an adjuster that is under way, with the band of its pilot speed.
    watches : bool
        Whether only the pilot speed is fired.
    """

    session: str = field(default_factory=lambda: uuid4().hex)
    job: UUID
    started_ms: int = field(default_factory=lambda: time.time_ns() // 1_000_000)
    sample_rate_hz: float
    how: How
    speeds: tuple[MarkedSpeed, ...]
    each: int = 3
    tolerance_stops: float
    top_tolerance_stops: float | None = None
    stage: Stage
    aim: Aim | None = None
    watches: bool = False

    def speed(self, mark: str) -> MarkedSpeed:
        """Return one of the speeds by its mark."""
        return next(one for one in self.speeds if one.mark == mark)

    def tolerance(self, mark: str) -> float:
        """Return the tolerance of a speed, in stops."""
        limits = tolerances(
            self.speeds, tolerance_stops=self.tolerance_stops, top_tolerance_stops=self.top_tolerance_stops
        )
        return next(limit for one, limit in zip(self.speeds, limits, strict=True) if one.mark == mark)

    @property
    def watched(self) -> str | None:
        """The pilot speed, where only that is fired."""
        return self.aim.pilot if self.watches and self.aim is not None else None


def plain_plan(plan: LivePlan) -> dict[str, Any]:
    """Return a plan as plain values, for the head of its spool."""
    return {**asdict(plan), "job": str(plan.job)}


def read_plan(plain: Mapping[str, Any]) -> LivePlan:
    """Return the plan in the head of a spool."""
    how = dict(plain["how"])
    region = how.pop("region", None)
    known = {one.name for one in fields(How)}
    return LivePlan(
        **{
            **plain,
            "job": UUID(plain["job"]),
            "how": How(**{k: v for k, v in how.items() if k in known}, region=tuple(region) if region else None),
            "speeds": tuple(MarkedSpeed(**one) for one in plain["speeds"]),
            "stage": cast(Stage, plain["stage"]),
            "aim": Aim(**plain["aim"]) if plain["aim"] else None,
        }
    )
