"""The form by which a live session is settled: sensor, speeds, shots; and the pilot speed while trimming."""

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from typing import Any

from asfound.bench.live import LivePlan
from asfound.bench.shutter import moves_so_far
from asfound.job import Job
from asfound.problems import AsfoundError, BadInputError, bad_input
from asfound.shutter import MarkedSpeed, next_move, read_adjusters, read_log, read_marked, tolerances_of
from asfound.shutter.trimming.trim import Aim
from asfound.web.room_form import Field, read_fields
from asfound.web.shutter.dial import marks_of, read_shots, read_stops
from asfound.web.shutter.how import FIELDS, read_how
from asfound.web.shutter.trim import USUAL_ADJUSTERS
from asfound.web.stage_field import read_stage

KINDS, FIRED = ("light", "clicks"), ("the whole dial", "the speed to watch while trimming")
_HOW = tuple(one for one in FIELDS if one.name not in ("kind", "channel", "slow_motion", "region"))
MOST_SPEEDS = 30


def live_fields(job: Job) -> tuple[Field, ...]:
    """Return the fields of the form; what is fired is asked only where there is a dial to move adjusters by."""
    watching = (Field(name="fired", label="Fire", choices=FIRED, default=FIRED[0]),) if _may_move(job) else ()
    return (
        Field(name="kind", label="The input hears", choices=KINDS, default=KINDS[0]),
        *watching,
        Field(name="marked", label="Speeds, in the order to be fired", default=marks_of(job), wide=True),
        Field(name="each", label="Good shots at each", default="3"),
        Field(name="tolerance", label="Tolerance, stops", default="1/3", hint="common practice, no source"),
        Field(name="top_tolerance", label="Of the top speed, stops", default="1/2", optional=True,
              hint="where it is 1/200 or shorter"),
        *(_grouped(one) for one in _HOW),
    )  # fmt: skip


def _grouped(one: Field) -> Field:
    return replace(one, group="Clicks" if "click" in one.name else "The aperture and the sensor")


def read_plan_typed(job: Job, typed: Mapping[str, str], *, sample_rate_hz: float, aim: Aim | None) -> LivePlan:
    """Return the plan of a session, as typed.

    Raises
    ------
    BadInputError
        With the problems, each named by its field.
    """
    text = read_fields(live_fields(job), typed).text
    speeds = _speeds(text("marked"))
    kind = "sound" if text("kind") == KINDS[1] else "light"
    top = text("top_tolerance")
    watches = text("fired") == FIRED[1]
    if watches and aim is None:
        raise bad_input("fired", "no move is asked for by the last dial", "fire the whole dial")
    if watches and aim is not None and all(one.mark != aim.pilot for one in speeds):
        raise bad_input("marked", f"{aim.pilot}, the watched speed, is not among them", "add it, or fire the dial")
    return LivePlan(
        job=job.id,
        sample_rate_hz=sample_rate_hz,
        how=read_how({**{one.name: typed.get(one.name, "") for one in _HOW}, "kind": kind}),
        speeds=speeds,
        each=read_shots(text("each"), "each"),
        tolerance_stops=read_stops(text("tolerance"), "tolerance"),
        top_tolerance_stops=read_stops(top, "top_tolerance") if top else None,
        stage=read_stage(typed.get("stage", "working")),
        aim=aim,
        watches=watches,
    )


def _speeds(typed: str) -> tuple[MarkedSpeed, ...]:
    speeds, problems = read_marked(typed, where="marked")
    if problems:
        raise BadInputError(*problems)
    marks = [one.mark for one in speeds]
    twice = next((mark for mark in marks if marks.count(mark) > 1), None)
    if twice is not None:
        raise bad_input("marked", f"{twice} stands there twice", "name each speed once")
    if len(speeds) > MOST_SPEEDS:
        raise bad_input("marked", f"more than {MOST_SPEEDS} speeds are on no dial", "leave some out")
    return speeds


def aim_of(job: Job) -> Aim | None:
    """Return the move that the dials of a job ask for next; None where none is, or one was made since the last dial."""
    if not _may_move(job):
        return None
    so_far = moves_so_far(job)
    return _aim(so_far.log, tuple(dict.fromkeys((*USUAL_ADJUSTERS, *so_far.adjusters))))


def _may_move(job: Job) -> bool:
    so_far = moves_so_far(job)
    return bool(so_far.log) and not so_far.since


@lru_cache(maxsize=16)
def _aim(log: str, adjusters: tuple[str, ...]) -> Aim | None:
    movable, problems = read_adjusters(", ".join(adjusters))
    read, more = read_log(log, adjusters=movable) if not problems else (None, ())
    if read is None or more:
        return None
    try:
        found = next_move(
            read.speeds,
            tolerance_stops=tolerances_of(read.speeds),
            u_stops=read.u_stops,
            adjusters=movable,
            moves=read.moves,
        )
    except (AsfoundError, ValueError):
        return None
    return found.aims[0] if found.aims else None


def read_hello(hello: Mapping[str, Any]) -> tuple[float, dict[str, str]]:
    """Return the sample rate that a page tells, and its form as typed.

    Raises
    ------
    BadInputError
        If the rate is none of a sound input.
    """
    rate, typed = hello.get("rate"), hello.get("typed")
    if not isinstance(rate, int | float) or not 8000 <= rate <= 384_000 or rate != int(rate):
        raise bad_input("sound input", f"its sample rate is {str(rate)[:20]}", "choose another input")
    fields = typed if isinstance(typed, dict) else {}
    return float(rate), {str(name): str(text)[:2000] for name, text in fields.items()}
