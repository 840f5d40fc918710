"""Apertures against their marks, in stops; the shape of an opening in a photograph."""

from uuid import UUID

from asfound.bench.focus import APERTURE, write_apertures
from asfound.bench.ground_glass import photograph_numbers, read_opening
from asfound.focus import ApertureFinding, Opening, aperture_finding
from asfound.focus.aperture import WANTED_STOPS, ApertureError
from asfound.job import Entry, Job
from asfound.job.bodies import Stage
from asfound.plots.aperture import aperture_picture, opening_picture
from asfound.plots.focus_how_more import pupil
from asfound.problems import BadInputError, Problem, bad_input
from asfound.quantity import Reading, show_number, show_reading
from asfound.web.focus.into_job import filled, page_of
from asfound.web.focus.lens import focal_length_field, say_signed
from asfound.web.focus.lists import in_unit, read_pairs
from asfound.web.room import Asked, Choice, How, Row, Section, Table, Task, both
from asfound.web.room_form import Field, Values

_PHOTO = "Opening in a photograph"
MOST_PIXEL_MM = 10.0


def fields(job: Job) -> tuple[Field, ...]:
    """Return what is asked of a diaphragm: the camera's marks stand ready."""
    marks = "\n".join(f"{mark:g} =" for mark in job.camera.marked_apertures)
    photos = tuple(photograph_numbers(job))
    these = (
        Field(name="diameters", label="Mark and opening's width", lines=True, optional=True, default=marks,
              hint="a line each: 8 = 9.4 mm, through the front; lines left empty do not count"),
        focal_length_field(job),
        Field(name="u", label="One width known to", unit="mm", default="0.1", optional=True, most=100),
        Field(name="u_focal", label="Focal length known to", unit="mm", optional=True, most=100),
        Field(name="tolerance", label="Allowed, stops", unit="1", default=f"{WANTED_STOPS:.2f}", most=10,
              hint="common practice, no source"),
        Field(name="magnification", label="Pupil over blades", unit="1", default="1", most=10,
              hint="1 when measured through the front"),
        Field(name="photo", label="Photograph", choices=photos, optional=True, group=_PHOTO,
              hint="of this job; the number is its entry") if photos else
        Field(name="photo", label="Photograph", optional=True, group=_PHOTO, hint="put one into the book first"),
        Field(name="mark", label="Set to f/", unit="1", optional=True, most=200, group=_PHOTO),
        Field(name="pixel", label="One pixel is", unit="mm", optional=True, most=MOST_PIXEL_MM, group=_PHOTO,
              hint="by a rule beside the opening"),
        Field(name="u_scale", label="Scale known to", unit="%", optional=True, most=50, group=_PHOTO),
        Field(name="blades", label="Blades", unit="1", optional=True, most=40, group=_PHOTO),
    )  # fmt: skip
    return filled(these, job, APERTURE)


def diameters_of(values: Values) -> list[tuple[float, Reading]]:
    """Return the widths that were typed; a mark without a width does not count."""
    kept = "\n".join("" if line.rstrip().endswith("=") else line for line in values.text("diameters").splitlines())
    plain = "\n".join(line.strip().lower().removeprefix("f").removeprefix("/") for line in kept.splitlines())
    pairs = read_pairs(plain, in_unit("1"), in_unit("mm"), where="diameters", example="8 = 9.4 mm")
    for n, (mark, width) in enumerate(pairs, start=1):
        if not (0.3 < mark <= 200 and 0.01 < width <= 1000):
            raise bad_input(f"diameters, pair {n}", f"f/{mark:g} with {width:g} mm cannot be", "check both numbers")
    u = values.maybe("u")
    return [
        (mark, Reading(value=width, unit="mm", standard_uncertainty=u, how="width of the opening"))
        for mark, width in pairs
    ]


def opening_of(asked: Asked) -> tuple[float, Opening] | None:
    """Return the opening in the photograph with the mark it was set to; None where none was chosen.

    Raises
    ------
    BadInputError
        Beside the field that is missing, or beside the photograph.
    """
    values = asked.values
    chosen, mark, pixel = values.text("photo"), values.maybe("mark"), values.maybe("pixel")
    if not chosen:
        return None
    known: dict[str, UUID] = photograph_numbers(asked.job)
    if chosen not in known:
        raise bad_input("photo", f"{chosen[:40]!r} is no photograph of this job", "choose one, or put it in the book")
    if mark is None or pixel is None:
        raise bad_input("mark" if mark is None else "pixel", "it is wanted with a photograph", "give it too")
    blades = values.maybe("blades")
    if blades is not None and (blades != round(blades) or blades < 3):
        raise bad_input("blades", f"{blades:g} is no count of blades", "count them")
    try:
        found = read_opening(
            asked.book,
            asked.job,
            known[chosen],
            mm_per_pixel=pixel,
            u_scale=(values.maybe("u_scale") or 0.0) / 100,
            blades=None if blades is None else round(blades),
        )
    except BadInputError as error:
        raise BadInputError(*(Problem("photo", p.what, p.remedy) for p in error.problems)) from None
    return mark, found


def finding_of(asked: Asked) -> tuple[ApertureFinding, tuple[float, Opening] | None]:
    """Return what the widths say of the marks, and the opening of the photograph.

    Raises
    ------
    BadInputError
        If there is neither.
    """
    values = asked.values
    given, opening = diameters_of(values), opening_of(asked)
    if opening is not None:
        given.append((opening[0], opening[1].diameter))
    if not given:
        raise bad_input("diameters", "there is no width yet", "measure two settings or more, as in 8 = 9.4 mm")
    found = aperture_finding(
        focal_length_mm=values["focal_length"],
        diameters=given,
        u_focal_length_mm=values.maybe("u_focal") or 0.0,
        pupil_magnification=values["magnification"],
        tolerance_stops=values["tolerance"],
    )
    return found, opening


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return the error of each setting in stops."""
    found, opening = finding_of(asked)
    tolerance = asked.values["tolerance"]
    verdicts = [one.verdict for one in found.settings]
    verdict = next((one for one in ("outside", "cannot tell", "within") if one in verdicts), "")
    return (
        Section(
            title="Apertures",
            verdict=verdict,
            words=f"setting {found.advice}" if found.off else found.advice,
            pictures=both(aperture_picture, found, tolerance_stops=tolerance),
            rows=(
                Row("Common to all", f"{say_signed(found.common_stops, places=2)} stop", "by lens, scale or pointer"),
                Row("Stands apart", ", ".join(f"f/{mark:g}" for mark in found.off) or "none", "by its notch or cam"),
            ),
            table=Table(
                ("Marked", "Opening", "Is really", "Error", "Verdict"), tuple(_row(one) for one in found.settings)
            ),
            remarks=("plus is darker than marked; a whole-stop mark counts as its power of root two",),
            write=Choice("Write the apertures to the job"),
        ),
        *_shape(opening),
    )  # fmt: skip


def _row(one: ApertureError) -> tuple[str, ...]:
    u = one.error.standard_uncertainty
    about = "" if u is None else f" ± {u:.2f}"
    return (
        f"f/{one.marked:g}",
        f"{one.diameter_mm:.2f} mm",
        f"f/{one.f_number:.3g}",
        f"{say_signed(one.error.value or 0.0, places=2)}{about} stop",
        one.verdict,
    )


def _shape(opening: tuple[float, Opening] | None) -> tuple[Section, ...]:
    if opening is None:
        return ()
    mark, found = opening
    uneven = "count the blades" if found.uneven is None else f"{found.uneven:.1%} of the radius".replace("%", " %")
    return (
        Section(
            title=f"The opening at f/{mark:g}",
            words=f"as wide as a circle of {show_number(found.diameter.value or 0.0)} mm",
            pictures=both(opening_picture, found),
            rows=(
                Row("Equal circle", show_reading(found.diameter), "dashed"),
                Row("Width", f"{found.least_width_mm:.2f} to {found.greatest_width_mm:.2f} mm", "between parallels"),
                Row("Uneven", uneven, "what that many blades do not explain: a bent or dropped blade"),
            ),
        ),
    )


def write(asked: Asked, stage: Stage, _choice: str) -> tuple[Entry, ...]:
    """Write the error of each setting into the job."""
    found, _ = finding_of(asked)
    return write_apertures(page_of(asked, stage), found, tolerance_stops=asked.values["tolerance"])


def how() -> How:
    """Say how an opening is measured."""
    return How(
        steps=(
            "Hold the shutter open and look through the front of the lens against an even light, from an arm's length.",
            "Measure the opening as it appears there, with a calliper held before the lens, in two directions; take "
            "the mean.",
            "Set each mark from the same side.",
            "Or photograph it with a rule beside it, count the pixels to the millimetre, and put it into the book.",
        ),
        pictures=both(pupil),
        cautions=("do not let the calliper touch the glass; use a lamp, never the sun, as the light behind",),
    )


TASK = Task(
    path="aperture",
    name="Aperture",
    lead="Whether the openings are what the marks say, and which setting is off.",
    fields=fields,
    work_out=work_out,
    write=write,
    how=how,
)
