"""A spring measured at its lever: winding and unwinding, before and after cleaning, and against its twin."""

from collections import defaultdict
from collections.abc import Sequence

from asfound.bench.springs import RATE, typed_before, write_measured
from asfound.job import Entry, Job
from asfound.job.bodies import Stage
from asfound.plots.lever import lever_picture
from asfound.plots.torque import TorqueMark, torque_picture
from asfound.problems import bad_input
from asfound.quantity import parse_quantity, show_number, show_reading
from asfound.springs import (
    Finding,
    LeverTry,
    MeasuredSpring,
    TorqueCurve,
    TorqueSplit,
    compare_cleaning,
    compare_with_dimensions,
    compare_with_twin,
    load_torsion,
    measure_spring,
    told_by_magnet_and_colour,
)
from asfound.springs.cautions import LOADED_SPRING
from asfound.springs.measured import TWIN_WARNING, Told
from asfound.web.room import Asked, Choice, How, Row, Section, Table, Task, both
from asfound.web.room_form import Field, Values
from asfound.web.springs.coil import WHICH, coil_fields_if_known, material_of, say_constant, torsion_of

_CLEAN = ("clean", "not yet cleaned")
_LINE = "30 1.25 0.85"
_MOST_LINES = 40
_OTHERS = "Before cleaning, and its twin"
_OWN = "Against its own dimensions"


def fields(job: Job) -> tuple[Field, ...]:
    """Return what is asked at a lever; the spring's dimensions as they were last typed for this job."""
    known = typed_before(job, RATE)
    told = "Magnet and colour"
    return (
        Field(name="which", label=WHICH.label, default=known.get("which", WHICH.default), hint=WHICH.hint),
        Field(name="arm", label="Arm", unit="mm", default="30", hint="pivot to thread, at right angles"),
        Field(
            name="lever", label="Angle, winding, unwinding", lines=True,
            hint=f"a line each, in degrees and N: {_LINE}. With units: 30° 120g 85g. The same angle again is a repeat.",
        ),
        Field(name="clean", label="The pivot is", default=_CLEAN[0], choices=_CLEAN),
        Field(name="u_force", label="Balance is known to", unit="N", default="0.02", optional=True),
        Field(name="u_arm", label="Arm is known to", unit="mm", default="0.5", optional=True),
        Field(
            name="before", label="Before cleaning, the same", lines=True, optional=True, group=_OTHERS,
        ),
        Field(
            name="twin", label="The other strut, the same", lines=True, optional=True, group=_OTHERS,
        ),
        *coil_fields_if_known(known, group=_OWN),
        Field(
            name="free_angle", label="Stood free at", unit="deg", optional=True, signed=True,
            hint="when new, where known", group=_OWN,
        ),
        Field(name="magnet", label="A magnet", choices=("pulls", "does not"), optional=True, group=told),
        Field(name="colour", label="Bare wire is", choices=("grey", "yellow"), optional=True, group=told),
    )  # fmt: skip


def tries_of(text: str, where: str) -> list[LeverTry]:
    """Return tries from lines of angle, winding and unwinding force; the same angle again is a repeat.

    Raises
    ------
    BadInputError
        At the line that cannot be read.
    """
    lines = [line.split() for line in text.splitlines() if line.strip()]
    if len(lines) > _MOST_LINES:
        raise bad_input(where, f"{len(lines)} lines are too many", f"give at most {_MOST_LINES}")
    winding: dict[float, list[float]] = defaultdict(list)
    unwinding: dict[float, list[float]] = defaultdict(list)
    for number, words in enumerate(lines, start=1):
        place = f"{where}, line {number}"
        if len(words) != 3:
            what = f"{' '.join(words)!r} has {len(words)} parts, not 3"
            raise bad_input(place, what, f"write angle, winding, unwinding as in {_LINE}, units close to their numbers")
        angle = parse_quantity(words[0], unit="deg", where=place)
        up, down = (parse_quantity(word, unit="N", where=place) for word in words[1:])
        if max(abs(angle), abs(up), abs(down)) > 1e5:
            raise bad_input(place, f"{' '.join(words)!r} is out of all proportion", "check the numbers and their units")
        if up < down:
            what = f"{' '.join(words)!r}: unwinding is stronger than winding, which friction cannot do"
            raise bad_input(place, what, "give angle, winding, unwinding in this order")
        winding[angle].append(up)
        unwinding[angle].append(down)
    return [
        LeverTry(angle_deg=angle, winding_n=tuple(winding[angle]), unwinding_n=tuple(unwinding[angle]))
        for angle in sorted(winding)
    ]


def measured_of(values: Values, name: str, *, clean: bool) -> MeasuredSpring:
    """Return the spring as one of the text areas has it."""
    return measure_spring(
        tries_of(values.text(name), name),
        arm_mm=values["arm"],
        u_force_n=values.maybe("u_force") or 0.0,
        u_arm_mm=values.maybe("u_arm") or 0.0,
        clean=clean,
    )


def _is_clean(values: Values) -> bool:
    return values.text("clean") == _CLEAN[0]


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return spring and friction at each angle, and what they say."""
    values = asked.values
    found = measured_of(values, "lever", clean=_is_clean(values))
    more = [_cleaning(values, found), _twin(values, found), _dimensions(values, found)]
    return (_measured(values, found), *(section for section in more if section is not None))


def _measured(values: Values, found: MeasuredSpring) -> Section:
    rows = []
    if found.rate is not None and found.free_angle is not None:
        rows = [
            Row("Rate", show_reading(found.rate), "the slope through the angles"),
            Row("Gives nothing at", show_reading(found.free_angle), "where the spring stands free"),
        ]
    words = "half the sum of winding and unwinding is the spring, half the difference is friction"
    if not found.clean:
        words = "not clean: friction may hide the spring. Clean it and measure again before it is judged"
    curves, marks = _drawn(found, _twin_of(values))
    table = tuple((f"{s.angle_deg:g}°", show_reading(s.spring), show_reading(s.friction)) for s in found.splits)
    return Section(
        title=f"At the lever: {values.text('which')[:60]}",
        verdict="" if found.clean else "cannot tell",
        words=words,
        pictures=both(torque_picture, curves, measured=marks, across="angle of the lever, degrees"),
        rows=tuple(rows),
        table=Table(("Angle", "Spring", "Friction"), table),
        remarks=() if rows else ("two angles or more give the rate as well",),
        cautions=(LOADED_SPRING,),
        write=Choice("Write it to the job"),
    )


def _drawn(found: MeasuredSpring, twin: MeasuredSpring | None) -> tuple[Sequence[TorqueCurve], Sequence[TorqueMark]]:
    """Return the line through the measured torques, and the torques themselves."""
    marks = [_mark(split, "spring") for split in found.splits]
    marks += [_mark(split, "its twin") for split in (twin.splits if twin else ())]
    rate, free = found.rate, found.free_angle
    if rate is None or free is None or rate.value is None or free.value is None:
        return (), marks
    ends = [split.angle_deg for split in found.splits]
    angles = (min(ends), max(ends))
    slope, zero = rate.value / 360, free.value
    return (TorqueCurve(angles, tuple(slope * (a - zero) for a in angles), "as found"),), marks


def _mark(split: TorqueSplit, name: str) -> TorqueMark:
    spring = split.spring
    return TorqueMark(
        angle_deg=split.angle_deg, torque_n_mm=spring.value or 0.0, u_n_mm=spring.standard_uncertainty or 0.0, name=name
    )


def _pairs(found: MeasuredSpring, other: MeasuredSpring, where: str) -> list[tuple[TorqueSplit, TorqueSplit]]:
    """Return the splits of both at the angles that they have in common."""
    same = {split.angle_deg: split for split in other.splits}
    pairs = [(split, same[split.angle_deg]) for split in found.splits if split.angle_deg in same]
    if not pairs:
        raise bad_input(where, "it has no angle in common with the spring", "measure at the same angles")
    return pairs


def _cleaning(values: Values, found: MeasuredSpring) -> Section | None:
    if not values.text("before"):
        return None
    before = measured_of(values, "before", clean=False)
    rows = []
    for after, was in _pairs(found, before, "before"):
        gone = compare_cleaning(was, after).gone_share
        share = "no friction was measured before" if gone is None else f"{gone:.0%} of it is gone"
        rows.append((f"{after.angle_deg:g}°", show_reading(was.friction), show_reading(after.friction), share))
    return Section(
        title="What cleaning did",
        words="friction before and after; the spring itself is judged clean",
        table=Table(("Angle", "Friction before", "Friction after", ""), tuple(rows)),
    )


def _twin(values: Values, found: MeasuredSpring) -> Section | None:
    twin = _twin_of(values)
    if twin is None:
        return None
    pairs = _pairs(found, twin, "twin")
    if any(not other.spring.value for _, other in pairs):
        raise bad_input("twin", "the twin gives nothing at one of the angles", "compare where both give something")
    compared = [(mine, other, compare_with_twin(mine, other)) for mine, other in pairs]
    rows = tuple(
        (f"{one.angle_deg:g}°", show_reading(mine.spring), show_reading(other.spring), f"{one.ratio:.0%}: {one.words}")
        for mine, other, one in compared
    )
    return Section(
        title="Against its twin",
        words=TWIN_WARNING,
        table=Table(("Angle", "This one", "Its twin", "This one gives"), rows),
    )


def _twin_of(values: Values) -> MeasuredSpring | None:
    return measured_of(values, "twin", clean=_is_clean(values)) if values.text("twin") else None


def _dimensions(values: Values, found: MeasuredSpring) -> Section | None:
    """Compare with the spring's own dimensions, where they are given."""
    if not values.known("wire", "outside", "turns"):
        return None
    made = torsion_of(values)
    expected = load_torsion(
        made,
        torque_n_mm=1.0,
        material=material_of(values),
        u_wire_mm=0.005,
        u_mean_diameter_mm=0.01 * made.mean_diameter_mm,
        u_modulus_mpa=0.01 * made.modulus_mpa,
    )
    finding = compare_with_dimensions(
        found,
        rate_n_mm_per_turn=expected.rate_n_mm_per_turn,
        u_rate_n_mm_per_turn=expected.u_rate_n_mm_per_turn or 0.0,
        wire_diameter_mm=made.wire_diameter_mm,
        modulus_mpa=made.modulus_mpa,
        free_angle_deg=values.maybe("free_angle"),
        told=_told(values),
    )
    return Section(
        title=f"Against its dimensions: {finding.kind}",
        words=finding.words,
        rows=_finding_rows(finding, expected.rate_n_mm_per_turn),
        asks=finding.asks,
        remarks=(
            say_constant(made.constant),
            "the wire is taken to be known to 0.005 mm, mean diameter and modulus to 1 %",
        ),
    )


def _told(values: Values) -> Told:
    magnet, colour = values.text("magnet"), values.text("colour")
    if not magnet or not colour:
        return "cannot tell"
    return told_by_magnet_and_colour(pulled=magnet == "pulls", yellow=colour == "yellow")


def _finding_rows(finding: Finding, expected: float) -> tuple[Row, ...]:
    if finding.rate_ratio is None:
        return ()
    u = finding.u_rate_ratio
    plus = f" ± {u * 100:.0f}" if u else ""
    rows = [
        Row(
            "Rate, measured over reckoned",
            f"{finding.rate_ratio * 100:.0f}{plus} %",
            f"reckoned {show_number(expected)} N·mm/turn",
        )
    ]
    if finding.wire_for_rate_mm is not None and finding.kind == "rate off":
        rows.append(Row("Wire that would explain it", f"{finding.wire_for_rate_mm:.3f} mm", "by itself"))
    if finding.moved_deg is not None:
        rows.append(Row("Free angle has moved", f"{finding.moved_deg:.0f}°", "towards the load is set"))
    return tuple(rows)


def write(asked: Asked, stage: Stage, _choice: str) -> tuple[Entry, ...]:
    """Write torque and friction at each angle, rate and free angle into the job."""
    found = measured_of(asked.values, "lever", clean=_is_clean(asked.values))
    which = asked.values.text("which")
    return write_measured(asked.book, asked.job.id, which=which, measured=found, typed=asked.typed, stage=stage)


def how() -> How:
    """Say how the forces at the lever are taken."""
    return How(
        steps=(
            "Clean the pivot first; what was dirty can be measured before, too, but judges nothing.",
            "Hook the balance to the lever with a thread, at right angles to it; measure the arm from the pivot.",
            "Draw the lever slowly against its spring through the angle you want, and read while it moves: winding.",
            "Let it back slowly through the same angle, and read again: unwinding. Always less.",
            "Twice at each angle; best erected and folded. Then the same on the other strut.",
        ),
        pictures=both(lever_picture),
        cautions=(LOADED_SPRING,),
    )


TASK = Task(
    path="lever",
    name="At its lever",
    lead="Force at the lever, winding and unwinding: spring and friction parted, as torque.",
    fields=fields,
    work_out=work_out,
    write=write,
    how=how,
)
