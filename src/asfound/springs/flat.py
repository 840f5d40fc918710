"""Springs of flat strip: the leaf fixed at one end, and the flat spiral."""

import math
from dataclasses import dataclass

# Above this ratio of width to thickness a strip cannot curve across and is stiffer (common practice, no source).
WIDE_RATIO = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LeafResult:
    """A leaf at a force on its free end."""

    rate_n_per_mm: float
    deflection_mm: float
    stress_mpa: float
    wide: bool
    wide_rate_n_per_mm: float
    width_over_thickness: float


def bend_leaf(
    *,
    width_mm: float,
    thickness_mm: float,
    length_mm: float,
    force_n: float,
    modulus_mpa: float,
    poisson: float = 0.3,
    wide: bool = False,
) -> LeafResult:
    """Return a cantilever leaf under a force at its end.

    Stress 6PL/(b t^2), deflection 4PL^3/(E b t^3) (beam theory; Machinery's Handbook has the same, from
    memory). With `wide` the rate is 1/(1 - nu^2) times that: a strip held flat across its width. Valid for
    deflections below a tenth of the length.
    """
    narrow = modulus_mpa * width_mm * thickness_mm**3 / (4 * length_mm**3)
    wide_rate = narrow / (1 - poisson**2)
    rate = wide_rate if wide else narrow
    return LeafResult(
        rate_n_per_mm=rate,
        deflection_mm=force_n / rate,
        stress_mpa=6 * force_n * length_mm / (width_mm * thickness_mm**2),
        wide=wide,
        wide_rate_n_per_mm=wide_rate,
        width_over_thickness=width_mm / thickness_mm,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class SpiralResult:
    """A flat spiral, clamped at both ends, at a torque."""

    rate_n_mm_per_turn: float
    angle_deg: float
    stress_mpa: float


def wind_spiral(
    *, width_mm: float, thickness_mm: float, length_mm: float, torque_n_mm: float, modulus_mpa: float
) -> SpiralResult:
    """Return a flat spiral spring under a torque, coils not touching.

    Rate E b t^3 / (12 L) a radian, stress 6 M/(b t^2): a straight strip under an even moment (beam theory;
    EN 13906-3 does not cover it). The outer end must be held against turning.
    """
    per_radian = modulus_mpa * width_mm * thickness_mm**3 / (12 * length_mm)
    return SpiralResult(
        rate_n_mm_per_turn=2 * math.pi * per_radian,
        angle_deg=math.degrees(torque_n_mm / per_radian),
        stress_mpa=6 * torque_n_mm / (width_mm * thickness_mm**2),
    )
