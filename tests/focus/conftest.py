"""A paraxial ray trace written apart from the formulae: rays are bent and carried, nothing is solved."""

import math
from collections.abc import Callable, Sequence

import pytest

Surface = tuple[float, float]  # position along the axis, focal length of the thin group there


def _carry(surfaces: Sequence[Surface], ray: tuple[float, float], start: float) -> tuple[float, float, float]:
    """Carry a ray (height, slope) from `start` through the groups; return height, slope, position."""
    height, slope, at = ray[0], ray[1], start
    for position, focal_length in sorted(surfaces):
        height += slope * (position - at)
        slope -= height / focal_length
        at = position
    return height, slope, at


def image_position(surfaces: Sequence[Surface], object_position: float) -> float:
    """Return where the ray from an axial point crosses the axis again."""
    first = min(position for position, _ in surfaces)
    if math.isinf(object_position):
        ray, start = (1.0, 0.0), first
    else:
        ray, start = (0.0, 1e-3), object_position
    height, slope, at = _carry(surfaces, ray, start)
    return at - height / slope


@pytest.fixture
def trace() -> Callable[[Sequence[Surface], float], float]:
    """Image position on the axis for groups at (position, focal length) and an object position."""
    return image_position
