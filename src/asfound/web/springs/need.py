"""The torque that a strut needs, erected and folded, and whether its springs give it."""

from asfound.bench.springs import Needed, write_need
from asfound.job import Entry, Job
from asfound.job.bodies import Stage
from asfound.plots.how_strut import strut_pulled
from asfound.plots.linkage import linkage_picture_of
from asfound.problems import bad_input
from asfound.quantity import Reading, show_number
from asfound.springs import (
    Holding,
    Need,
    Strut,
    bellows_force,
    judge_hold,
    linkage_picture,
    torque_at_give_way,
    torque_needed,
    torque_to_keep,
)
from asfound.springs.cautions import LOADED_SPRING
from asfound.springs.need import Lock
from asfound.web.room import Asked, Choice, How, Row, Section, Task, both
from asfound.web.room_form import Field, Values

_LOCKS: tuple[Lock, ...] = ("none", "over-centre", "groove")


def _number(name: str, label: str, unit: str, default: str = "", hint: str = "", **more: object) -> Field:
    return Field(name=name, label=label, unit=unit, default=default, hint=hint, **more)  # type: ignore[arg-type]


def fields(job: Job) -> tuple[Field, ...]:
    """Return what is asked of a strut; springs as last measured in the job."""
    before = "Springs, as measured"
    return (
        _number("strut_length", "Strut", "mm", hint="pivot at the body to pin at the front"),
        _number("angle_erected", "Angle erected", "deg", "", "90 stands straight out", signed=True, most=150),
        _number("angle_folded", "Angle folded", "deg", "", "0 lies flat", signed=True, most=150),
        _number("weight", "Weight of the front", "N", "", "as in 60 g", signed=True),
        _number("elevation", "Lens points", "deg", "90", "90 up, 0 level", signed=True, most=90),
        _number(
            "attached", "Pull, bellows on", "N", "", "bellows' force is the difference", optional=True, signed=True
        ),
        _number("detached", "Pull, bellows off", "N", optional=True, signed=True),
        _number("bellows_folded", "Bellows, folded", "N", "", "below 0 pushes out", optional=True, signed=True),
        _number("friction", "Friction of the strut", "N·mm", optional=True, signed=True),
        _number("finger", "Finger on the release", "N", "", "towards the body", optional=True, signed=True),
        _number("bears", "Leg bears at", "mm", "", "from the pivot", optional=True),
        _number("bears_from_coil", "Leg bears, from the coil", "mm", "", "where the coil is elsewhere", optional=True),
        Field(name="lock", label="What locks it", default="none", choices=_LOCKS),
        _number("groove_arm", "Locking pin", "mm", "", "from the pivot", optional=True, group="Groove lock"),
        _number("groove_slope", "Wall of the groove", "deg", "45", most=90, group="Groove lock", optional=True),
        _number("groove_friction", "Friction there", "1", "0.15", group="Groove lock", optional=True),
        _number("left_erected", "Left, erected", "N·mm", optional=True, signed=True, group=before),
        _number("right_erected", "Right, erected", "N·mm", optional=True, signed=True, group=before),
        _number("left_folded", "Left, folded", "N·mm", optional=True, signed=True, group=before),
        _number("right_folded", "Right, folded", "N·mm", optional=True, signed=True, group=before),
        _number("u_gives", "Each known to", "N·mm", "", "one standard uncertainty", optional=True, group=before),
        _number("margin", "Margin wanted", "1", "1.3", "common practice, no source", most=10, group=before),
        _number("way_force", "Gives way at", "N", optional=True, group="Where it gives way"),
        _number("way_arm", "Arm of that force", "mm", optional=True, group="Where it gives way"),
    )


def strut_of(values: Values) -> Strut:
    """Return the strut that the fields describe.

    Raises
    ------
    BadInputError
    """
    lock = next(name for name in _LOCKS if name == values.text("lock"))
    attached, detached = values.maybe("attached"), values.maybe("detached")
    if (attached is None) != (detached is None):
        missing = "attached" if attached is None else "detached"
        raise bad_input(missing, "both pulls are wanted", "measure with the bellows on and off, or leave both empty")
    bellows = 0.0
    if attached is not None and detached is not None:
        bellows = bellows_force(attached_n=attached, detached_n=detached)
    if lock == "groove" and values.maybe("groove_arm") is None:
        raise bad_input("groove_arm", "it is wanted with a groove", "measure from the pivot to the locking pin")
    return Strut(
        length_mm=values["strut_length"],
        weight_n=values["weight"],
        elevation_deg=values["elevation"],
        bellows_n=bellows,
        bellows_folded_n=values.maybe("bellows_folded") or 0.0,
        friction_n_mm=values.maybe("friction") or 0.0,
        bears_mm=values.maybe("bears"),
        bears_from_coil_mm=values.maybe("bears_from_coil"),
        lock=lock,
        finger_n=values.maybe("finger") or 0.0,
        groove_arm_mm=values.maybe("groove_arm"),
        groove_slope_deg=values.maybe("groove_slope") or 45.0,
        groove_friction=values.maybe("groove_friction") or 0.15,
    )


def angles_of(values: Values) -> tuple[float, float]:
    """Return the angles erected and folded, in degrees from the body's plane."""
    erected, folded = values["angle_erected"], values["angle_folded"]
    if not -30 <= folded < erected:
        what = f"{folded:g} to {erected:g} degrees is no strut opening"
        raise bad_input("angle_folded", what, "measure both from the body's plane, folded below erected")
    if values.text("lock") == "over-centre" and erected <= 90:
        what = f"an over-centre strut stands past 90 degrees, not at {erected:g}"
        raise bad_input("angle_erected", what, "give the angle it stands at, or another lock")
    return erected, folded


def needed_of(values: Values) -> tuple[Strut, Needed]:
    """Return the strut and what it needs, with the judgement on its springs where they are given."""
    strut, (erected, folded) = strut_of(values), angles_of(values)
    arrive, keep = torque_needed(strut, angle_deg=erected), torque_to_keep(strut, angle_deg=erected)
    start = torque_needed(strut, angle_deg=folded, folded=True)
    most = max(arrive, keep, key=lambda need: need.spring_n_mm)
    return strut, Needed(
        arrive=arrive,
        keep=keep,
        start=start,
        erected_n_mm=most.spring_n_mm,
        held=tuple(
            one
            for one in (
                _judge("erected", most.spring_n_mm, values),
                _judge("folded", start.spring_n_mm, values),
            )
            if one is not None
        ),
    )


def _judge(position: str, needed: float, values: Values) -> Holding | None:
    given = [values.maybe(f"{side}_{position}") for side in ("left", "right")]
    u = values.maybe("u_gives")
    springs = [Reading(value=one, unit="N·mm", standard_uncertainty=u) for one in given if one is not None]
    if not springs:
        return None
    return judge_hold(position=position, needed_n_mm=needed, springs=springs, wanted_margin=values["margin"])


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return what the strut needs, drawn to scale."""
    strut, needed = needed_of(asked.values)
    finger = strut.finger_n > 0
    erected = linkage_picture(strut, need=needed.arrive, finger=finger)
    folded = linkage_picture(strut, need=needed.start, folded=True)
    worst = next((h for word in ("outside", "cannot tell", "within") for h in needed.held if h.verdict == word), None)
    total = f"all struts together need {show_number(needed.erected_n_mm)} N·mm at the spring erected"
    return (
        Section(
            title="What is needed",
            verdict=worst.verdict if worst else "",
            words=f"{worst.position}, {worst.words}" if worst else total,
            pictures=both(linkage_picture_of, erected, folded),
            rows=(*_needs(needed), *_held(needed), *_bellows(strut, asked.values), *_way(needed, asked.values)),
            remarks=(
                "Arrows end where their force acts. One link in the plane, its forces for the whole front: the struts "
                "share them, and need not be alike (statics; common practice, no source)",
            ),
            cautions=(LOADED_SPRING,),
            write=Choice("Write it to the job"),
        ),
    )


def _needs(needed: Needed) -> tuple[Row, ...]:
    named = (
        ("To come home", needed.arrive),
        ("To stay, finger on it", needed.keep),
        ("To start, folded", needed.start),
    )
    return tuple(Row(name, f"{show_number(need.spring_n_mm)} N·mm", _terms(need)) for name, need in named)


def _terms(need: Need) -> str:
    parts = [f"{term.name} {show_number(term.torque_n_mm)}" for term in need.terms if abs(term.torque_n_mm) > 1e-9]
    return f"at {need.angle_deg:g}°: " + (", ".join(parts) or "nothing is needed")


def _held(needed: Needed) -> tuple[Row, ...]:
    rows = []
    for held in needed.held:
        u = held.u_given_n_mm
        plus = f" ± {show_number(u, u)}" if u else ""
        value = f"{show_number(held.given_n_mm, u)}{plus} N·mm"
        rows.append(Row(f"Springs give, {held.position}", value, held.words, held.verdict))
    return tuple(rows)


def _bellows(strut: Strut, values: Values) -> tuple[Row, ...]:
    if values.maybe("attached") is None:
        return (Row("Bellows", "not measured", "it can match the weight: pull with the bellows on, then off"),)
    against = f"{strut.bellows_n / strut.weight_n:.1f} times the weight of the front" if strut.weight_n > 0 else ""
    return (Row("Bellows", f"{show_number(strut.bellows_n)} N", against),)


def _way(needed: Needed, values: Values) -> tuple[Row, ...]:
    force, arm = values.maybe("way_force"), values.maybe("way_arm")
    if force is None and arm is None:
        return ()
    if force is None or arm is None:
        missing = "way_force" if force is None else "way_arm"
        raise bad_input(missing, "force and arm are wanted together", "measure both, or leave both empty")
    way = torque_at_give_way(force_n=force, arm_mm=arm)
    there = max(needed.arrive.pivot_n_mm, needed.keep.pivot_n_mm)
    return (
        Row("Gives way at", f"{show_number(way)} N·mm", f"about the pivot; {show_number(there)} N·mm are needed there"),
    )


def write(asked: Asked, stage: Stage, _choice: str) -> tuple[Entry, ...]:
    """Write what is needed, and whether it is given, into the job."""
    _, needed = needed_of(asked.values)
    return write_need(asked.book, asked.job.id, needed=needed, typed=asked.typed, stage=stage)


def how() -> How:
    """Say how the bellows' force and the give-way force are taken."""
    return How(
        pictures=both(strut_pulled),
        steps=(
            "Weigh the front with lens and shutter, or take it from an alike one.",
            "Erect it. With a thread round the front, pull along the lens's axis until the struts just begin to "
            "give; read the balance. Do it three times.",
            "Part the bellows from the front and pull again: the difference is what the bellows do.",
            "Where it gives way: push at one place at right angles to the strut and note the arm from the pivot.",
            "Lens up is the worst: the weight pushes it shut.",
        ),
        cautions=(LOADED_SPRING,),
    )


TASK = Task(
    path="need",
    name="What is needed",
    lead="The torque that the struts need to come home, to stay there, and to start from folded.",
    fields=fields,
    work_out=work_out,
    write=write,
    how=how,
)
