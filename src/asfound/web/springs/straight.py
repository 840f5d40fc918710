"""Compression and extension springs and leaves as they are, from their dimensions."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from asfound.bench.springs import write_straight_rate
from asfound.job import Entry, Job
from asfound.job.bodies import Stage
from asfound.plots.how_springs import coil_measured, hooks_measured, leaf_measured
from asfound.plots.spring_force import ForceMark, force_picture
from asfound.problems import bad_input
from asfound.quantity import show_length, show_number
from asfound.springs import bend_leaf, compress, extend
from asfound.springs.cautions import LOADED_SPRING
from asfound.springs.compression import Ends
from asfound.springs.flat import WIDE_RATIO
from asfound.springs.strength import Verdict
from asfound.web.room import Asked, Choice, How, Row, Section, Task, both
from asfound.web.room_form import Field, Values
from asfound.web.springs.coil import WHICH, coil_of, material_of, wire_fields

_ENDS: tuple[Ends, ...] = ("plain", "plain ground", "closed", "closed ground")
_DEAD = {"plain": 0.0, "plain ground": 1.0}
_SHEAR = "shear stress with Bergstraesser's factor for the coil's curvature (Shigley, from memory)"
_FORCE = Field(name="force", label="Force on it", unit="N", hint="as in 2 N or 200 gf")


@dataclass(frozen=True, slots=True, kw_only=True)
class Straight:
    """What is common to springs that are pressed, drawn or bent: lengths in mm, forces in N."""

    rate_n_per_mm: float
    travel_mm: float
    force_n: float
    starts_at_n: float = 0.0
    verdict: Verdict | None = None
    words: str
    rows: tuple[Row, ...]
    ends: tuple[ForceMark, ...] = ()
    remarks: tuple[str, ...] = ()


def compression_of(values: Values) -> Straight:
    """Return the compression spring that the fields describe, at its force."""
    turns, kind = values["turns"], values.text("ends")
    wire, mean = coil_of(values, turns=turns)
    if turns <= _DEAD.get(kind, 2.0):
        raise bad_input("turns", f"{turns:g} leaves no turn that works", "count the turns again, ends included")
    found = compress(
        wire_diameter_mm=wire,
        mean_diameter_mm=mean,
        total_turns=turns,
        ends=next(one for one in _ENDS if one == kind),
        force_n=values["force"],
        material=material_of(values),
        free_length_mm=values.maybe("free_length"),
    )
    solid, most = found.travel_to_solid_mm, found.force_at_yield_n
    if solid is not None and solid <= 0:
        what = f"it is no more than the solid length of {found.solid_length_mm:.3g} mm"
        raise bad_input("free_length", what, "measure both again")
    ends = []
    if solid is not None and found.force_at_solid_n is not None:
        ends.append(ForceMark(travel_mm=solid, force_n=found.force_at_solid_n, name="solid"))
    if most is not None:
        ends.append(ForceMark(travel_mm=most / found.rate_n_per_mm, force_n=most, name="the wire yields"))
    return Straight(
        rate_n_per_mm=found.rate_n_per_mm,
        travel_mm=found.deflection_mm,
        force_n=values["force"],
        verdict=found.verdict,
        words=_stressed(found.stress_mpa, found.shear_yield_mpa),
        rows=(
            *_coil_rows(found.stress_mpa, found.shear_yield_mpa, found.index, found.active_turns),
            Row("Solid", show_length(found.solid_length_mm), _to_solid(solid)),
        ),
        ends=tuple(ends),
        remarks=(_SHEAR, f"strength from {found.strength_source}"),
    )


def _to_solid(travel: float | None) -> str:
    return "give the free length to see what is left to solid" if travel is None else f"{show_length(travel)} from free"


def extension_of(values: Values) -> Straight:
    """Return the extension spring that the fields describe, at its force."""
    turns, tension = values["turns"], values.maybe("initial_tension") or 0.0
    wire, mean = coil_of(values, turns=turns)
    found = extend(
        wire_diameter_mm=wire,
        mean_diameter_mm=mean,
        body_turns=turns,
        force_n=values["force"],
        initial_tension_n=tension,
        material=material_of(values),
    )
    hook, limit = found.hook_bending_stress_mpa, found.bending_yield_mpa
    yields = "" if limit is None else f"its bend yields at {limit:.0f} MPa"
    return Straight(
        rate_n_per_mm=found.rate_n_per_mm,
        travel_mm=found.deflection_mm,
        force_n=max(values["force"], tension),
        starts_at_n=tension,
        verdict=found.verdict,
        words=_stressed(found.stress_mpa, found.shear_yield_mpa),
        rows=(
            *_coil_rows(found.stress_mpa, found.shear_yield_mpa, found.index, found.active_turns),
            Row("Stress in the hook", f"{hook:.0f} MPa", yields),
            Row("Length, inside the hooks", show_length(found.length_mm), f"{show_length(found.free_length_mm)} free"),
        ),
        remarks=(_SHEAR, f"strength from {found.strength_source}"),
    )


def _stressed(stress: float, limit: float | None) -> str:
    if limit is None:
        return "no strength is listed for this wire"
    return f"stress at this force is {stress / limit:.0%} of yield"


def _coil_rows(stress: float, limit: float | None, index: float, active: float) -> tuple[Row, ...]:
    yields = "no strength is listed for this wire" if limit is None else f"yields at {limit:.0f} MPa in shear"
    return (
        Row("Stress", f"{stress:.0f} MPa", yields),
        Row("Index", show_number(index), "mean diameter over wire; 4 to 12 is usual"),
        Row("Active turns", f"{active:.2f}"),
    )


def leaf_of(values: Values) -> Straight:
    """Return the leaf that the fields describe, at its force."""
    length, e_gpa = values["length"], values["modulus"]
    if not 10_000 <= e_gpa <= 500_000:
        raise bad_input("modulus", f"{e_gpa / 1000:g} GPa is no metal's modulus", "write it as in 206 GPa")
    wide = values.text("held") == "across its width"
    found = bend_leaf(
        width_mm=values["width"],
        thickness_mm=values["thickness"],
        length_mm=length,
        force_n=values["force"],
        modulus_mpa=e_gpa,
        wide=wide,
    )
    remarks = []
    if found.width_over_thickness > WIDE_RATIO and not wide:
        remarks.append(f"a wide strip: up to a tenth stiffer than this ({found.wide_rate_n_per_mm:.3g} N/mm)")
    if found.deflection_mm > length / 10:
        remarks.append("it bends by more than a tenth of its length: beam theory is out of its range here")
    return Straight(
        rate_n_per_mm=found.rate_n_per_mm,
        travel_mm=found.deflection_mm,
        force_n=values["force"],
        verdict="cannot tell",
        words="whether this strip yields is not listed: compare with its twin, or with what its maker says",
        rows=(Row("Stress where it is held", f"{found.stress_mpa:.0f} MPa", "6 P L/(b t²)"),),
        remarks=(*remarks, "beam theory, one end held, the force at the other (handbook, from memory)"),
    )


def _compression_fields(_job: Job) -> tuple[Field, ...]:
    return (
        WHICH,
        *wire_fields(),
        Field(name="turns", label="Turns, all of them", unit="1", most=1000),
        Field(name="ends", label="Ends", default="closed", choices=_ENDS),
        _FORCE,
        Field(name="free_length", label="Free length", unit="mm", optional=True),
    )


def _extension_fields(_job: Job) -> tuple[Field, ...]:
    tension = Field(
        name="initial_tension", label="Turns part at", unit="N", optional=True, hint="the initial tension, if any"
    )
    return (WHICH, *wire_fields(), Field(name="turns", label="Turns of the body", unit="1", most=1000), _FORCE, tension)


def _leaf_fields(_job: Job) -> tuple[Field, ...]:
    return (
        WHICH,
        Field(name="width", label="Width", unit="mm"),
        Field(name="thickness", label="Thickness", unit="mm"),
        Field(name="length", label="Length", unit="mm", hint="from where it is held to the force"),
        _FORCE,
        Field(name="modulus", label="Young's modulus", unit="MPa", default="206 GPa"),
        Field(name="held", label="Held", default="free to curve", choices=("free to curve", "across its width")),
    )


def _work_out(asked: Asked, read: Callable[[Values], Straight], sort: str) -> tuple[Section, ...]:
    found = read(asked.values)
    point = ForceMark(travel_mm=found.travel_mm, force_n=found.force_n, name="force asked for")
    picture = both(
        force_picture, rate_n_per_mm=found.rate_n_per_mm, asked=point, starts_at_n=found.starts_at_n, ends=found.ends
    )
    return (
        Section(
            title=f"{sort}: {asked.values.text('which')[:60]}",
            verdict=found.verdict or "",
            words=found.words,
            pictures=picture,
            rows=(
                Row(
                    "Rate", f"{show_number(found.rate_n_per_mm)} N/mm", f"{found.rate_n_per_mm / 9.80665e-3:.0f} gf/mm"
                ),
                Row("Travel at this force", show_length(found.travel_mm)),
                *found.rows,
            ),
            remarks=found.remarks,
            cautions=(LOADED_SPRING,),
            write=Choice("Write the rate to the job"),
        ),
    )


def _write(asked: Asked, stage: Stage, read: Callable[[Values], Straight]) -> tuple[Entry, ...]:
    found = read(asked.values)
    return write_straight_rate(
        asked.book, asked.job.id, which=asked.values.text("which"), rate_n_per_mm=found.rate_n_per_mm,
        typed=asked.typed, stage=stage,
    )  # fmt: skip


def _task(
    path: str,
    name: str,
    lead: str,
    fields: Callable[[Job], tuple[Field, ...]],
    read: Callable[[Values], Straight],
    how: Callable[[], How],
) -> Task:
    return Task(
        path=path,
        name=name,
        lead=lead,
        fields=fields,
        work_out=lambda asked: _work_out(asked, read, name),
        write=lambda asked, stage, _choice: _write(asked, stage, read),
        how=how,
    )


def _how_pressed() -> How:
    steps = (
        "Let it down under control and take it out. Lay it flat: the free length, end to end, not squeezed.",
        "Wire: bare, by micrometer, in three places. 1 % of it is 4 % of the rate.",
        "Outside over the coil, both sides; turns counted whole, the dead ones at the ends with them.",
        "Ends: plain or bent shut, ground flat or not.",
    )
    return How(steps=steps, pictures=both(coil_measured), cautions=(LOADED_SPRING,))


def _how_drawn() -> How:
    steps = (
        "Unhook it with the pull taken by a thread. Wire and outside as of any coil, turns without the hooks.",
        "Turns that touch hold a tension of their own: hang it up, pull with a balance, slip paper between two turns.",
        "Where the paper just slides is the pull at which the turns part.",
    )
    return How(steps=steps, pictures=both(hooks_measured), cautions=(LOADED_SPRING,))


def _how_leaf() -> How:
    steps = (
        "Thickness by micrometer in three places: 1 % of it is 3 % of the rate.",
        "Length from the edge of what holds it to where the force acts, not to its tip.",
        "Width at the clamp; for one that narrows, halfway.",
    )
    return How(steps=steps, pictures=both(leaf_measured), cautions=(LOADED_SPRING,))


TASKS: Sequence[Task] = (
    _task(
        "compression",
        "Compression",
        "What a spring that is pressed does.",
        _compression_fields,
        compression_of,
        _how_pressed,
    ),
    _task(
        "extension",
        "Extension",
        "What a spring with hooks that is drawn does.",
        _extension_fields,
        extension_of,
        _how_drawn,
    ),
    _task("leaf", "Leaf", "What a strip held at one end does.", _leaf_fields, leaf_of, _how_leaf),
)
