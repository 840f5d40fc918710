"""Round wire bent past yield: the moment it carries and the set it keeps."""

import math

# Plastic over elastic moment of a round bar, 16/(3 pi): the most that bending can reach.
FULLY_PLASTIC = 16 / (3 * math.pi)


def moment_share(curvature_share: float) -> float:
    """Return moment over yield moment for curvature over yield curvature, both for first bending.

    Perfectly plastic round bar: outside the elastic core of half-height u = 1/curvature_share the stress stands
    at yield (common practice, no source; integrated from plane sections). Wire hardens, so real wire carries a
    little more.
    """
    if curvature_share <= 1:
        return curvature_share
    u = 1 / curvature_share
    root = math.sqrt(1 - u * u)
    core = (math.asin(u) - u * root * (1 - 2 * u * u)) / 8
    rim = root**3 / 3
    return 16 / math.pi * (core / u + rim)


def set_share(curvature_share: float) -> float:
    """Return the curvature kept after unloading, as a share of yield curvature: it springs back elastically."""
    return max(0.0, curvature_share - moment_share(curvature_share))


def curvature_for_set(kept_share: float) -> float:
    """Return the curvature to bend to so that `kept_share` is kept: the inverse of `set_share`."""
    if kept_share <= 0:
        return 1.0
    # The set grows with the bending and the wire never springs back by more than the fully plastic moment; halving
    # is quick enough, and spares every command the start of a numerical library.
    low, high = 1.0, kept_share + FULLY_PLASTIC
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if set_share(middle) < kept_share else (low, middle)
    return (low + high) / 2


def yield_curvature(*, wire_diameter_mm: float, yield_mpa: float, modulus_mpa: float) -> float:
    """Return the curvature in 1/mm at which a straight wire's outermost fibre reaches yield: 2 S / (E d)."""
    return 2 * yield_mpa / (modulus_mpa * wire_diameter_mm)
