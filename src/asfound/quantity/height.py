"""Heights: from which face to which, against which stop; and three of them round a ring."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from asfound.problems import bad_input
from asfound.quantity.propagation import propagate
from asfound.quantity.reading import Reading
from asfound.quantity.repeats import welch_satterthwaite


@dataclass(frozen=True, slots=True, kw_only=True)
class Height:
    """A height with what makes it one: two named faces and the stop it was taken against."""

    from_face: str
    to_face: str
    stop: str
    reading: Reading

    def __str__(self) -> str:
        return f"{self.from_face} to {self.to_face}, against {self.stop}"


def named_height(*, from_face: str, to_face: str, stop: str, reading: Reading) -> Height:
    """Return a height that names everything it needs.

    Raises
    ------
    BadInputError
        If a face or the stop is not named, or both faces are the same.
    """
    for what, name in (("first face", from_face), ("second face", to_face), ("stop", stop)):
        if not name.strip():
            raise bad_input("height", f"its {what} is not named", "say from which face to which, at which stop")
    if from_face.strip().casefold() == to_face.strip().casefold():
        raise bad_input("height", f"both faces are {from_face!r}", "name the two faces it lies between")
    return Height(from_face=from_face.strip(), to_face=to_face.strip(), stop=stop.strip(), reading=reading)


@dataclass(frozen=True, slots=True, kw_only=True)
class Station:
    """A place round a ring, and its height; pressed home and lifted where both were tried."""

    angle_deg: float
    pressed: Reading
    lifted: Reading | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Seat:
    """How a ring sits: its mean height, its tilt, and how much it rocks.

    Attributes
    ----------
    mean : Reading
        Height in mm at the middle.
    slope_x, slope_y : Reading
        Rise per mm along x (0 deg) and y (90 deg).
    tilt_deg : float
        Angle of the plane through the three heights.
    highest_deg : float or None
        Towards which direction it rises; None where it does not.
    rise_mm, rise_uncertainty_mm : float
        Highest less lowest over the ring's diameter, and its standard uncertainty along that direction.
    rock : Reading or None
        The largest change at a station from pressed to lifted; None where no station was tried both ways.
    rock_deg : float or None
        At which station.
    """

    mean: Reading
    slope_x: Reading
    slope_y: Reading
    tilt_deg: float
    highest_deg: float | None
    rise_mm: float
    rise_uncertainty_mm: float | None
    rock: Reading | None
    rock_deg: float | None


def seat(stations: Sequence[Station], *, radius_mm: float) -> Seat:
    """Return mean, tilt and rock of a ring from its heights at three stations.

    Parameters
    ----------
    stations : sequence of three Station
        At any three directions that go round (no half turn free); evenly spaced is best.
    radius_mm : float
        Radius at which the heights were taken.

    Raises
    ------
    BadInputError
        If there are not three stations, two share a direction, or they do not go round; or a height has only
        one bound.

    Notes
    -----
    The plane through three points; for stations at 90, 210 and 330 deg, slope_x = (z330 - z210)/(root3 R),
    slope_y = (2 z90 - z210 - z330)/(3 R). Uncertainties: JCGM 100:2008, equation 10.
    """
    angles = _checked_angles(stations, radius_mm)
    heights = {f"z{i}": station.pressed for i, station in enumerate(stations)}
    weights = _plane_weights(angles, radius_mm)

    def part(row: Sequence[float], unit: str, how: str) -> Reading:
        def weighted(**z: float) -> float:
            return math.fsum(w * z[f"z{i}"] for i, w in enumerate(row))

        return propagate(weighted, heights, unit=unit, how=how).reading

    mean = part(weights[0], "mm", "plane through three stations")
    slope_x, slope_y = part(weights[1], "1", "tilt"), part(weights[2], "1", "tilt")
    x, y = slope_x.value or 0.0, slope_y.value or 0.0
    slope = math.hypot(x, y)
    toward = math.atan2(y, x)
    along = [math.cos(toward) * a + math.sin(toward) * b for a, b in zip(weights[1], weights[2], strict=True)]
    rise = part([2 * radius_mm * w for w in along], "mm", "rise over the diameter")
    rock, rock_deg = _rock(stations)
    return Seat(
        mean=mean,
        slope_x=slope_x,
        slope_y=slope_y,
        tilt_deg=math.degrees(math.atan(slope)),
        highest_deg=math.degrees(toward) % 360 if slope > 0 else None,
        rise_mm=2 * radius_mm * slope,
        rise_uncertainty_mm=rise.standard_uncertainty,
        rock=rock,
        rock_deg=rock_deg,
    )


def _checked_angles(stations: Sequence[Station], radius_mm: float) -> list[float]:
    if len(stations) != 3:
        raise bad_input("stations", f"there are {len(stations)}", "measure at three places round the ring")
    if not (math.isfinite(radius_mm) and radius_mm > 0):
        raise bad_input("radius", f"{radius_mm:g} mm is not possible", "give the radius of the stations")
    angles = [station.angle_deg % 360 for station in stations]
    ordered = sorted(angles)
    gaps = [b - a for a, b in zip(ordered, [*ordered[1:], ordered[0] + 360], strict=True)]
    if min(gaps) < 1 or max(gaps) >= 180:
        what = "they do not go round: " + ", ".join(f"{a:g}" for a in ordered) + " deg"
        raise bad_input("stations", what, "spread the three so that no half turn is free")
    return angles


def _plane_weights(angles_deg: Sequence[float], radius_mm: float) -> list[list[float]]:
    """Return, for mean, slope_x and slope_y, the weight of each of three heights (Cramer's rule)."""
    xy = [(radius_mm * math.cos(math.radians(a)), radius_mm * math.sin(math.radians(a))) for a in angles_deg]
    weights: list[list[float]] = [[], [], []]
    for i in range(3):
        (x1, y1), (x2, y2), (x0, y0) = xy[(i + 1) % 3], xy[(i + 2) % 3], xy[i]
        twice_area = (x1 - x0) * (y2 - y0) - (x2 - x0) * (y1 - y0)
        weights[0].append((x1 * y2 - x2 * y1) / twice_area)
        weights[1].append((y1 - y2) / twice_area)
        weights[2].append((x2 - x1) / twice_area)
    return weights


def _rock(stations: Sequence[Station]) -> tuple[Reading | None, float | None]:
    changes = []
    for station in stations:
        down, up = station.pressed, station.lifted
        if up is None or up.value is None or down.value is None:
            continue
        shares = [(r.standard_uncertainty or 0.0, r.degrees_of_freedom) for r in (down, up)]
        u, freedom = welch_satterthwaite(shares)
        change = Reading(
            value=abs(up.value - down.value),
            unit="mm",
            standard_uncertainty=u or None,
            degrees_of_freedom=freedom,
            how="pressed and lifted",
        )
        changes.append((change.value or 0.0, station.angle_deg, change))
    if not changes:
        return None, None
    _, angle, largest = max(changes, key=lambda item: item[0])
    return largest, angle
