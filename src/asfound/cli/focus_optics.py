"""``asfound focus front-cell``, ``rangefinder`` and ``aperture``."""

import math
from pathlib import Path
from typing import Any, cast

import click

from asfound.cli.focus_options import (
    DISTANCE,
    F_NUMBER,
    LENGTH,
    PairParam,
    PathParam,
    budget_of,
    budget_options,
    distance_words,
    focal_length_option,
    focusing_of,
    focusing_options,
    json_option,
    labelled,
    lead_option,
    length_words,
    share_words,
    u_option,
)
from asfound.cli.output import columns, emit
from asfound.focus import (
    ApertureFinding,
    Coupling,
    Helical,
    Opening,
    aperture_finding,
    front_cell_start,
    front_focal_length,
    front_travel,
    opening_mask,
    opening_shape,
    rangefinder_coupling,
    two_groups,
)
from asfound.focus.front_cell import FrontOrigin
from asfound.problems import bad_input
from asfound.quantity import Reading, show_number, show_reading


@click.command("front-cell")
@click.option("--front", type=LENGTH, help="Focal length of the front group; else from --travel.")
@click.option("--rear", type=LENGTH, help="Focal length of the rear group, below zero when it diverges.")
@click.option("--focal-length", type=LENGTH, help="Of the whole lens, in place of --rear.")
@click.option("--separation", type=LENGTH, required=True, help="Between the groups at infinity.")
@click.option("--travel", type=LENGTH, help="Measured travel from infinity to --distance from the front.")
@click.option("--distance", type=DISTANCE, default="inf", help="To the subject.")
@click.option("--from", "origin", type=click.Choice(["film", "front"]), default="film", show_default=True)
@click.option("--u-front", type=LENGTH, help="Standard uncertainty of the front focal length.")
@lead_option
@click.option("--starts", type=int, help="Starts of the cell's thread.")
@click.option("--image-error", type=LENGTH, help="Infinity lies this far in front of the film.")
@u_option
@budget_options
@json_option
def front_cell(
    front: float | None,
    rear: float | None,
    focal_length: float | None,
    separation: float,
    travel: float | None,
    distance: float,
    origin: str,
    u_front: float | None,
    lead: float | None,
    starts: int | None,
    image_error: float | None,
    u: float | None,
    aperture: float | None,
    frame: str | None,
    circle: float | None,
    divisor: float,
    as_json: bool,
) -> None:
    """Travel of a front cell for a distance; what one start of its thread does."""
    f1 = _front(front, travel, distance)
    groups = two_groups(front_mm=f1, rear_mm=rear, focal_length_mm=focal_length, separation_mm=separation)
    found = front_travel(
        groups=groups, distance_mm=distance, origin=cast(FrontOrigin, origin), u_front_mm=u_front, lead_mm=lead
    )
    data: dict[str, Any] = found.flat()
    rows: list[tuple[str, str | None]] = [
        ("whole lens", f"{groups.focal_length_mm:.2f} mm, back focus {groups.back_focal_mm:.2f} mm"),
        ("travel", length_words(found.travel.value or 0.0, found.travel.standard_uncertainty)),
        ("turn", None if found.turn_deg is None else f"{found.turn_deg:.1f} deg"),
        ("focal length there", f"{found.focal_length_mm:.2f} mm"),
    ]
    if starts is not None or image_error is not None:
        if lead is None or starts is None:
            raise bad_input("--starts", "the thread is not known", "give both --lead and --starts")
        share_of = budget_of(aperture, frame, circle, divisor)
        image = None
        if image_error is not None:
            image = Reading(value=image_error, unit="mm", standard_uncertainty=u)
        stepped = front_cell_start(
            groups=groups, helical=Helical(lead_mm=lead, starts=starts), image_error=image, budget=share_of
        )
        data |= stepped.flat()
        rows += [
            ("one start out", f"image {length_words(stepped.image_step_mm, None)} off"),
            ("share", share_words(stepped.step_share, share_of)),
            ("answer", stepped.finding.advice if stepped.finding else None),
        ]
    emit(data, labelled(rows), as_json=as_json)


def _front(front: float | None, travel: float | None, distance: float) -> float:
    if front is not None:
        return front
    if travel is None or math.isinf(distance):
        raise bad_input("--front", "it is missing", "give it, or --travel with a finite --distance")
    return front_focal_length(travel_mm=travel, distance_mm=distance)


@click.command()
@focusing_options
@click.option(
    "--reading",
    "readings",
    type=PairParam(DISTANCE, DISTANCE),
    multiple=True,
    help="True distance=distance on the scale at coincidence; repeat.",
)
@click.option("--u", type=LENGTH, help="Standard uncertainty of the lens's extension at one coincidence.")
@click.option("--from", "origin", type=click.Choice(["film", "lens"]), default="film", show_default=True)
@budget_options
@json_option
def rangefinder(
    focal_length: float,
    front: float | None,
    separation: float | None,
    readings: tuple[tuple[float, float], ...],
    u: float | None,
    origin: str,
    aperture: float | None,
    frame: str | None,
    circle: float | None,
    divisor: float,
    as_json: bool,
) -> None:
    """Offset and rate of a coupled rangefinder, and which adjuster comes first."""
    found = rangefinder_coupling(
        focusing=focusing_of(focal_length, front, separation, from_lens=origin == "lens"),
        readings=readings,
        u_extension_mm=u,
        budget=budget_of(aperture, frame, circle, divisor),
    )
    emit(found.flat(), _coupling_lines(found), as_json=as_json)


def _coupling_lines(found: Coupling) -> list[str]:
    rows = [
        (
            distance_words(r.true_mm),
            distance_words(r.indicated_mm),
            f"{r.error_mm:+.3f}",
            "" if r.share is None else f"{r.share:+.2f}",
            f"{r.after_offset_mm:+.3f}",
            f"{r.after_both_mm:+.3f}",
            r.verdict or "",
        )
        for r in found.readings
    ]
    head = ("true", "indicated", "error mm", "share", "after offset", "after both", "verdict")
    about = [("offset", show_reading(found.offset)), ("rate", show_reading(found.rate)), ("do", found.advice)]
    return [*columns(head, rows), *labelled(about)]


@click.command()
@focal_length_option
@click.option("--diameter", "diameters", type=PairParam(F_NUMBER, LENGTH), multiple=True, help="Mark=pupil: 8=9.4mm.")
@click.option("--photo", "photos", type=PairParam(F_NUMBER, PathParam()), multiple=True, help="Mark=photograph of it.")
@click.option("--mm-per-pixel", type=LENGTH, help="Scale of the photographs.")
@click.option("--u-scale", type=float, default=0.0, help="Its relative standard uncertainty: 0.01.")
@click.option("--blades", type=int, help="How many blades.")
@u_option
@click.option("--u-focal-length", type=LENGTH, default="0mm", help="Standard uncertainty of the focal length.")
@click.option("--pupil-magnification", type=float, default=1.0, help="Entrance pupil over the blades' opening.")
@click.option("--tolerance-stops", type=float, default=1 / 3, help="Allowed either way.  [default: 1/3]")
@json_option
def aperture(
    focal_length: float,
    diameters: tuple[tuple[float, float], ...],
    photos: tuple[tuple[float, Path], ...],
    mm_per_pixel: float | None,
    u_scale: float,
    blades: int | None,
    u: float | None,
    u_focal_length: float,
    pupil_magnification: float,
    tolerance_stops: float,
    as_json: bool,
) -> None:
    """Set pupil diameters against the marked f-numbers; the shape of the opening."""
    if photos and mm_per_pixel is None:
        raise bad_input("--mm-per-pixel", "the photographs have no scale", "photograph a rule beside the opening")
    shapes = {mark: _shape(path, mm_per_pixel or 0.0, u_scale, blades) for mark, path in photos}
    given = [(mark, Reading(value=d, unit="mm", standard_uncertainty=u)) for mark, d in diameters]
    found = aperture_finding(
        focal_length_mm=focal_length,
        diameters=[*given, *((mark, shape.diameter) for mark, shape in shapes.items())],
        u_focal_length_mm=u_focal_length,
        pupil_magnification=pupil_magnification,
        tolerance_stops=tolerance_stops,
    )
    openings = [{"marked": mark, **shape.flat()} for mark, shape in shapes.items()]
    emit(found.flat() | {"openings": openings}, _aperture_lines(found), as_json=as_json)


def _shape(path: Path, mm_per_pixel: float, u_scale: float, blades: int | None) -> Opening:
    from asfound.capture.ground_glass import read_grey  # the readers are slow to import

    mask = opening_mask(read_grey(path))
    return opening_shape(mask, mm_per_pixel=mm_per_pixel, u_scale=u_scale, blades=blades)


def _aperture_lines(found: ApertureFinding) -> list[str]:
    rows = [
        (
            f"f/{s.marked:g}",
            f"{s.diameter_mm:.2f}",
            f"{s.f_number:.2f}",
            f"{s.error.value:+.2f}",
            show_number(s.error.standard_uncertainty or 0.0, s.error.standard_uncertainty),
            s.verdict,
        )
        for s in found.settings
    ]
    return [*columns(("marked", "pupil mm", "f/", "stops", "u", "verdict"), rows), found.advice]
