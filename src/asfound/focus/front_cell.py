"""Focusing with the front cell: two thin groups, the front one moving, the rear one and the film fixed."""

import math
from dataclasses import dataclass
from typing import Literal

from asfound.focus.budget import FocusBudget, finite, not_negative, positive
from asfound.focus.start import Helical, StartFinding, check_helical, which_start
from asfound.problems import bad_input
from asfound.quantity import Reading
from asfound.quantity.tolerance import Verdict

FrontOrigin = Literal["film", "front"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TwoGroups:
    """Two thin groups in air: focal lengths (negative for a diverging one) and their separation at infinity."""

    front_mm: float
    rear_mm: float
    separation_mm: float

    @property
    def focal_length_mm(self) -> float:
        """F = f1 f2 / (f1 + f2 - d)."""
        return self.front_mm * self.rear_mm / self._bottom

    @property
    def back_focal_mm(self) -> float:
        """Distance from the rear group to the image of infinity: f2 (f1 - d) / (f1 + f2 - d)."""
        return self.rear_mm * (self.front_mm - self.separation_mm) / self._bottom

    @property
    def rear_magnification(self) -> float:
        """Lateral magnification of the rear group for infinity, F / f1."""
        return self.focal_length_mm / self.front_mm

    @property
    def _bottom(self) -> float:
        bottom = self.front_mm + self.rear_mm - self.separation_mm
        if bottom == 0 or self.front_mm == 0 or self.rear_mm == 0:
            raise bad_input(
                "groups", "together they have no focal length", "check the two focal lengths and the distance"
            )
        return bottom


@dataclass(frozen=True, slots=True, kw_only=True)
class FrontTravel:
    """How far the front cell comes out for a distance.

    Attributes
    ----------
    groups : TwoGroups
        The lens at infinity.
    distance_mm, origin
        The distance, from the film or from the front group.
    travel : Reading
        In mm beyond the infinity position.
    focal_length_mm : float
        Of the whole lens when focused there: it grows shorter or longer a little.
    turn_deg : float or None
        Turn of the cell; None without a lead.
    """

    groups: TwoGroups
    distance_mm: float
    origin: FrontOrigin
    travel: Reading
    focal_length_mm: float
    turn_deg: float | None

    def flat(self) -> dict[str, float | str | None]:
        """Return the travel under its JSON names."""
        return {
            "front_focal_length_mm": self.groups.front_mm,
            "rear_focal_length_mm": self.groups.rear_mm,
            "separation_mm": self.groups.separation_mm,
            "infinity_focal_length_mm": self.groups.focal_length_mm,
            "back_focal_mm": self.groups.back_focal_mm,
            "distance_mm": self.distance_mm,
            "from": self.origin,
            **self.travel.flat("travel"),
            "focal_length_mm": self.focal_length_mm,
            "turn_deg": self.turn_deg,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class FrontCellStart:
    """What one start of the front cell's thread does, and which start it is on.

    Attributes
    ----------
    image_step_mm : float
        How far the image of infinity moves for one start out.
    step_share : float or None
        The same as a share of the budget.
    finding : StartFinding or None
        From a measured image shift; None where none was given.
    verdict : Verdict or None
        Of the measured shift against the budget.
    """

    image_step_mm: float
    step_share: float | None
    finding: StartFinding | None
    verdict: Verdict | None

    def flat(self) -> dict[str, object]:
        """Return the result under its JSON names."""
        found = {} if self.finding is None else self.finding.flat()
        return {
            "image_step_mm": self.image_step_mm,
            "step_share": self.step_share,
            "verdict": self.verdict,
            **found,
        }


def two_groups(
    *,
    front_mm: float,
    separation_mm: float,
    rear_mm: float | None = None,
    focal_length_mm: float | None = None,
) -> TwoGroups:
    """Return the two groups from the front one, their separation, and the rear one or the whole focal length.

    Source: F = f1 f2 / (f1 + f2 - d) (any optics text), solved for f2 where F is known.

    Raises
    ------
    BadInputError
        If the front group does not converge, the separation is below zero or beyond its focus, neither or both
        of the others are given, or the whole forms no real image behind the rear group.
    """
    positive("front focal length", front_mm, "mm")
    not_negative("separation", separation_mm, "mm")
    if (rear_mm is None) == (focal_length_mm is None):
        raise bad_input("groups", "one of two is needed", "give the rear or the whole focal length")
    if rear_mm is None:
        assert focal_length_mm is not None
        rear_mm = _rear(front_mm, separation_mm, focal_length_mm)
    groups = TwoGroups(front_mm=front_mm, rear_mm=rear_mm, separation_mm=separation_mm)
    if not (groups.focal_length_mm > 0 and groups.back_focal_mm > 0):
        what = f"they form no image behind the rear group (focal length {groups.focal_length_mm:g} mm)"
        raise bad_input("groups", what, "check signs: a diverging group has a focal length below zero")
    return groups


def front_travel(
    *,
    groups: TwoGroups,
    distance_mm: float,
    origin: FrontOrigin = "film",
    u_front_mm: float | None = None,
    lead_mm: float | None = None,
) -> FrontTravel:
    """Return how far the front group moves out for a distance.

    The rear group needs the front group's image always at the same place, so the front group alone obeys
    Newton: e = f1² / (u - f1), u from the front group where it then stands. From the film, u is S less
    everything between, and e follows from the same quadratic as for unit focusing.

    Parameters
    ----------
    groups : TwoGroups
        The lens at infinity.
    distance_mm : float
        May be infinite.
    origin : {"film", "front"}
        From where the distance is measured.
    u_front_mm : float, optional
        Standard uncertainty of the front focal length.
    lead_mm : float, optional
        Lead of the cell's thread.

    Raises
    ------
    BadInputError
        For a distance shorter than the lens allows, or a lead of zero.
    """
    not_negative("uncertainty of the front focal length", u_front_mm, "mm")
    if lead_mm is not None:
        positive("lead", abs(lead_mm), "mm")
    e, slope = _travel(groups, distance_mm, origin)
    moved = TwoGroups(front_mm=groups.front_mm, rear_mm=groups.rear_mm, separation_mm=groups.separation_mm + e)
    return FrontTravel(
        groups=groups,
        distance_mm=distance_mm,
        origin=origin,
        travel=Reading(
            value=e,
            unit="mm",
            standard_uncertainty=None if u_front_mm is None else slope * u_front_mm,
            how="computed for the distance",
        ),
        focal_length_mm=moved.focal_length_mm,
        turn_deg=None if lead_mm is None else 360 * e / lead_mm,
    )


def distance_for_travel(*, groups: TwoGroups, travel_mm: float, origin: FrontOrigin = "film") -> float:
    """Return the distance in mm that is sharp when the front group stands a travel out; infinite at zero or less.

    Newton's equation the other way: u = f1 + f1² / e, and from the film what lies between is added.
    """
    if travel_mm <= 0:
        return math.inf
    from_front = groups.front_mm + groups.front_mm**2 / travel_mm
    if origin == "front":
        return from_front
    return from_front + travel_mm + groups.separation_mm + groups.back_focal_mm


def front_focal_length(*, travel_mm: float, distance_mm: float) -> float:
    """Return the front group's focal length in mm from its travel between infinity and a distance.

    Newton's e = f1² / (u - f1) solved for f1; u from the front group.

    Raises
    ------
    BadInputError
        If the travel or the distance is not greater than zero.
    """
    positive("travel", travel_mm, "mm")
    positive("distance", distance_mm, "mm")
    return (math.sqrt(travel_mm**2 + 4 * travel_mm * distance_mm) - travel_mm) / 2


def image_shift(*, groups: TwoGroups, moved_mm: float) -> float:
    """Return how far in front of the film infinity is imaged when the front group stands `moved_mm` too far out.

    Exact: the change of the back focal distance. For small moves it is the square of the rear magnification.
    It counts like a height error of the whole lens: positive means too far out.
    """
    moved = TwoGroups(front_mm=groups.front_mm, rear_mm=groups.rear_mm, separation_mm=groups.separation_mm + moved_mm)
    return groups.back_focal_mm - moved.back_focal_mm


def front_cell_start(
    *,
    groups: TwoGroups,
    helical: Helical,
    image_error: Reading | None = None,
    budget: FocusBudget | None = None,
) -> FrontCellStart:
    """Say what one start of the front cell's thread does to infinity, and which start it was entered on.

    The height step of the thread, one pitch, reaches the image as the square of the rear magnification, with
    which the starts are then told apart as for a focusing helical.

    Parameters
    ----------
    groups : TwoGroups
        The lens at infinity.
    helical : Helical
        The cell's thread.
    image_error : Reading, optional
        Measured displacement of infinity in mm, positive in front of the film (as if too far out).
    budget : FocusBudget, optional
        For the shares.
    """
    check_helical(helical)
    step = image_shift(groups=groups, moved_mm=helical.pitch_mm)
    finding = None
    if image_error is not None:
        at_image = Helical(lead_mm=groups.rear_magnification**2 * helical.lead_mm, starts=helical.starts)
        finding = which_start(height_error=image_error, helicals=(at_image,))
    return FrontCellStart(
        image_step_mm=step,
        step_share=budget.share(step) if budget else None,
        finding=finding,
        verdict=budget.judge(image_error) if budget and image_error else None,
    )


def _rear(front_mm: float, separation_mm: float, focal_length_mm: float) -> float:
    positive("focal length", focal_length_mm, "mm")
    if math.isclose(front_mm, focal_length_mm):
        raise bad_input(
            "groups", "the front alone has the whole focal length", "then the rear group has no power: check"
        )
    return focal_length_mm * (front_mm - separation_mm) / (front_mm - focal_length_mm)


def _travel(groups: TwoGroups, distance_mm: float, origin: FrontOrigin) -> tuple[float, float]:
    """Return the travel and its slope by the front focal length, the film's place held."""
    f = groups.front_mm
    if math.isinf(distance_mm) and distance_mm > 0:
        return 0.0, 0.0
    finite("distance", distance_mm, "mm")
    behind = groups.separation_mm + groups.back_focal_mm if origin == "film" else 0.0
    clear = distance_mm - behind - f
    shortest = behind + (3 * f if origin == "film" else f)
    if not (distance_mm >= shortest if origin == "film" else distance_mm > shortest):
        what = f"{distance_mm:g} mm from the {origin} is shorter than this front cell allows"
        raise bad_input("distance", what, f"give more than {shortest:g} mm, or check the unit")
    if origin == "front":
        e = f**2 / clear
        return e, (2 * f + e) / clear
    e = 2 * f**2 / (clear + math.sqrt((clear - 2 * f) * (clear + 2 * f)))
    bottom = clear - 2 * e
    return e, (2 * f + e) / bottom if bottom else math.inf
