"""Compression springs: rate, travel, solid length, and the way to take the set out on purpose."""

from dataclasses import dataclass
from typing import Literal

from asfound.springs.helical import (
    ShearRule,
    coil_shear_stress,
    force_at_shear_stress,
    helical_rate,
    shear_factor,
)
from asfound.springs.strength import Verdict
from asfound.springs.wire import Material, moduli, tensile_strength

Ends = Literal["plain", "plain ground", "closed", "closed ground"]

# Dead turns, and turns of wire in the solid length, beyond the total: Shigley, Table 10-1 (from memory).
_DEAD = {"plain": 0.0, "plain ground": 1.0, "closed": 2.0, "closed ground": 2.0}
_SOLID_EXTRA = {"plain": 1.0, "plain ground": 0.0, "closed": 1.0, "closed ground": 0.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class CompressionResult:
    """A compression spring at a force; None where strength or free length is not known."""

    index: float
    stress_factor: float
    active_turns: float
    rate_n_per_mm: float
    deflection_mm: float
    stress_mpa: float
    tensile_mpa: float | None
    shear_yield_mpa: float | None
    force_at_yield_n: float | None
    solid_length_mm: float
    travel_to_solid_mm: float | None
    force_at_solid_n: float | None
    verdict: Verdict
    strength_source: str


def compress(
    *,
    wire_diameter_mm: float,
    mean_diameter_mm: float,
    total_turns: float,
    ends: Ends,
    force_n: float,
    material: Material,
    free_length_mm: float | None = None,
    shear_modulus_mpa: float | None = None,
    rule: ShearRule = "Bergstraesser",
) -> CompressionResult:
    """Return a compression spring at a force.

    Formulas and turns of the ends: Shigley, Mechanical Engineering Design, chapter 10 (from memory). The
    verdict is "outside" over shear yield or past solid.
    """
    index = mean_diameter_mm / wire_diameter_mm
    factor = shear_factor(index=index, rule=rule)
    active = active_compression_turns(total_turns=total_turns, ends=ends)
    modulus = shear_modulus_mpa or moduli(material, wire_diameter_mm=wire_diameter_mm).shear_mpa
    rate = helical_rate(
        wire_diameter_mm=wire_diameter_mm,
        mean_diameter_mm=mean_diameter_mm,
        active_turns=active,
        shear_modulus_mpa=modulus,
    )
    stress = coil_shear_stress(
        force_n=force_n, wire_diameter_mm=wire_diameter_mm, mean_diameter_mm=mean_diameter_mm, factor=factor
    )
    strength = tensile_strength(material, wire_diameter_mm=wire_diameter_mm)
    shear_yield = strength.minimum_mpa * material.shear_yield_fraction if strength else None
    at_yield = shear_yield and force_at_shear_stress(
        stress_mpa=shear_yield,
        wire_diameter_mm=wire_diameter_mm,
        mean_diameter_mm=mean_diameter_mm,
        factor=factor,
    )
    solid = solid_length(wire_diameter_mm=wire_diameter_mm, total_turns=total_turns, ends=ends)
    travel = None if free_length_mm is None else free_length_mm - solid
    return CompressionResult(
        index=index,
        stress_factor=factor,
        active_turns=active,
        rate_n_per_mm=rate,
        deflection_mm=force_n / rate,
        stress_mpa=stress,
        tensile_mpa=strength.minimum_mpa if strength else None,
        shear_yield_mpa=shear_yield,
        force_at_yield_n=at_yield,
        solid_length_mm=solid,
        travel_to_solid_mm=travel,
        force_at_solid_n=None if travel is None else rate * travel,
        verdict=_verdict(stress, shear_yield, force_n / rate, travel),
        strength_source=f"{strength.source} ({strength.mark})" if strength else "none listed for this size",
    )


def _verdict(stress: float, shear_yield: float | None, deflection: float, travel: float | None) -> Verdict:
    if travel is not None and deflection > travel * (1 + 1e-9):
        return "outside"
    if shear_yield is None:
        return "cannot tell"
    return "within" if stress <= shear_yield else "outside"


def active_compression_turns(*, total_turns: float, ends: Ends) -> float:
    """Return total turns less those that the ends hold still (Shigley, Table 10-1, from memory)."""
    return total_turns - _DEAD[ends]


def solid_length(*, wire_diameter_mm: float, total_turns: float, ends: Ends) -> float:
    """Return the length in mm with all turns touching (Shigley, Table 10-1, from memory)."""
    return wire_diameter_mm * (total_turns + _SOLID_EXTRA[ends])


def presetting_stroke(*, free_length_mm: float, solid_length_mm: float) -> float:
    """Return how much longer to wind so that pressing solid takes the set out: 10 % of free to solid.

    More gives distortion without benefit (a spring maker's guide, read).
    """
    return 0.10 * (free_length_mm - solid_length_mm)
