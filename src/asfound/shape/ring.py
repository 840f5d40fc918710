"""Everything a ring's points tell: four circles, lobes, and its profile about the least-squares centre."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from asfound.problems import BadInputError, Problem, bad_input
from asfound.shape.charts import Floats
from asfound.shape.circle import Circle, least_squares_circle, minimum_circumscribed
from asfound.shape.harmonics import Harmonic, harmonics
from asfound.shape.inscribed import largest_gap_deg, maximum_inscribed
from asfound.shape.zone import Zone, minimum_zone

Arc = tuple[float, float]
_FAR_OFF = 0.005  # of the radius: the false ovality is then less than a hundred-thousandth of it
ODD_LOBES_UNSEEN = Problem(
    "diameters",
    "odd lobes (three, five, ...) do not show in them: a three-lobed ring has the same diameter everywhere",
    "check with feelers against a true round, or measure radii from a centre",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ring:
    """A ring as measured.

    Attributes
    ----------
    least_squares, minimum_circumscribed : Circle
    minimum_zone : Zone
    maximum_inscribed : Circle or None
        None where the points do not go round; `remarks` says so.
    harmonics : tuple of Harmonic
        About the least-squares centre. Order 1 (how far that centre is from where the radii were measured)
        only for radii at angles.
    points_mm : (n, 2) array
        The points used, masked arcs left out.
    remarks : tuple of Problem
        What this way of measuring could not tell.
    """

    least_squares: Circle
    minimum_zone: Zone
    minimum_circumscribed: Circle
    maximum_inscribed: Circle | None
    harmonics: tuple[Harmonic, ...]
    points_mm: Floats
    remarks: tuple[Problem, ...] = ()


def ring_from_points(points_mm: Floats, *, flats_deg: Sequence[Arc] = ()) -> Ring:
    """Return everything about a ring from points of its edge.

    Parameters
    ----------
    points_mm : (n, 2) array
        In any order, n >= 3.
    flats_deg : sequence of (float, float)
        Arcs from, to (against the clock, seen from the middle) that are flat by design and left out.

    Raises
    ------
    BadInputError
        If too few points are left, or they lie on a line, or fit no finite circle.
    """
    points = masked(np.asarray(points_mm, dtype=np.float64), flats_deg)
    circle = least_squares_circle(points)
    zone = minimum_zone(points)
    inscribed, remarks = _inscribed_if_any(points)
    angle, radius = polar(points, circle.centre_mm)
    waves = harmonics(angle_deg=angle, radius_mm=radius) if largest_gap_deg(angle) < 180 else ()
    return Ring(
        least_squares=circle,
        minimum_zone=zone,
        minimum_circumscribed=minimum_circumscribed(points),
        maximum_inscribed=inscribed,
        harmonics=tuple(h for h in waves if h.order > 1),
        points_mm=points,
        remarks=remarks if zone.certificate.proved else (*remarks, _unproved(zone)),
    )


def ring_from_radii(*, angle_deg: Floats, radius_mm: Floats, flats_deg: Sequence[Arc] = ()) -> Ring:
    """Return everything about a ring from radii at angles about one axis.

    Harmonics are those of the radii as they are, order 1 being how far the ring sat off the axis. An offset
    e by itself looks like an ovality of e^2/4R: where e is more than a two-hundredth of the radius, order 1
    is the way to the least-squares centre and the higher ones are about that centre.

    Raises
    ------
    BadInputError
        If a radius is not above zero or the angles leave half a turn or more free.
    """
    radius = np.asarray(radius_mm, dtype=np.float64)
    if (radius <= 0).any():
        place = int(np.flatnonzero(radius <= 0)[0]) + 1
        raise bad_input(f"radius {place}", f"{radius[place - 1]:g} mm is not above zero", "measure it again")
    gap = largest_gap_deg(np.asarray(angle_deg, dtype=np.float64))
    if gap >= 180:
        what = f"they do not go round: {gap:.4g} degrees have no radius"
        raise bad_input("angles", what, "measure radii all the way round the ring")
    ring = ring_from_points(cartesian(angle_deg=angle_deg, radius_mm=radius), flats_deg=flats_deg)
    x, y = ring.least_squares.centre_mm
    off = float(np.hypot(x, y))
    if off > _FAR_OFF * ring.least_squares.radius_mm:
        first = Harmonic(1, off, float(np.degrees(np.arctan2(y, x)) % 360), None)
        return replace(ring, harmonics=(first, *ring.harmonics))
    angle, distance = polar(ring.points_mm, (0.0, 0.0))
    return replace(ring, harmonics=harmonics(angle_deg=angle, radius_mm=distance))


def ring_from_diameters(*, angle_deg: Floats, diameter_mm: Floats, flats_deg: Sequence[Arc] = ()) -> Ring:
    """Return what diameters by calliper tell of a ring: its even lobes alone.

    Each diameter is laid as two radii, so that the ring looks the same both ways; a remark says what that
    hides.
    """
    angle, diameter = np.asarray(angle_deg, float), np.asarray(diameter_mm, float)
    both = np.concatenate([angle, angle + 180])
    radii = np.concatenate([diameter, diameter]) / 2
    ring = ring_from_radii(angle_deg=both, radius_mm=radii, flats_deg=flats_deg)
    even = tuple(h for h in ring.harmonics if h.order % 2 == 0 and h.order <= len(angle))
    return replace(ring, harmonics=even, remarks=(ODD_LOBES_UNSEEN, *ring.remarks))


def radii_from_clearance(*, clearance_mm: Floats, mating_radius_mm: float, outside: bool) -> Floats:
    """Return a ring's radii from its clearance to a true round of known radius, `outside` it or inside."""
    clearance = np.asarray(clearance_mm, dtype=np.float64)
    return np.asarray(mating_radius_mm - clearance if outside else mating_radius_mm + clearance)


def _unproved(zone: Zone) -> Problem:
    what = f"is not proved the least: it may be {zone.certificate.gap_mm:.2g} mm less"
    return Problem("minimum zone", what, "look for a point that lies far off the ring, and leave it out")


def _inscribed_if_any(points: Floats) -> tuple[Circle | None, tuple[Problem, ...]]:
    try:
        return maximum_inscribed(points), ()
    except BadInputError as open_ring:
        return None, open_ring.problems


def masked(points_mm: Floats, flats_deg: Sequence[Arc]) -> Floats:
    """Leave out the points within the arcs, seen from the least-squares centre of what is left."""
    if not flats_deg:
        return points_mm
    kept = points_mm
    for _ in range(5):
        angle, _ = polar(points_mm, least_squares_circle(kept).centre_mm)
        kept = points_mm[~np.any([in_arc(angle, arc) for arc in flats_deg], axis=0)]
        if len(kept) < 3:
            raise bad_input("flats", f"leave {len(kept)} points of the ring", "mask less of it")
    return kept


def in_arc(angle_deg: Floats, arc: Arc) -> NDArray[np.bool_]:
    """Say which angles lie in an arc from its first to its second angle, against the clock.

    An arc of a whole turn (0 to 360) holds every angle.
    """
    start, end = arc
    if abs(end - start) >= 360:
        return np.ones(np.shape(angle_deg), dtype=bool)
    return np.asarray(np.mod(angle_deg - start, 360.0) <= np.mod(end - start, 360.0))


def polar(points_mm: Floats, centre_mm: tuple[float, float]) -> tuple[Floats, Floats]:
    """Return angle (0 to 360 degrees) and radius of points about a centre."""
    x, y = points_mm[:, 0] - centre_mm[0], points_mm[:, 1] - centre_mm[1]
    return np.mod(np.degrees(np.arctan2(y, x)), 360.0), np.hypot(x, y)


def cartesian(*, angle_deg: Floats, radius_mm: Floats) -> Floats:
    """Return points (n, 2) of radii at angles."""
    angle = np.radians(np.asarray(angle_deg, dtype=np.float64))
    return np.column_stack([radius_mm * np.cos(angle), radius_mm * np.sin(angle)])
