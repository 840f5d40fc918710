"""What can be done about a weak spring, ranked, each with its torque curve beside the old one."""

from collections.abc import Sequence
from dataclasses import replace
from urllib.parse import parse_qsl, urlencode, urlsplit

import numpy as np

from asfound.bench.drawer import stock_of
from asfound.bench.springs import NEEDED, RATE, latest, torques_at_lever, typed_before, write_decision
from asfound.job import Entry, Job
from asfound.job.bodies import Stage
from asfound.plots.how_springs import leg_bent
from asfound.plots.torque import TorqueMark, torque_picture
from asfound.problems import bad_input
from asfound.quantity import Reading, show_length, show_number
from asfound.springs import (
    CONSTANTS,
    MATERIALS,
    Demands,
    Design,
    DrawerFit,
    Grid,
    Proposal,
    Reformed,
    Sleeved,
    SpringInPlace,
    TorqueCurve,
    propose,
    propose_for_lost,
    sold_sizes,
    steps,
    wire_choices,
)
from asfound.springs.cautions import LOADED_SPRING
from asfound.springs.strength import bending_limits
from asfound.springs.torsion import inner_stress_factor, torque_at_stress
from asfound.springs.winding import Hand
from asfound.web.room import Asked, Choice, How, Row, Section, Table, Task, both
from asfound.web.room_form import Field, Values
from asfound.web.springs.coil import coil_fields_if_known, material_of, say_constant, torsion_of

_ALL = "all"
_LOST = (
    "The old spring is taken for lost, as nothing was said of it: what is listed can take its place. See on the "
    "camera which way the load turns: it must close the coil"
)
_SIZES = ("wire", "outside", "turns")
_MOST_DESIGNS = 50_000_000
# What is tried out takes longer with the size of coil and room; no camera has more.
_MOST_TURNS, _MOST_ROOM_MM = 60.0, 40.0
_ROOM = "The room it has"
_NEW = "If it is wound new"


def fields(job: Job) -> tuple[Field, ...]:
    """Return what is asked: the spring, what it gives, what is needed, the room it has."""
    known, before = typed_before(job, RATE), typed_before(job, NEEDED)
    given = torques_at_lever(job)
    low, high = (given[0], given[-1]) if len(given) > 1 else (None, None)
    coil = tuple(
        replace(
            one,
            optional=one.name not in ("material", "constant"),
            group="The spring as it is",
            most=_MOST_TURNS if one.name == "turns" else one.most,
        )
        for one in coil_fields_if_known(known)
    )
    return (
        Field(name="fault", label="Fault", default=_fault(job), hint="as it is called in the job"),
        Field(name="needed", label="Needed of it, erected", unit="N·mm", default=_share(job), hint="its share"),
        Field(name="margin", label="Margin wanted", unit="1", default="1.3", most=10),
        Field(name="travel", label="Erected to folded", unit="deg", default=_travel(before), most=360),
        Field(
            name="erected",
            label="Gives erected",
            unit="N·mm",
            default=_value(low),
            optional=True,
            hint="at its lever; empty, with its sizes, if it is lost",
        ),
        Field(name="folded", label="Gives folded", unit="N·mm", default=_value(high), optional=True),
        Field(name="u_torque", label="Each known to", unit="N·mm", default=_u(low), optional=True),
        Field(name="rate", label="Rate as measured", unit="1", optional=True, hint="N·mm a turn; else reckoned"),
        *coil,
        Field(name="pin", label="Pin", unit="mm", most=_MOST_ROOM_MM, group=_ROOM),
        Field(name="room_across", label="Room across the coil", unit="mm", most=_MOST_ROOM_MM, group=_ROOM),
        Field(name="between_cheeks", label="Room along the coil", unit="mm", group=_ROOM),
        Field(
            name="leg_angle",
            label="Legs stand apart, erected",
            unit="deg",
            default="0",
            signed=True,
            most=360,
            group=_ROOM,
        ),
        Field(name="hand", label="Hand that the load closes", default="right", choices=("right", "left"), group=_ROOM),
        Field(name="of", label="Wire", default="music wire", choices=(*(m.name for m in MATERIALS), _ALL), group=_NEW),
        Field(name="sizes", label="Sizes", default="metric", choices=("metric", _ALL), group=_NEW),
        Field(name="look", label="Look at", hidden=True, optional=True),
    )


def _fault(job: Job) -> str:
    names = [fault.name for fault in job.faults if fault.open]
    return next(
        (name for name in names if "spring" in name.casefold() or "strut" in name.casefold()), "strut spring weak"
    )


def _share(job: Job) -> str:
    """Return half of what the struts need together, where that was written down."""
    needed = latest(job, NEEDED, "erected")
    return "" if needed is None or not needed.value else show_number(needed.value / 2)


def _travel(before: dict[str, str]) -> str:
    try:
        return f"{float(before['angle_erected']) - float(before['angle_folded']):g}"
    except (KeyError, ValueError):
        return ""


def _value(reading: Reading | None) -> str:
    return "" if reading is None or reading.value is None else show_number(reading.value, reading.standard_uncertainty)


def _u(reading: Reading | None) -> str:
    u = reading.standard_uncertainty if reading else None
    return show_number(u, significant=2) if u else ""


def proposals_of(asked: Asked) -> tuple[SpringInPlace | None, Demands, tuple[Proposal, ...]]:
    """Return the spring in its place (None: it is lost), what is demanded there, and what can be done, best first.

    Raises
    ------
    BadInputError
    """
    values = asked.values
    place, demands = _place(values), _demands(values)
    stock = [line.spring for line in stock_of(asked.book) if line.spring is not None]
    grid, needed, margin = _grid(values, demands), values["needed"], values["margin"]
    if place is None:
        found = propose_for_lost(
            needed_n_mm=needed, demands=demands, grid=grid, hand=_hand(values), drawer=stock, wanted_margin=margin
        )
        if not found:
            what = "nothing in the drawer, and no wire that is sold, gives that in this room"
            raise bad_input("needed", what, "measure the room again, or ask less margin")
        return None, demands, found
    found = propose(place, needed_n_mm=needed, demands=demands, grid=grid, drawer=stock, wanted_margin=margin)
    return place, demands, found


def _hand(values: Values) -> Hand:
    return "left" if values.text("hand") == "left" else "right"


def _place(values: Values) -> SpringInPlace | None:
    """Return the spring as it is; None where nothing at all was said of it."""
    if not values.known("erected", "folded", *_SIZES):
        return None
    erected, folded, u = values["erected"], values["folded"], values.maybe("u_torque")
    if folded <= erected:
        raise bad_input("folded", "no more than erected", "a strut's spring is wound further folded; measure again")
    if values["turns"] < 0.5:
        raise bad_input("turns", f"{values['turns']:g} turns are no coil", "count them again, the legs left out")
    return SpringInPlace(
        spring=torsion_of(values),
        material=material_of(values),
        erected=Reading(value=erected, unit="N·mm", standard_uncertainty=u),
        folded=Reading(value=folded, unit="N·mm", standard_uncertainty=u),
        rate_n_mm_per_turn=values.maybe("rate"),
        hand=_hand(values),
    )


def _demands(values: Values) -> Demands:
    pin, across = values["pin"], values["room_across"]
    if pin >= across:
        raise bad_input("room_across", "no room for a coil between it and the pin", "measure both again")
    if (values.maybe("outside") or 0.0) > across:
        raise bad_input("outside", f"it is more than the {across:g} mm of room for it", "measure both again")
    return Demands(
        erected_n_mm=values["needed"],
        travel_deg=values["travel"],
        pin_mm=pin,
        outside_mm=across,
        cheeks_mm=values["between_cheeks"],
        constant=CONSTANTS[values.text("constant")],
    )


def _grid(values: Values, demands: Demands) -> Grid:
    """Return the springs to choose from: 0.1 mm on the diameter, 5 degrees of preload, 1 to 20 turns."""
    kinds = [one for one in MATERIALS if values.text("of") in (one.name, _ALL)]
    sizes = [s for s in sold_sizes() if values.text("sizes") == _ALL or not s.label.startswith("music wire")]
    wires, _ = wire_choices(kinds, sizes)
    grid = Grid(
        wires=wires,
        mean_diameters_mm=steps(demands.pin_mm + 0.2, demands.outside_mm, 0.1),
        whole_turns=tuple(range(1, 21)),
        preloads_deg=steps(5, 360, 5),
        erected_leg_angle_deg=values["leg_angle"],
        leg_lengths_mm=tuple(leg for name in ("leg_1", "leg_2") if (leg := values.maybe(name)) is not None),
    )
    if not grid.size or grid.size > _MOST_DESIGNS:
        raise bad_input("room_across", "no design, or too many, would fit there", "measure pin and room again")
    return grid


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return the remedy looked at, with its curve beside the old one, and the list of all."""
    place, demands, found = proposals_of(asked)
    number = chosen(asked.values.text("look"), len(found))
    return (_one(asked, place, demands, found[number - 1], number), _all(asked, found))


def chosen(look: str, most: int) -> int:
    """Return the number of the remedy that is looked at: the best unless another is named."""
    return int(look) if look.isdecimal() and len(look) < 4 and 1 <= int(look) <= most else 1


def _one(asked: Asked, place: SpringInPlace | None, demands: Demands, proposal: Proposal, number: int) -> Section:
    remedy, values = proposal.remedy, asked.values
    mark = TorqueMark(angle_deg=0.0, torque_n_mm=values["needed"] * values["margin"], name="needed, with margin")
    curves = from_erected(proposal, demands.travel_deg)
    return Section(
        title=f"{number}. {plainly(remedy.name)}",
        verdict=remedy.verdict,
        words=remedy.why,
        pictures=both(
            torque_picture, curves, needed=[mark], limit_n_mm=_yield_torque(proposal, place),
            across="lever, degrees from erected towards folded",
        ),
        rows=(*_rows(proposal, place), *_detail(proposal)),
        remarks=(say_constant(demands.constant), *(() if place else (_LOST,))),
        cautions=remedy.cautions,
        links=_links(asked, proposal),
        write=Choice(f"Decide: {plainly(remedy.name)}"[:80], str(number)),
    )  # fmt: skip


def plainly(text: str) -> str:
    """Return a name with its degrees as a sign, and without the wire named twice."""
    return (
        text.replace(" deg", "°")
        .replace("music wire, music wire no.", "music wire no.")
        .replace("music wire music", "music")
    )


def from_erected(proposal: Proposal, travel_deg: float) -> tuple[TorqueCurve, ...]:
    """Return the curves over the lever's angle, 0 erected, also where they are counted from free."""
    sleeve = isinstance(proposal.detail, Sleeved)
    curves = (_turned(curve, travel_deg) if sleeve else curve for curve in proposal.curves)
    return tuple(replace(curve, name=plainly(curve.name)) for curve in curves)


def _turned(curve: TorqueCurve, travel_deg: float) -> TorqueCurve:
    start = curve.angles_deg[-1] - travel_deg
    corners = [angle for angle in curve.angles_deg if angle > start]
    torques = np.interp([start, *corners], curve.angles_deg, curve.torques_n_mm)
    return TorqueCurve((0.0, *(a - start for a in corners)), tuple(float(t) for t in torques), curve.name)


def _yield_torque(proposal: Proposal, place: SpringInPlace | None) -> float | None:
    """Return the torque at which the old wire yields, where the old spring stays; else None."""
    if place is None:
        return None
    made, limits = place.spring, bending_limits(place.material, wire_diameter_mm=place.spring.wire_diameter_mm)
    if not isinstance(proposal.detail, Reformed | Sleeved) or limits.yield_mpa is None:
        return None
    return torque_at_stress(
        stress_mpa=limits.yield_mpa,
        wire_diameter_mm=made.wire_diameter_mm,
        stress_factor=inner_stress_factor(index=made.mean_diameter_mm / made.wire_diameter_mm),
    )


def _torques(proposal: Proposal, place: SpringInPlace | None) -> tuple[float, float]:
    """Return what the spring then gives erected and folded."""
    before, after = ((place.erected.value or 0.0), (place.folded.value or 0.0)) if place else (0.0, 0.0)
    detail, erected = proposal.detail, before + proposal.remedy.gain_n_mm
    if isinstance(detail, Reformed | Sleeved | Design):
        return erected, detail.folded_n_mm
    if isinstance(detail, DrawerFit) and detail.found is not None:
        return erected, detail.found.folded_n_mm
    return erected, after


def _rows(proposal: Proposal, place: SpringInPlace | None) -> tuple[Row, ...]:
    remedy = proposal.remedy
    erected, folded = _torques(proposal, place)
    over = "" if remedy.margin is None else f"{remedy.margin:.2f} times what is needed"
    undo = "the camera can be put back as found" if remedy.can_be_undone else "it cannot be put back as found"
    return (
        Row("Gives erected", f"{show_number(erected)} N·mm", over, remedy.verdict),
        Row("Gained", f"{show_number(remedy.gain_n_mm)} N·mm", f"folded it then gives {show_number(folded)} N·mm")
        if place
        else Row("Gives folded", f"{show_number(folded)} N·mm"),
        Row("Risk", remedy.risk, f"{remedy.risk_words}; {undo}"),
        Row("Work", remedy.work, remedy.work_words),
    )


def _detail(proposal: Proposal) -> tuple[Row, ...]:
    detail = proposal.detail
    if isinstance(detail, Reformed):
        return _reformed(detail)
    if isinstance(detail, Sleeved):
        return _sleeved(detail)
    if isinstance(detail, Design):
        return (*_design(detail), *_chance(proposal))
    return ()


def _reformed(detail: Reformed) -> tuple[Row, ...]:
    limit = f"yields at {detail.yield_mpa:.0f} MPa" if detail.yield_mpa else "no strength is listed for this wire"
    remains = "not known: fold it once and measure again"
    if detail.remaining_gain_n_mm is not None and detail.new_set_deg is not None:
        remains = f"{show_number(detail.remaining_gain_n_mm)} N·mm"
    return (
        Row("Stress folded", f"{detail.stress_folded_mpa:.0f} MPa", limit, detail.takes_set),
        Row("Remains of the gain", remains, f"{show_number(detail.gain_n_mm)} N·mm as formed, less the set it takes"),
        Row("Coil then", f"{detail.body_turns:.2f} turns", f"on {show_length(detail.mean_diameter_mm)}, mean"),
    )


def _sleeved(detail: Sleeved) -> tuple[Row, ...]:
    clear = show_length(detail.remaining_clearance_mm)
    return (
        Row("Grips the sleeve at", f"{detail.binds_at_deg:.0f}°", "wound from free"),
        Row("Turns lost", f"{detail.turns_lost:g}", f"stiffer by {detail.stiffness_gained:.2f} times from there"),
        Row("Clear of the arbor", clear, "folded, on the diameter; some must remain"),
    )


def _design(design: Design) -> tuple[Row, ...]:
    made, folded = design.spring, design.folded
    limit = folded.limits.static_limit_mpa
    outside = show_length(made.mean_diameter_mm + made.wire_diameter_mm)
    pin = "" if folded.pin_clearance_mm is None else f"{show_length(folded.pin_clearance_mm)} clear of the pin, folded"
    return (
        Row("Wire", show_length(made.wire_diameter_mm), f"{design.material}, {design.wire}"),
        Row("Coil", f"{made.body_turns:.2f} turns", f"{outside} outside; index {folded.index:.1f}"),
        Row(
            "Legs apart, free",
            f"{design.free_leg_angle_deg:.0f}°",
            f"wound {design.preload_deg:.0f}° from there erected",
        ),
        Row(
            "Stress folded",
            f"{folded.stress_mpa:.0f} MPa",
            f"allowed for a new spring: {limit:.0f} MPa" if limit else "",
        ),
        Row("Length under load", show_length(folded.loaded_body_length_mm), pin),
    )


def _chance(proposal: Proposal) -> tuple[Row, ...]:
    chance = proposal.chance
    if chance is None:
        return ()
    fails = (
        ("too weak", chance.too_weak),
        ("over-stressed", chance.over_stressed),
        ("does not fit", chance.does_not_fit),
    )
    worst = ", ".join(f"{name} {share:.0%}" for name, share in fails if share >= 0.005)
    how = "over wire as it is drawn, a winding by hand to 2 % and 5°, modulus to 1 %"
    return (Row("Of those wound will do", f"{chance.will_do:.0%}", f"{worst}; {how}" if worst else how),)


def _links(asked: Asked, proposal: Proposal) -> tuple[tuple[str, str], ...]:
    """Return the way to the winding sheet of a spring that is wound new."""
    if not isinstance(proposal.detail, Design):
        return ()
    made, design = proposal.detail.spring, proposal.detail
    legs = (*made.leg_lengths_mm, 0.0, 0.0)
    query = {
        "which": asked.typed["fault"],
        "wire": f"{made.wire_diameter_mm:.6g}",
        "outside": f"{made.mean_diameter_mm + made.wire_diameter_mm:.6g}",
        "material": design.material,
        "turns": f"{made.body_turns:.6g}",
        "leg_1": f"{legs[0]:g}" if legs[0] else "",
        "leg_2": f"{legs[1]:g}" if legs[1] else "",
        "constant": made.constant.name,
        "hand": asked.typed["hand"],
    }
    return ((f"/job/{asked.job.id}/springs/winding?{urlencode(query)}", "Winding sheet"),)


def _all(asked: Asked, found: Sequence[Proposal]) -> Section:
    path = urlsplit(asked.address)
    typed = [(name, text) for name, text in parse_qsl(path.query, keep_blank_values=True) if name != "look"]
    rows = tuple(
        (
            f"{number}. {plainly(one.remedy.name)}",
            one.remedy.verdict,
            "–" if one.remedy.margin is None else f"{one.remedy.margin:.2f}",
            one.remedy.risk,
            one.remedy.work,
        )
        for number, one in enumerate(found, start=1)
    )
    hrefs = tuple(f"{path.path}?{urlencode([*typed, ('look', str(n))])}" for n in range(1, len(rows) + 1))
    return Section(
        title="What can be done",
        words="those that will do first, then the least work and risk together",
        table=Table(("Remedy", "Will it do", "Times needed", "Risk", "Work"), rows, hrefs),
        remarks=("The drawer is looked through first; what lies there in the other hand is not offered",),
    )


def write(asked: Asked, _stage: Stage, choice: str) -> tuple[Entry, ...]:
    """Write the decision for one of the remedies into the job."""
    _, _, found = proposals_of(asked)
    remedy = found[chosen(choice, len(found)) - 1].remedy
    return write_decision(asked.book, asked.job.id, fault=asked.values.text("fault"), remedy=remedy)


def how() -> How:
    """Say how a spring is measured for this, and re-formed."""
    return How(
        title="How to go about it",
        pictures=both(leg_bent),
        steps=(
            "Measure it at its lever first, erected and folded; a weak reading is as often friction as a weak spring.",
            "Let it down under control and take it out; photograph it from both ends before anything is bent.",
            "Bend cold, on a rod that fills the coil, with smooth jaws: a nick is where old wire breaks.",
            "Bend so that the leg stands further back from where the camera holds it: then it is wound further.",
            "A little at a time: put it back, fold and erect it three times, measure, then bend again. It takes a set.",
            "Keep the old spring, and write what was bent: it cannot be put back as found.",
        ),
        cautions=(LOADED_SPRING,),
    )


TASK = Task(
    path="remedies",
    name="What can be done",
    lead="Leave it, re-form it, a sleeve, one from the drawer, one wound new: ranked.",
    fields=fields,
    work_out=work_out,
    write=write,
    how=how,
    ask="Work it out",
    staged=False,
)
