"""How a lens is focused: the whole of it moves on a helical, or its front cell alone."""

from dataclasses import dataclass, replace

from asfound.focus.budget import FocusBudget, positive
from asfound.focus.extension import Origin, distance_for_extension, extension_for_distance
from asfound.focus.front_cell import FrontOrigin, TwoGroups, distance_for_travel, front_travel


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitFocusing:
    """The whole lens moves: its travel is its extension, and the image follows one to one.

    Attributes
    ----------
    focal_length_mm : float
        Of the lens.
    origin : {"film", "lens"}
        From where distances are measured.
    nodal_separation_mm : float
        Front to rear nodal point, for distances from the film.
    """

    focal_length_mm: float
    origin: Origin = "film"
    nodal_separation_mm: float = 0.0

    @property
    def image_per_travel(self) -> float:
        """How far the image moves for a travel of one."""
        return 1.0

    @property
    def moving_focal_length_mm(self) -> float:
        """Focal length of what moves."""
        return self.focal_length_mm

    def travel_for(self, distance_mm: float) -> float:
        """Return the travel in mm from infinity to a distance."""
        return extension_for_distance(
            focal_length_mm=self.focal_length_mm,
            distance_mm=distance_mm,
            origin=self.origin,
            nodal_separation_mm=self.nodal_separation_mm,
        )

    def distance_for(self, travel_mm: float) -> float:
        """Return the distance in mm that is sharp at a travel."""
        return distance_for_extension(
            focal_length_mm=self.focal_length_mm,
            extension_mm=travel_mm,
            origin=self.origin,
            nodal_separation_mm=self.nodal_separation_mm,
        )

    def half_depth(self, budget: FocusBudget, travel_mm: float) -> float:
        """Return half of the depth of focus in mm at a travel: N c v / f (Ray, The Photographic Lens)."""
        positive("focal length", self.focal_length_mm, "mm")
        return budget.half_width_mm * (1 + travel_mm / self.focal_length_mm)

    def scaled(self, factor: float) -> "UnitFocusing":
        """Return the same with another focal length."""
        return replace(self, focal_length_mm=self.focal_length_mm * factor)


@dataclass(frozen=True, slots=True, kw_only=True)
class FrontFocusing:
    """The front cell alone moves; the image follows by the square of the rear group's magnification.

    Attributes
    ----------
    groups : TwoGroups
        The lens at infinity.
    origin : {"film", "front"}
        From where distances are measured.
    """

    groups: TwoGroups
    origin: FrontOrigin = "film"

    @property
    def image_per_travel(self) -> float:
        """How far the image moves for a travel of one: the rear group's conjugates stay, so this is constant."""
        return self.groups.rear_magnification**2

    @property
    def moving_focal_length_mm(self) -> float:
        """Focal length of what moves."""
        return self.groups.front_mm

    def travel_for(self, distance_mm: float) -> float:
        """Return the travel in mm from infinity to a distance."""
        found = front_travel(groups=self.groups, distance_mm=distance_mm, origin=self.origin).travel.value
        assert found is not None
        return found

    def distance_for(self, travel_mm: float) -> float:
        """Return the distance in mm that is sharp at a travel."""
        return distance_for_travel(groups=self.groups, travel_mm=travel_mm, origin=self.origin)

    def half_depth(self, budget: FocusBudget, travel_mm: float) -> float:
        """Return half of the depth of focus in mm: N c at every travel.

        The diaphragm stands behind the moving cell and the film stays, so the cone at the film stays (derived).
        """
        return budget.half_width_mm

    def scaled(self, factor: float) -> "FrontFocusing":
        """Return the same with another front focal length, the film's place held by the rear group."""
        front = self.groups.front_mm * factor
        image = front - self.groups.separation_mm
        rear = 1 / (1 / self.groups.back_focal_mm - 1 / image)
        return replace(self, groups=replace(self.groups, front_mm=front, rear_mm=rear))


Focusing = UnitFocusing | FrontFocusing
