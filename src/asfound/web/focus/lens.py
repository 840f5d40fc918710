"""The fields that several tasks of the focus share: the lens, what moves, the budget; and what is read from them."""

import re

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
from asfound.job import Job
from asfound.job.bodies import Camera
from asfound.problems import BadInputError, bad_input
from asfound.quantity import show_number
from asfound.web.room_form import Field, Values

BUDGET, MOVES = "Focus budget", "Focused by the front cell alone"
_SIDES = re.compile(r"(\d+(?:[.,]\d+)?)\s*[x×]\s*(\d+(?:[.,]\d+)?)", re.IGNORECASE)


def frame_of(camera: Camera) -> str:
    """Return the frame that a camera's film and format name, as in 6x9; "" where it is none known here."""
    found = _SIDES.search(camera.film_format)
    for name in ("x".join(found.groups()), "x".join(reversed(found.groups()))) if found else ():
        try:
            return find_format(name).name
        except BadInputError:
            continue
    return ""


def focal_length_field(job: Job) -> Field:
    """Return the field of the focal length, filled from the camera."""
    known = job.camera.focal_length_mm
    text = "" if known is None else f"{known:g}"
    return Field(name="focal_length", label="Focal length", unit="mm", default=text, most=5000, hint="as engraved")


def budget_fields(job: Job, *, group: str = BUDGET) -> tuple[Field, ...]:
    """Return the fields that make a focus budget, filled from the camera."""
    widest = job.camera.largest_aperture
    text = "" if widest is None else f"{widest:g}"
    return (
        Field(name="aperture", label="At aperture f/", unit="1", default=text, optional=True, most=200, group=group),
        Field(
            name="frame", label="Frame on the film", default=frame_of(job.camera), optional=True, group=group,
            hint="6x9, or sides 56x84 in mm",
        ),
        Field(
            name="circle", label="Circle of confusion", unit="mm", optional=True, most=5, group=group,
            hint="empty: the frame's diagonal / 1500",
        ),
    )  # fmt: skip


def budget_of(values: Values) -> FocusBudget | None:
    """Return the budget that the fields ask for; None where aperture or circle is not known.

    Raises
    ------
    BadInputError
        If the frame is none known here.
    """
    aperture, circle, frame = values.maybe("aperture"), values.maybe("circle"), values.text("frame")
    if aperture is None or (circle is None and not frame):
        return None
    if circle is not None:
        return focus_budget(f_number=aperture, circle_mm=circle)
    return format_budget(f_number=aperture, frame=find_format(frame, where="frame"))


def focusing_fields(job: Job, *, origin: bool = True) -> tuple[Field, ...]:
    """Return the fields that say what moves, and from where distances are measured."""
    where = Field(name="origin", label="Distances are from", default="film", choices=("film", "lens"))
    return (
        focal_length_field(job),
        *((where,) if origin else ()),
        Field(
            name="front", label="Focal length of the front cell", unit="mm", optional=True, group=MOVES,
            hint="empty: the whole lens moves",
        ),
        Field(
            name="separation", label="Front to rear group", unit="mm", optional=True, group=MOVES,
            hint="between the two, at infinity",
        ),
    )  # fmt: skip


def focusing_of(values: Values) -> Focusing:
    """Return how the lens is focused.

    Raises
    ------
    BadInputError
        If one of the front cell's two numbers is missing, or they form no lens.
    """
    front, separation = values.maybe("front"), values.maybe("separation")
    from_lens = values.text("origin") == "lens"
    focal = values.maybe("focal_length")
    if focal is None:
        raise bad_input("focal_length", "it is missing", "read it off the lens, as in 105")
    if front is None and separation is None:
        return UnitFocusing(focal_length_mm=focal, origin="lens" if from_lens else "film")
    if front is None or separation is None:
        missing = "front" if front is None else "separation"
        raise bad_input(missing, "both are wanted for a front cell", "give both, or leave both empty")
    groups = two_groups(front_mm=front, separation_mm=separation, focal_length_mm=focal)
    return FrontFocusing(groups=groups, origin="front" if from_lens else "film")


def lead_field(*, optional: bool = True) -> Field:
    """Return the field of the helical's lead."""
    return Field(
        name="lead", label="Lead of the thread", unit="mm", optional=optional, most=200,
        default="" if optional else "9", hint="travel for one whole turn",
    )  # fmt: skip


def say_half(budget: FocusBudget) -> str:
    """Return a budget in words: "±0.175 mm at f/3.5"."""
    return f"±{show_number(budget.half_width_mm)} mm at f/{budget.f_number:g}"


def say_share(error_mm: float, budget: FocusBudget | None) -> str:
    """Return what an image error is of the budget: "23 % of the focus budget of ±0.175 mm at f/3.5"."""
    if budget is None:
        return "give aperture and frame to see what that is of the focus budget"
    return f"{abs(budget.share(error_mm)):.0%} of the focus budget of {say_half(budget)}".replace("%", " %")


def no_budget(budget: FocusBudget | None) -> tuple[str, ...]:
    """Return the question that is asked where there is no budget."""
    return () if budget else ("which aperture and frame? They give the focus budget, and with it a verdict",)


def say_signed(value: float, *, places: int = 3) -> str:
    """Return a number with its sign; none before a zero."""
    rounded = round(value, places) + 0.0
    return f"{rounded:+.{places}f}" if rounded else f"{0.0:.{places}f}"
