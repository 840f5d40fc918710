"""What the focus commands share: reading quantities, distances, pairs and the budget from the command line."""

import math
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from asfound.focus import (
    FocusBudget,
    Focusing,
    FrontFocusing,
    UnitFocusing,
    find_format,
    focus_budget,
    format_budget,
    two_groups,
)
from asfound.focus.extension import Origin
from asfound.problems import BadInputError, bad_input
from asfound.quantity import Reading, parse_quantity, read_number, read_quantity, show_length, show_number

if TYPE_CHECKING:
    ParamType = click.ParamType[Any]  # older releases have no type argument
else:
    ParamType = click.ParamType

Command = TypeVar("Command", bound=Callable[..., object])
Setting = tuple[float, str]  # a number, and "mm" or "deg"
INFINITE = {"inf", "infinity", "infinite", "∞"}


class QuantityParam(ParamType):
    """A number with its unit; a bare number is taken to be in that unit."""

    def __init__(self, unit: str, metavar: str) -> None:
        self.unit, self.name = unit, metavar

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """Return the number in the unit."""
        if not isinstance(value, str):
            return float(value)
        return parse_quantity(value, unit=self.unit, where=place(param))


class DistanceParam(QuantityParam):
    """A distance, or "inf"."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """Return the distance in mm."""
        if isinstance(value, str) and value.strip().lower() in INFINITE:
            return math.inf
        return super().convert(value, param, ctx)


class FNumberParam(ParamType):
    """An f-number, with or without "f/"."""

    name = "f-number"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """Return the number."""
        if not isinstance(value, str):
            return float(value)
        return plain_number(value.strip().lower().removeprefix("f").removeprefix("/"), place(param))


class PairParam(ParamType):
    """Two things joined by "=": what it is read at, and what was read."""

    def __init__(self, left: ParamType, right: ParamType) -> None:
        self.left, self.right = left, right
        self.name = f"{left.name}={right.name}"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> tuple[Any, Any]:
        """Return both sides, read."""
        left, equals, right = str(value).partition("=")
        if not equals or not left.strip() or not right.strip():
            raise bad_input(place(param), f"{value!r} is not a pair", f"write it as {self.name}")
        return self.left.convert(left, param, ctx), self.right.convert(right, param, ctx)


class SettingParam(ParamType):
    """A setting of the focus: a length, or an angle that the lead turns into one."""

    name = "setting"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Setting:
        """Return the setting with its unit; a bare number is in mm."""
        quantity, problems = read_quantity(str(value), place(param))
        if quantity is None:
            raise BadInputError(*problems)
        turned = quantity.unit is not None and quantity.unit.dimension == "angle"
        unit = "deg" if turned else "mm"
        return parse_quantity(str(value), unit=unit, where=place(param)), unit


class BracketParam(ParamType):
    """Two settings "0.10mm..0.20mm" between which something lies, or one."""

    name = "from..to"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> tuple[Setting, Setting]:
        """Return both ends."""
        first, dots, last = str(value).partition("..")
        low = SETTING.convert(first, param, ctx)
        return low, SETTING.convert(last, param, ctx) if dots else low


class PathParam(click.Path):
    """A file's name as a path."""

    name = "file"

    def __init__(self) -> None:
        super().__init__(path_type=Path)


LENGTH = QuantityParam("mm", "length")
ANGLE = QuantityParam("deg", "angle")
FORCE = QuantityParam("N", "force")
SETTING = SettingParam()
DISTANCE = DistanceParam("mm", "distance")
F_NUMBER = FNumberParam()

json_option = click.option("--json", "as_json", is_flag=True, help="Print JSON instead of a table.")
focal_length_option = click.option("--focal-length", type=LENGTH, required=True, help="Focal length of the lens: 75mm.")
u_option = click.option("--u", type=LENGTH, help="Standard uncertainty of what is measured: 0.02mm.")
lead_option = click.option("--lead", type=LENGTH, help="Travel per turn of the helical: 12mm.")


def focusing_options(command: Command) -> Command:
    """Add the options that say what moves: the whole lens, or its front cell."""
    for option in (
        click.option("--separation", type=LENGTH, help="Between front and rear group at infinity, with --front."),
        click.option("--front", type=LENGTH, help="Focal length of the front cell, where it alone moves."),
        focal_length_option,
    ):
        command = option(command)
    return command


def focusing_of(
    focal_length: float,
    front: float | None,
    separation: float | None,
    *,
    from_lens: bool = False,
    nodal_separation: float = 0.0,
) -> Focusing:
    """Return how the lens is focused: by its front cell where one was given."""
    if front is None and separation is None:
        origin: Origin = "lens" if from_lens else "film"
        return UnitFocusing(focal_length_mm=focal_length, origin=origin, nodal_separation_mm=nodal_separation)
    if front is None or separation is None:
        raise bad_input("--front", "one of two is missing", "give both --front and --separation")
    groups = two_groups(front_mm=front, separation_mm=separation, focal_length_mm=focal_length)
    return FrontFocusing(groups=groups, origin="front" if from_lens else "film")


def place(param: click.Parameter | None) -> str:
    """Return what the user knows a parameter by."""
    return param.opts[-1] if param is not None and param.opts else "value"


def plain_number(text: str, where: str) -> float:
    """Return a number without a unit."""
    try:
        return read_number(text)
    except ValueError as error:
        raise bad_input(where, str(error), "give a number such as 3.5") from None


def budget_options(command: Command) -> Command:
    """Add the options that make a focus budget: aperture, frame, circle, divisor."""
    for option in (
        click.option("--divisor", type=float, default=1500.0, show_default=True, help="Diagonal over this."),
        click.option("--circle", type=LENGTH, help="Circle of confusion: 0.05mm; else from --format."),
        click.option("--format", "frame", help="Frame on the film: 6x9, or its sides 56x84 in mm."),
        click.option("--aperture", type=F_NUMBER, help="F-number at which the budget holds: 3.5."),
    ):
        command = option(command)
    return command


def budget_of(aperture: float | None, frame: str | None, circle: float | None, divisor: float) -> FocusBudget | None:
    """Return the budget that the options ask for; None where no aperture was given."""
    if aperture is None:
        if frame is not None or circle is not None:
            raise bad_input("--aperture", "it is missing, so there is no budget", "give it: --aperture 3.5")
        return None
    if circle is not None:
        return focus_budget(f_number=aperture, circle_mm=circle)
    if frame is None:
        raise bad_input("--format", "the circle of confusion is not known", "give --format 6x9 or --circle 0.05mm")
    return format_budget(f_number=aperture, frame=find_format(frame, where="--format"), divisor=divisor)


def height_reading(error: float | None, measured: float | None, wanted: float | None, u: float | None) -> Reading:
    """Return a height error given as such, or as measured and wanted heights."""
    if (error is None) == (measured is None) or (measured is None) != (wanted is None):
        what = "the height error is not known"
        raise bad_input("--height-error", what, "give it, or both --measured and --wanted")
    value = error
    if value is None:
        assert measured is not None
        assert wanted is not None
        value = measured - wanted
    return Reading(value=value, unit="mm", standard_uncertainty=u, how="given")


def setting_mm(setting: Setting, lead: float | None) -> float:
    """Return a setting in mm of travel."""
    value, unit = setting
    if unit == "mm":
        return value
    if lead is None:
        raise bad_input("--lead", "a setting in degrees needs it", "give --lead 12mm, or settings in mm")
    return value * lead / 360


def distance_words(distance_mm: float) -> str:
    """Return a distance as a scale has it."""
    return "infinity" if math.isinf(distance_mm) else f"{show_number(distance_mm / 1000)} m"


def share_words(share: float | None, budget: FocusBudget | None) -> str:
    """Return a share of the budget in words; nothing without a budget."""
    if share is None or budget is None:
        return ""
    half = show_number(budget.half_width_mm)
    return f"{abs(share) * 100:.0f} % of the focus budget of ±{half} mm at f/{budget.f_number:g}"


def length_words(value_mm: float, u_mm: float | None) -> str:
    """Return a length with its standard uncertainty where it is known."""
    about = "" if u_mm is None else f", u {show_number(u_mm, u_mm)} mm"
    return f"{show_length(value_mm, u_mm)}{about}"


def labelled(rows: Iterable[tuple[str, str | None]]) -> list[str]:
    """Return label and value, one to a line; rows without a value are left out."""
    kept = [(label, value) for label, value in rows if value]
    width = max((len(label) for label, _ in kept), default=0)
    return [f"{label.ljust(width)}  {value}" for label, value in kept]
