"""Extension springs: initial tension, rate, free length over hooks."""

from dataclasses import dataclass
from math import pi

from asfound.springs.helical import ShearRule, coil_shear_stress, helical_rate, shear_factor
from asfound.springs.strength import Verdict
from asfound.springs.wire import Material, moduli, tensile_strength


@dataclass(frozen=True, slots=True, kw_only=True)
class ExtensionResult:
    """An extension spring at a force; strength None where nothing is listed."""

    index: float
    stress_factor: float
    active_turns: float
    rate_n_per_mm: float
    deflection_mm: float
    free_length_mm: float
    length_mm: float
    stress_mpa: float
    hook_bending_stress_mpa: float
    tensile_mpa: float | None
    shear_yield_mpa: float | None
    bending_yield_mpa: float | None
    verdict: Verdict
    strength_source: str


def extend(
    *,
    wire_diameter_mm: float,
    mean_diameter_mm: float,
    body_turns: float,
    force_n: float,
    initial_tension_n: float,
    material: Material,
    youngs_modulus_mpa: float | None = None,
    shear_modulus_mpa: float | None = None,
    rule: ShearRule = "Bergstraesser",
) -> ExtensionResult:
    """Return an extension spring with full-loop hooks at a force.

    Each hook bends like part of a turn: active turns are Nb + G/E, free length is 2(D - d) + (Nb + 1)d
    (Shigley, Mechanical Engineering Design, section 10-11, from memory).
    """
    index = mean_diameter_mm / wire_diameter_mm
    factor = shear_factor(index=index, rule=rule)
    listed = moduli(material, wire_diameter_mm=wire_diameter_mm)
    shear = shear_modulus_mpa or listed.shear_mpa
    active = body_turns + shear / (youngs_modulus_mpa or listed.youngs_mpa)
    rate = helical_rate(
        wire_diameter_mm=wire_diameter_mm,
        mean_diameter_mm=mean_diameter_mm,
        active_turns=active,
        shear_modulus_mpa=shear,
    )
    stretch = max(0.0, force_n - initial_tension_n) / rate
    free = 2 * (mean_diameter_mm - wire_diameter_mm) + (body_turns + 1) * wire_diameter_mm
    stress = coil_shear_stress(
        force_n=force_n, wire_diameter_mm=wire_diameter_mm, mean_diameter_mm=mean_diameter_mm, factor=factor
    )
    hook = hook_bending_stress(force_n=force_n, wire_diameter_mm=wire_diameter_mm, mean_diameter_mm=mean_diameter_mm)
    strength = tensile_strength(material, wire_diameter_mm=wire_diameter_mm)
    shear_yield = strength.minimum_mpa * material.shear_yield_fraction if strength else None
    bending_yield = strength.minimum_mpa * material.yield_fraction if strength else None
    return ExtensionResult(
        index=index,
        stress_factor=factor,
        active_turns=active,
        rate_n_per_mm=rate,
        deflection_mm=stretch,
        free_length_mm=free,
        length_mm=free + stretch,
        stress_mpa=stress,
        hook_bending_stress_mpa=hook,
        tensile_mpa=strength.minimum_mpa if strength else None,
        shear_yield_mpa=shear_yield,
        bending_yield_mpa=bending_yield,
        verdict=_verdict((stress, shear_yield), (hook, bending_yield)),
        strength_source=f"{strength.source} ({strength.mark})" if strength else "none listed for this size",
    )


def _verdict(*pairs: tuple[float, float | None]) -> Verdict:
    if any(limit is None for _, limit in pairs):
        return "cannot tell"
    return "within" if all(limit is not None and stress <= limit for stress, limit in pairs) else "outside"


def hook_bending_stress(*, force_n: float, wire_diameter_mm: float, mean_diameter_mm: float) -> float:
    """Return the stress in MPa where a full-loop hook leaves the body: F (K 16 D/(pi d^3) + 4/(pi d^2)).

    K is the inner-fibre factor at C = D/d (Shigley, section 10-11, from memory). Hooks break here first.
    """
    c = mean_diameter_mm / wire_diameter_mm
    k = (4 * c**2 - c - 1) / (4 * c * (c - 1))
    return force_n * (k * 16 * mean_diameter_mm / (pi * wire_diameter_mm**3) + 4 / (pi * wire_diameter_mm**2))
