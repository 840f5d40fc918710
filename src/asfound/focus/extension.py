"""How far a lens must stand out for a distance: unit focusing, the whole lens moving."""

import math
from dataclasses import dataclass
from typing import Literal

from asfound.focus.budget import finite, not_negative, positive
from asfound.problems import bad_input
from asfound.quantity import Reading

Origin = Literal["film", "lens"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Extension:
    """The extension beyond the infinity position for one distance."""

    focal_length_mm: float
    distance_mm: float
    origin: Origin
    nodal_separation_mm: float
    extension: Reading
    magnification: float

    @property
    def extension_mm(self) -> float:
        """The extension in mm."""
        assert self.extension.value is not None
        return self.extension.value

    def flat(self) -> dict[str, float | str | None]:
        """Return the result under its JSON names."""
        return {
            "focal_length_mm": self.focal_length_mm,
            "distance_mm": self.distance_mm,
            "from": self.origin,
            "nodal_separation_mm": self.nodal_separation_mm,
            **self.extension.flat("extension"),
            "magnification": self.magnification,
        }


def extension_for_distance(
    *, focal_length_mm: float, distance_mm: float, origin: Origin = "film", nodal_separation_mm: float = 0.0
) -> float:
    """Return the extension in mm beyond the infinity position.

    From the lens (its front principal point): x' = f² / (u - f), Newton's equation. From the film plane: S is
    u + v + the nodal separation, and x' = ((S - 2f) - sqrt((S - 2f)² - 4f²)) / 2, of the two solutions the one
    with the lens nearer to the film. Thin-lens optics; the nodal separation makes it a thick lens.

    Parameters
    ----------
    focal_length_mm : float
        Of the lens.
    distance_mm : float
        To the object; may be infinite.
    origin : {"film", "lens"}
        From where the distance is measured.
    nodal_separation_mm : float
        Front to rear nodal point; zero for a thin lens, may be negative.

    Raises
    ------
    BadInputError
        If the lens cannot form a real image on the film at that distance (nearer than 4f plus the nodal
        separation from the film, or not beyond f from the lens).
    """
    f = focal_length_mm
    positive("focal length", f, "mm")
    if math.isinf(distance_mm) and distance_mm > 0:
        return 0.0
    finite("distance", distance_mm, "mm")
    finite("nodal separation", nodal_separation_mm, "mm")
    shortest = f if origin == "lens" else 4 * f + nodal_separation_mm
    allowed = distance_mm > shortest if origin == "lens" else distance_mm >= shortest
    if not allowed:
        raise bad_input(
            "distance",
            f"{distance_mm:g} mm from the {origin} is shorter than a lens of {f:g} mm allows",
            f"give more than {shortest:g} mm, or check the unit",
        )
    if origin == "lens":
        return f**2 / (distance_mm - f)
    clear = distance_mm - nodal_separation_mm - 2 * f
    # The textbook form subtracts two nearly equal numbers at long distances; this is the same root.
    return 2 * f**2 / (clear + math.sqrt((clear - 2 * f) * (clear + 2 * f)))


def distance_for_extension(
    *, focal_length_mm: float, extension_mm: float, origin: Origin = "film", nodal_separation_mm: float = 0.0
) -> float:
    """Return the distance in mm that is sharp at an extension; infinite at zero.

    An extension below zero (the lens stands short of infinity) makes nothing sharp: the result is infinite.
    """
    f, x = focal_length_mm, extension_mm
    positive("focal length", f, "mm")
    if x <= 0:
        return math.inf
    from_lens = f + f**2 / x
    return from_lens if origin == "lens" else from_lens + f + x + nodal_separation_mm


def lens_extension(
    *,
    focal_length_mm: float,
    distance_mm: float,
    origin: Origin = "film",
    nodal_separation_mm: float = 0.0,
    u_focal_length_mm: float | None = None,
    u_distance_mm: float = 0.0,
) -> Extension:
    """Return the extension and the magnification for a distance, with the uncertainty that f and S bring.

    First-order propagation (JCGM 100:2008, 5.1.2): an engraved focal length is rarely known to better than a
    per cent, and the extension goes with its square.

    Raises
    ------
    BadInputError
        As `extension_for_distance`, or if an uncertainty is below zero.
    """
    not_negative("uncertainty of the focal length", u_focal_length_mm, "mm")
    not_negative("uncertainty of the distance", u_distance_mm, "mm")
    x = extension_for_distance(
        focal_length_mm=focal_length_mm,
        distance_mm=distance_mm,
        origin=origin,
        nodal_separation_mm=nodal_separation_mm,
    )
    u = None
    if u_focal_length_mm is not None:
        by_f, by_distance = extension_slopes(focal_length_mm=focal_length_mm, extension_mm=x, origin=origin)
        u = math.hypot(by_f * u_focal_length_mm, by_distance * u_distance_mm)
    return Extension(
        focal_length_mm=focal_length_mm,
        distance_mm=distance_mm,
        origin=origin,
        nodal_separation_mm=nodal_separation_mm,
        extension=Reading(value=x, unit="mm", standard_uncertainty=u, how="computed for the distance"),
        magnification=x / focal_length_mm,
    )


def extension_slopes(*, focal_length_mm: float, extension_mm: float, origin: Origin) -> tuple[float, float]:
    """Return how the extension changes with the focal length and with the distance (mm per mm).

    From differentiating Newton's equation, u = f + f²/x' (lens) or S = 2f + x' + f²/x' (film), implicitly.
    """
    f, x = focal_length_mm, extension_mm
    if x == 0:
        return 0.0, 0.0
    steep = -((f / x) ** 2) + (1.0 if origin == "film" else 0.0)
    if steep == 0:
        return math.inf, math.inf
    by_f = -((2.0 if origin == "film" else 1.0) + 2 * f / x) / steep
    return by_f, 1 / steep
