"""A new spring for the same space: every sold wire, diameter, turns and leg angle, ranked by margin."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from asfound.springs.cautions import CUT_WIRE, HOT_WIRE, LOADED_SPRING
from asfound.springs.loaded import LoadedTorsion, load_torsion
from asfound.springs.search import Demands, Found, Grid, WireChoice, search
from asfound.springs.strength import bending_limits
from asfound.springs.torsion import TorqueCurve, TorsionSpring
from asfound.springs.wire import Material, SoldSize, find_material, moduli


@dataclass(frozen=True, slots=True, kw_only=True)
class Design:
    """A spring to be wound, with what it gives in its place.

    Attributes
    ----------
    preload_deg : float
        Wound from free when erected; `travel_deg` more when folded.
    free_leg_angle_deg : float
        Between the legs, unloaded: the part of a turn beyond whole turns.
    margin : float
        The least of torque given over needed at either position and static limit over stress.
    """

    material: str
    wire: str
    spring: TorsionSpring
    preload_deg: float
    travel_deg: float
    free_leg_angle_deg: float
    erected_n_mm: float
    folded_n_mm: float
    folded: LoadedTorsion
    margin: float
    cautions: tuple[str, ...] = (LOADED_SPRING, CUT_WIRE, HOT_WIRE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """Designs ranked by margin, how many were in the space, and how many had to be worked out.

    Attributes
    ----------
    not_listed : tuple of str
        Wires left out because no strength is listed for that size.
    """

    designs: tuple[Design, ...]
    space: int
    evaluated: int
    not_listed: tuple[str, ...] = field(default_factory=tuple)


def wire_choices(
    materials: Sequence[Material], sizes: Sequence[SoldSize]
) -> tuple[tuple[WireChoice, ...], tuple[str, ...]]:
    """Return every wire whose strength is listed, and the names of those without.

    A gauge is music wire by name; the other materials come in metric sizes.
    """
    listed, missing = [], []
    for material in materials:
        for size in sizes:
            if size.label.startswith("music wire") and material.name != "music wire":
                continue
            limits = bending_limits(material, wire_diameter_mm=size.diameter_mm)
            if limits.static_limit_mpa is None:
                missing.append(f"{material.name} {size.label}")
                continue
            e = moduli(material, wire_diameter_mm=size.diameter_mm).youngs_mpa
            listed.append(
                WireChoice(
                    label=size.label,
                    material=material.name,
                    diameter_mm=size.diameter_mm,
                    modulus_mpa=e,
                    limit_mpa=limits.static_limit_mpa,
                )
            )
    return tuple(listed), tuple(missing)


def choose(
    grid: Grid, demands: Demands, *, keep: int = 10, each_wire: bool = True, missing: tuple[str, ...] = ()
) -> Choice:
    """Return the best designs of a grid by margin; with `each_wire` the best of each wire.

    The grid is searched exactly: see `asfound.springs.search`.
    """
    found = search(grid, demands, keep=1 if each_wire else keep, each_wire=each_wire)
    designs = tuple(_design(grid, demands, one) for one in found.found[:keep])
    return Choice(designs=designs, space=found.space, evaluated=found.evaluated, not_listed=missing)


def _design(grid: Grid, demands: Demands, one: Found) -> Design:
    wire = grid.wires[one.wire]
    spring = TorsionSpring(
        wire_diameter_mm=wire.diameter_mm,
        mean_diameter_mm=one.mean_diameter_mm,
        body_turns=one.body_turns,
        leg_lengths_mm=grid.leg_lengths_mm,
        modulus_mpa=wire.modulus_mpa,
        constant=demands.constant,
    )
    material = find_material(wire.material)
    assert material is not None
    folded = load_torsion(spring, torque_n_mm=one.folded_n_mm, material=material, pin_mm=demands.pin_mm)
    return Design(
        material=wire.material,
        wire=wire.label,
        spring=spring,
        preload_deg=one.preload_deg,
        travel_deg=demands.travel_deg,
        free_leg_angle_deg=360 * (one.body_turns % 1),
        erected_n_mm=one.erected_n_mm,
        folded_n_mm=one.folded_n_mm,
        folded=folded,
        margin=one.margin,
    )


def design_curve(design: Design) -> TorqueCurve:
    """Return torque over the lever's angle, 0 erected, to be drawn beside the old spring's."""
    name = f"{design.material} {design.wire}"
    return TorqueCurve((0.0, design.travel_deg), (design.erected_n_mm, design.folded_n_mm), name)


def steps(low: float, high: float, step: float) -> tuple[float, ...]:
    """Return low, low + step, ... up to high, without the drift of adding."""
    count = math.floor((high - low) / step + 1e-9) + 1
    return tuple(low + i * step for i in range(max(0, count)))


def per_strut(demands: Demands, *, share: float) -> Demands:
    """Return the demands on one of two struts that carries `share` of the need."""
    return replace(demands, erected_n_mm=demands.erected_n_mm * share, folded_n_mm=demands.folded_n_mm * share)
