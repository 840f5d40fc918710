"""What compression and extension springs share: shear stress, rate, the factor for curvature."""

import math
from typing import Literal

ShearRule = Literal["none", "Wahl", "Bergstraesser"]


def shear_factor(*, index: float, rule: ShearRule) -> float:
    """Return the factor on shear stress for a coil of index C = D/d.

    "Wahl" is (4C - 1)/(4C - 4) + 0.615/C; "Bergstraesser" is (4C + 2)/(4C - 3), which Shigley calls KB (both
    from memory); "none" leaves the stress as in a straight bar.
    """
    if rule == "Wahl":
        return (4 * index - 1) / (4 * index - 4) + 0.615 / index
    return (4 * index + 2) / (4 * index - 3) if rule == "Bergstraesser" else 1.0


def coil_shear_stress(
    *, force_n: float, wire_diameter_mm: float, mean_diameter_mm: float, factor: float = 1.0
) -> float:
    """Return the shear stress 8 F D / (pi d^3) in MPa, times the factor."""
    return factor * 8 * force_n * mean_diameter_mm / (math.pi * wire_diameter_mm**3)


def force_at_shear_stress(
    *, stress_mpa: float, wire_diameter_mm: float, mean_diameter_mm: float, factor: float = 1.0
) -> float:
    """Return the force in N that brings a coil to a shear stress: the inverse of `coil_shear_stress`."""
    return stress_mpa * math.pi * wire_diameter_mm**3 / (8 * mean_diameter_mm * factor)


def helical_rate(
    *, wire_diameter_mm: float, mean_diameter_mm: float, active_turns: float, shear_modulus_mpa: float
) -> float:
    """Return the rate G d^4 / (8 D^3 N) in N/mm (pure torsion of the wire; EN 13906-1, from memory)."""
    return shear_modulus_mpa * wire_diameter_mm**4 / (8 * mean_diameter_mm**3 * active_turns)


def turns_for_rate(
    *, wire_diameter_mm: float, mean_diameter_mm: float, rate_n_per_mm: float, shear_modulus_mpa: float
) -> float:
    """Return the active turns that give a rate."""
    return helical_rate(
        wire_diameter_mm=wire_diameter_mm,
        mean_diameter_mm=mean_diameter_mm,
        active_turns=rate_n_per_mm,
        shear_modulus_mpa=shear_modulus_mpa,
    )
