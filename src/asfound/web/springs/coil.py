"""The fields that say what a coil is, and the spring read from them."""

from collections.abc import Mapping
from dataclasses import replace

from asfound.plots.winding import winding_picture
from asfound.problems import BadInputError, Problem, bad_input
from asfound.springs import (
    CONSTANTS,
    MATERIALS,
    Material,
    TorsionConstant,
    TorsionSpring,
    dimension_problems,
    find_material,
    winding_sheet,
)
from asfound.springs.cautions import LOADED_SPRING
from asfound.springs.wire import moduli
from asfound.web.room import How, both
from asfound.web.room_form import Field, Values

# Thicker wire is no spring of a camera: thou typed as mm, most likely (common practice, no source).
THICK_MM = 3.0
# A coil or a leg larger than this is in no camera: a slip of the keys.
_MOST_MM = 500.0
WHICH = Field(name="which", label="Which spring", default="left strut", hint="as you call it in the job")


def wire_fields() -> tuple[Field, ...]:
    """Return the fields of any coil: wire, outside diameter, material."""
    return (
        Field(name="wire", label="Wire", unit="mm", hint="bare, by micrometer: 0.5, or 20 thou"),
        Field(name="outside", label="Outside of the coil", unit="mm", hint="as in 5.5", most=_MOST_MM),
        Field(name="material", label="Wire is of", default="music wire", choices=tuple(m.name for m in MATERIALS)),
    )


def torsion_fields() -> tuple[Field, ...]:
    """Return the fields of a torsion spring."""
    return (
        *wire_fields(),
        Field(name="turns", label="Turns of the coil", unit="1", most=1000, hint="as in 6.25, legs left out"),
        Field(name="leg_1", label="First leg", unit="mm", optional=True, hint="coil to where it bears", most=_MOST_MM),
        Field(name="leg_2", label="Second leg", unit="mm", optional=True, most=_MOST_MM),
        Field(name="constant", label="Torsion constant", default="textbook", choices=tuple(CONSTANTS)),
    )


def coil_fields_if_known(known: Mapping[str, str], *, group: str = "") -> tuple[Field, ...]:
    """Return the same fields, to be left empty or as they were typed before."""
    choices = ("material", "constant")
    return tuple(
        replace(
            one, optional=True, group=group, default=known.get(one.name, one.default if one.name in choices else "")
        )
        for one in torsion_fields()
    )


def material_of(values: Values) -> Material:
    """Return the material chosen."""
    material = find_material(values.text("material"))
    assert material is not None
    return material


def coil_of(values: Values, *, turns: float) -> tuple[float, float]:
    """Return wire and mean diameter in mm.

    Raises
    ------
    BadInputError
        If such a coil cannot be wound, or thou were most likely typed as mm.
    """
    wire, outside = values["wire"], values["outside"]
    if wire > THICK_MM:
        what = f"{wire:g} mm is no camera's spring wire; is {wire:g} thou ({wire * 0.0254:.3g} mm) meant?"
        raise bad_input("wire", what, f"write {wire:g} thou")
    mean = outside - wire
    found = dimension_problems(wire_diameter_mm=wire, mean_diameter_mm=max(mean, 0.0), body_turns=turns)
    if found:
        remedy = "check both units; the outside diameter goes over the wire on both sides"
        raise BadInputError(*(Problem("outside", p.what, remedy) for p in found))
    return wire, mean


def torsion_of(values: Values) -> TorsionSpring:
    """Return the torsion spring that the fields describe."""
    turns = values["turns"]
    wire, mean = coil_of(values, turns=turns)
    legs = tuple(leg for leg in (values.maybe("leg_1"), values.maybe("leg_2")) if leg is not None)
    return TorsionSpring(
        wire_diameter_mm=wire,
        mean_diameter_mm=mean,
        body_turns=turns,
        leg_lengths_mm=legs,
        modulus_mpa=moduli(material_of(values), wire_diameter_mm=wire).youngs_mpa,
        constant=CONSTANTS[values.text("constant")],
    )


def say_constant(constant: TorsionConstant) -> str:
    """Return the constant in use as a remark: it belongs to every result."""
    return f"torsion constant “{constant.name}”, K = {constant.value:.0f} ({constant.source})"


def how_to_measure() -> How:
    """Say how a torsion spring's dimensions are taken."""
    sample = TorsionSpring(
        wire_diameter_mm=0.6,
        mean_diameter_mm=5.6,
        body_turns=5.75,
        leg_lengths_mm=(10.0, 12.0),
        modulus_mpa=203_400.0,
        constant=CONSTANTS["textbook"],
    )
    sheet = winding_sheet(sample, hand="right", tensile_mpa=2300.0)
    return How(
        steps=(
            "Let the spring down under control and take it out; photograph it first, from both ends.",
            "Wire: bare, with a micrometer, in three places. 1 % of it is 4 % of the rate.",
            "Outside of the coil with the calliper, across the wire on both sides; not squeezed.",
            "Turns: whole ones along the coil, and the part of a turn by which the second leg stands past the first.",
            "Legs: from where the wire leaves the coil to where the leg bears in the camera, not to its end.",
            "Hand: look at the near side with the coil lying level; leaning left as it rises is right-hand.",
        ),
        pictures=both(winding_picture, sheet, mandrel=False),
        cautions=(LOADED_SPRING,),
    )
