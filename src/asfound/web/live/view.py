"""Where a live session stands, in the words and numbers that its page shows."""

import math
from typing import Any

from asfound.bench.live import LivePlan, Session
from asfound.plots.envelope import Envelope
from asfound.quantity import show_number, show_time
from asfound.shutter import Dial, Firing, Flag, judge, reading_says
from asfound.shutter.speeds.walk import Walk, WalkedShot, read_dial_as_walked
from asfound.web.shutter.firing_rows import nearest, show_stops, split_time

# What was allowed for, and asks nothing of whoever fires.
HARMLESS = (Flag.AC_DROOP, Flag.HUM, Flag.NO_PLATEAU, Flag.SHAPE_UNKNOWN)


def state_of(session: Session) -> dict[str, Any]:
    """Return everything that the page shows of a session, as plain values."""
    walk, plan = session.walk, session.plan
    dial = _dial(plan, walk)
    return {
        "kind": "state",
        "at": walk.at,
        "left": walk.left(walk.at) if walk.at is not None else 0,
        "each": walk.each,
        "stays": walk.stays,
        "then": _then(walk),
        "band": _band(plan),
        "speeds": [_speed(walk, row) for row in dial.rows],
        "shots": [_line(plan, number, shot) for number, shot in enumerate(walk.shots, start=1)],
        "shot": _shot(session, len(walk.shots)) if walk.shots else None,
        "lost": _lost(session),
    }


def _dial(plan: LivePlan, walk: Walk) -> Dial:
    dial, _ = read_dial_as_walked(
        [shot.firing for shot in walk.shots],
        plan.speeds,
        walked=[shot.marked for shot in walk.shots],
        tolerance_stops=plan.tolerance_stops,
        top_tolerance_stops=plan.top_tolerance_stops,
        struck={number for number, shot in enumerate(walk.shots, start=1) if shot.struck},
    )
    return dial


def _then(walk: Walk) -> str:
    """Return the speed that comes once the one to be fired is complete."""
    if walk.at is None or walk.stays:
        return ""
    onward = walk.after(walk.at)
    return "" if onward in (None, walk.at) else str(onward)


def _speed(walk: Walk, row: Any) -> dict[str, Any]:
    error = "" if row.error_stops is None else show_stops(row.error_stops).replace(" stop ", " ")
    return {
        "mark": row.marked,
        "good": len(walk.good(row.marked)),
        "time": "" if row.mean_s is None else split_time(show_time(row.mean_s))[0],
        "error": error,
        "verdict": row.verdict if row.n else "",
        "now": row.marked == walk.at,
    }


def _line(plan: LivePlan, number: int, shot: WalkedShot) -> dict[str, Any]:
    time_s = shot.time_s
    return {
        "number": number,
        "mark": shot.marked or "",
        "time": split_time(_time(shot.firing))[0] or "not measured",
        "error": _error(plan, shot)[0] if time_s else "",
        "struck": shot.struck,
        "final": shot.final,
        "good": shot.is_good,
    }


def _shot(session: Session, number: int) -> dict[str, Any]:
    """Return the latest shot, with its trace."""
    plan, shot = session.plan, session.walk.shots[number - 1]
    firing = shot.firing
    time, fraction = split_time(_time(firing))
    error, verdict = _error(plan, shot)
    _, u = _best(firing)
    return {
        **_line(plan, number, shot),
        "time": time,
        "fraction": fraction,
        "plus_minus": f"± {show_number(u * 1e3, significant=2)} ms" if u else "",
        "error": error,
        "verdict": verdict,
        "nearest": nearest(shot.time_s, plan.speeds) if shot.time_s else "",
        "flags": [flag.sentence for flag in firing.flags if flag not in HARMLESS],
        "notes": [flag.sentence for flag in firing.flags if flag in HARMLESS],
        "pilot": _pilot(plan, shot),
        "trace": _trace(session.outline(firing), firing),
    }


def _best(firing: Firing) -> tuple[float | None, float]:
    """Return a firing's time, by light or else between the clicks, with its standard uncertainty."""
    if firing.effective_s is not None:
        return firing.effective_s, firing.u_effective_s or 0.0
    return firing.open_s, firing.u_open_s or 0.0


def _time(firing: Firing) -> str:
    """Return a firing's time with three digits, fewer where it is not known so well."""
    best, u = _best(firing)
    return show_time(best, u if best and u > best / 50 else None) if best else ""


def _error(plan: LivePlan, shot: WalkedShot) -> tuple[str, str]:
    """Return how far one shot is off its mark, and whether that is within the tolerance of the speed."""
    time_s, u = _best(shot.firing)
    if not time_s or shot.marked is None:
        return "", ""
    error = math.log2(time_s / plan.speed(shot.marked).nominal_s)
    return show_stops(error), judge(error, 2 * u / (time_s * math.log(2)), plan.tolerance(shot.marked))


def _band(plan: LivePlan) -> dict[str, str] | None:
    """Return what is aimed for while an adjuster is moved."""
    aim = plan.aim
    if aim is None:
        return None
    low, high, now = (split_time(show_time(time))[0] for time in (aim.low_s, aim.high_s, aim.now_s))
    move = " ".join(word for word in (aim.adjuster, aim.direction) if word)
    return {"move": move, "pilot": aim.pilot, "low": low, "high": high, "before": now}


def _pilot(plan: LivePlan, shot: WalkedShot) -> str:
    """Return what a shot of the pilot speed says of the move under way."""
    if plan.aim is None or shot.marked != plan.aim.pilot or not shot.is_good or not shot.time_s:
        return ""
    return reading_says(plan.aim, shot.time_s)


def _trace(outline: Envelope | None, firing: Firing) -> dict[str, Any] | None:
    if outline is None:
        return None
    return {
        "start_s": float(outline.times_s[0]),
        "stop_s": float(outline.times_s[-1]),
        "base": firing.base,
        "plateau": firing.plateau,
        "time_s": [round(float(t), 6) for t in outline.times_s],
        "lowest": [round(float(v), 5) for v in outline.lowest],
        "highest": [round(float(v), 5) for v in outline.highest],
    }


def _lost(session: Session) -> str:
    gaps = session.stream.gaps
    if not gaps:
        return ""
    known = sum(gap.missing or 0 for gap in gaps) / session.plan.sample_rate_hz
    length = f", {show_number(known, significant=2)} s of it in all" if known else ""
    times = f"{len(gaps)} times" if len(gaps) > 1 else "once"
    return f"Sound was lost on the way {times}{length}: a firing that it touches has no time."
