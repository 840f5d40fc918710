"""Stress against what the wire stands: yield, tensile, and a verdict."""

from dataclasses import dataclass
from typing import Literal

from asfound.springs.wire import Mark, Material, tensile_strength

Verdict = Literal["within", "outside", "cannot tell"]
Direction = Literal["closing", "opening"]

# Loaded against its winding a coil stands about 20 % less (a spring maker's guide, read).
OPENING_SHARE = 0.8
# EN static limit of a torsion spring as a share of tensile strength (from memory).
EN_STATIC_SHARE = 0.7


@dataclass(frozen=True, slots=True)
class Limits:
    """What a wire of one material and size stands, in MPa; None where nothing is listed."""

    tensile_mpa: float | None
    yield_mpa: float | None
    static_limit_mpa: float | None
    source: str
    mark: Mark | None


def bending_limits(material: Material, *, wire_diameter_mm: float, direction: Direction = "closing") -> Limits:
    """Return tensile strength, yield in bending, and the static limit for a new design.

    The static limit is the smaller of yield and 0.7 of tensile strength (EN 13906-3, from memory).
    """
    strength = tensile_strength(material, wire_diameter_mm=wire_diameter_mm)
    if strength is None:
        return Limits(None, None, None, f"no strength is listed for {material.name} of this size", None)
    share = OPENING_SHARE if direction == "opening" else 1.0
    tensile = strength.minimum_mpa
    fraction = material.yield_fraction
    return Limits(
        tensile,
        tensile * fraction * share,
        tensile * min(fraction, EN_STATIC_SHARE) * share,
        strength.source,
        strength.mark,
    )


def stress_verdict(*, stress_mpa: float, limits: Limits) -> Verdict:
    """Return "within" up to yield, "outside" above it, "cannot tell" where no strength is listed."""
    if limits.yield_mpa is None:
        return "cannot tell"
    return "within" if stress_mpa <= limits.yield_mpa else "outside"


def stress_words(*, stress_mpa: float, limits: Limits) -> str:
    """Say in a sentence what a stress means for the wire."""
    if limits.yield_mpa is None or limits.tensile_mpa is None:
        return limits.source
    if stress_mpa > limits.tensile_mpa:
        return "above tensile strength: over-stressed, it takes set or breaks before it gives this torque"
    share = stress_mpa / limits.yield_mpa
    if share > 1:
        return f"above yield ({share:.0%} of it): it will take a set"
    return f"{share:.0%} of yield"
