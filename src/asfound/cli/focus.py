"""``asfound focus``: the budget, the helical, its starts, the datum, spacers; the rest is in its neighbours."""

import math
from typing import Any, cast

import click

from asfound.cli.focus_optics import aperture, front_cell, rangefinder
from asfound.cli.focus_options import (
    ANGLE,
    DISTANCE,
    LENGTH,
    PairParam,
    budget_of,
    budget_options,
    distance_words,
    focal_length_option,
    focusing_of,
    focusing_options,
    height_reading,
    json_option,
    labelled,
    lead_option,
    length_words,
    share_words,
    u_option,
)
from asfound.cli.focus_readings import effort, infinity
from asfound.cli.output import columns, emit
from asfound.focus import (
    Helical,
    ScaleFit,
    Spacer,
    StartFinding,
    combined_lead,
    datum_correction,
    depth_of_field,
    depth_of_focus,
    entries,
    fit_scale,
    lens_extension,
    parting_order,
    rotation_for_extension,
    stack_effect,
    wedge,
    which_start,
)
from asfound.focus.extension import Origin
from asfound.problems import bad_input
from asfound.quantity import Reading, parse_quantity, show_number, show_reading

origin_option = click.option(
    "--from",
    "origin",
    type=click.Choice(["film", "lens"]),
    default="film",
    show_default=True,
    help="From where distances are measured.",
)
nodal_option = click.option(
    "--nodal-separation", type=LENGTH, default="0mm", help="Front to rear nodal point of the lens, if known."
)


@click.group()
def focus() -> None:
    """Bring the lens back to infinity, and its scale to the truth."""


@focus.command()
@focal_length_option
@click.option("--distance", type=DISTANCE, required=True, help="To the subject: 2m, or inf.")
@origin_option
@nodal_option
@click.option("--u-focal-length", type=LENGTH, help="Standard uncertainty of the focal length.")
@click.option("--u-distance", type=LENGTH, default="0mm", help="Standard uncertainty of the distance.")
@lead_option
@json_option
def extension(
    focal_length: float,
    distance: float,
    origin: str,
    nodal_separation: float,
    u_focal_length: float | None,
    u_distance: float,
    lead: float | None,
    as_json: bool,
) -> None:
    """How far the lens stands out for a distance."""
    found = lens_extension(
        focal_length_mm=focal_length,
        distance_mm=distance,
        origin=cast(Origin, origin),
        nodal_separation_mm=nodal_separation,
        u_focal_length_mm=u_focal_length,
        u_distance_mm=u_distance,
    )
    data: dict[str, Any] = found.flat()
    if lead is not None:
        data["rotation_deg"] = rotation_for_extension(extension_mm=found.extension_mm, lead_mm=lead)
        data["rotation_turns"] = data["rotation_deg"] / 360
    rows = [
        ("extension", length_words(found.extension_mm, found.extension.standard_uncertainty)),
        ("magnification", f"{found.magnification:.4f}"),
        ("rotation", f"{data['rotation_deg']:.1f} deg from infinity" if lead is not None else None),
    ]
    emit(data, labelled(rows), as_json=as_json)


@focus.command()
@budget_options
@click.option("--focal-length", type=LENGTH, help="For hyperfocal distance and depth of field.")
@click.option("--distance", type=DISTANCE, help="From the lens, for the depth of field.")
@click.option("--error", type=LENGTH, help="An image displacement to judge: 0.04mm.")
@u_option
@json_option
def budget(
    aperture: float | None,
    frame: str | None,
    circle: float | None,
    divisor: float,
    focal_length: float | None,
    distance: float | None,
    error: float | None,
    u: float | None,
    as_json: bool,
) -> None:
    """The focus budget, plus or minus N c; hyperfocal distance and depth of field."""
    found = budget_of(aperture, frame, circle, divisor)
    if found is None:
        raise bad_input("--aperture", "it is missing", "give it: --aperture 3.5 --format 6x9")
    data: dict[str, Any] = found.flat()
    rows: list[tuple[str, str | None]] = [
        ("budget", f"±{show_number(found.half_width_mm)} mm at f/{found.f_number:g}"),
        ("circle", f"{show_number(found.circle_mm)} mm, {found.circle_source}"),
    ]
    if focal_length is not None:
        field = depth_of_field(
            focal_length_mm=focal_length,
            f_number=found.f_number,
            circle_mm=found.circle_mm,
            distance_mm=math.inf if distance is None else distance,
        )
        data |= {"hyperfocal_mm": field.hyperfocal_mm, "near_mm": field.near_mm, "far_mm": field.far_mm}
        v = focal_length if math.isinf(field.distance_mm) else _image_distance(focal_length, field.distance_mm)
        data["depth_of_focus_half_mm"] = depth_of_focus(
            f_number=found.f_number,
            circle_mm=found.circle_mm,
            focal_length_mm=focal_length,
            image_distance_mm=v,
        )
        sharp = f"{distance_words(field.near_mm)} to {distance_words(field.far_mm)}"
        rows += [("hyperfocal", distance_words(field.hyperfocal_mm)), ("sharp from", sharp)]
    if error is not None:
        reading = Reading(value=error, unit="mm", standard_uncertainty=u)
        data |= {
            "error_mm": error,
            "u_error_mm": u,
            "share": found.share(error),
            "verdict": found.judge(reading),
        }
        rows.append(("error", f"{share_words(found.share(error), found)}: {data['verdict']}"))
    emit(data, labelled(rows), as_json=as_json)


def _image_distance(focal_length: float, distance: float) -> float:
    return lens_extension(focal_length_mm=focal_length, distance_mm=distance, origin="lens").extension_mm + (
        focal_length
    )


@focus.command()
@click.option("--height-error", type=LENGTH, help="Measured less wanted height; positive is too far out.")
@click.option("--measured", type=LENGTH, help="Height found, with --wanted.")
@click.option("--wanted", type=LENGTH, help="Height of the datum.")
@u_option
@click.option("--at-least", type=LENGTH, help="Lower bound of the height error, where only a bracket is known.")
@click.option("--at-most", type=LENGTH, help="Upper bound of the height error.")
@click.option("--lead", type=LENGTH, required=True, help="Travel per turn: 3mm.")
@click.option("--starts", type=int, required=True, help="How many threads run side by side.")
@click.option("--inner-lead", type=LENGTH, help="Lead of a second helical nested in the first.")
@click.option("--inner-starts", type=int, help="Its starts.")
@click.option("--inner-subtracts", is_flag=True, help="Its travel is taken from the first's.")
@click.option("--met-at", type=ANGLE, help="Clock position at which the right start meets.")
@click.option("--clock", type=ANGLE, help="Clock position now, with --engaged: where the threads part.")
@click.option("--engaged", type=LENGTH, help="Travel left until the threads part.")
@click.option("--inner-engaged", type=LENGTH, help="The same of the inner helical.")
@json_option
def start(
    height_error: float | None,
    measured: float | None,
    wanted: float | None,
    u: float | None,
    at_least: float | None,
    at_most: float | None,
    lead: float,
    starts: int,
    inner_lead: float | None,
    inner_starts: int | None,
    inner_subtracts: bool,
    met_at: float | None,
    clock: float | None,
    engaged: float | None,
    inner_engaged: float | None,
    as_json: bool,
) -> None:
    """Which start a helical was entered on, and where its threads meet or part."""
    outer = Helical(lead_mm=lead, starts=starts)
    helicals = _nest(outer, inner_lead, inner_starts, inner_subtracts)
    if at_least is not None or at_most is not None:
        height = Reading(value=None, unit="mm", lower=at_least, upper=at_most)
    else:
        height = height_reading(height_error, measured, wanted, u)
    found = which_start(height_error=height, helicals=helicals)
    data = {**found.flat(), **height.flat("height_error"), "lead_mm": combined_lead(helicals)}
    rows = _start_rows(found, height)
    if met_at is not None:
        met = entries(helical=outer, first_clock_deg=met_at)
        data["entries"] = [entry.flat() for entry in met]
        rows += [(f"start {e.start}", f"meets at {e.clock_deg:.0f} deg: {e.height_mm:+.2f} mm") for e in met]
    if clock is not None or engaged is not None:
        if clock is None or engaged is None or (len(helicals) > 1 and inner_engaged is None):
            raise bad_input("--clock", "a part is missing", "give --clock and --engaged, of a nest --inner-engaged too")
        travels = (engaged,) if len(helicals) == 1 else (engaged, inner_engaged or 0.0)
        order = parting_order(helicals=helicals, engaged_mm=travels, clock_deg=clock)
        data["parting"] = [parting.flat() for parting in order]
        names = ("outer", "inner") if len(helicals) > 1 else ("threads",)
        rows += [(f"{names[p.helical]} part", f"at {p.clock_deg:.0f} deg, after {p.turn_deg:.0f}") for p in order]
    emit(data, labelled(rows), as_json=as_json)


def _nest(outer: Helical, lead: float | None, starts: int | None, subtracts: bool) -> tuple[Helical, ...]:
    if lead is None and starts is None:
        return (outer,)
    if lead is None or starts is None:
        raise bad_input("--inner-lead", "one of two is missing", "give both --inner-lead and --inner-starts")
    return outer, Helical(lead_mm=lead, starts=starts, adds=not subtracts)


def _start_rows(found: StartFinding, height: Reading) -> list[tuple[str, str | None]]:
    fits = ", ".join(f"{'/'.join(f'{k:+d}' for k in c.starts_out)} ({c.height_mm:+.2f} mm)" for c in found.candidates)
    between = found.uncertainties_between
    steps = " and ".join(f"{pitch:.3g} mm" for pitch in found.pitch_mm)
    plain = "" if between is None else f", {between:.0f} standard uncertainties"
    return [
        ("answer", f"{found.answer}: {found.advice}"),
        ("height error", show_reading(height)),
        ("step", f"{steps} a start{plain}"),
        ("fits", fits or "none"),
    ]


@focus.command()
@click.option("--height-error", type=LENGTH, help="Measured less wanted height; positive is too far out.")
@click.option("--measured", type=LENGTH, help="Height found, with --wanted.")
@click.option("--wanted", type=LENGTH, help="Height of the datum.")
@u_option
@lead_option
@budget_options
@click.option("--leaf", "leaves", type=LENGTH, multiple=True, help="A leaf or shim in the drawer; repeat.")
@json_option
def datum(
    height_error: float | None,
    measured: float | None,
    wanted: float | None,
    u: float | None,
    lead: float | None,
    aperture: float | None,
    frame: str | None,
    circle: float | None,
    divisor: float,
    leaves: tuple[float, ...],
    as_json: bool,
) -> None:
    """A height error as turn, shim, image shift and share of the budget."""
    share_of = budget_of(aperture, frame, circle, divisor)
    found = datum_correction(
        height_error=height_reading(height_error, measured, wanted, u),
        lead_mm=lead,
        budget=share_of,
        drawer_mm=leaves,
    )
    shim = found.shim.value or 0.0
    turn = found.turn.value if found.turn else None
    stacks = "; ".join(
        f"{' + '.join(f'{leaf:g}' for leaf in s.leaves_mm)} mm ({s.left_mm:+.3f} mm left)" for s in found.stacks
    )
    rows = [
        ("height error", show_reading(found.error)),
        ("image shift", length_words(found.image_shift_mm, u)),
        ("turn", None if turn is None else f"{'in' if turn > 0 else 'out'} by {abs(turn):.1f} deg"),
        ("shim", f"{'add' if shim > 0 else 'take out'} {length_words(abs(shim), u)}"),
        ("drawer", stacks or None),
        ("share", share_words(found.share, share_of) or None),
        ("verdict", found.verdict),
    ]
    emit(found.flat() | (share_of.flat() if share_of else {}), labelled(rows), as_json=as_json)


@focus.command()
@focusing_options
@click.option(
    "--mark", "marks", type=PairParam(DISTANCE, ANGLE), multiple=True, help="Engraved distance=pointer angle."
)
@click.option("--u-angle", type=ANGLE, help="Standard uncertainty of one angle; else from the scatter.")
@click.option("--u-focal-length", type=LENGTH, default="0mm", help="Standard uncertainty of the focal length.")
@lead_option
@click.option("--infinity-at", type=ANGLE, help="Pointer angle of the proved infinity.")
@origin_option
@nodal_option
@budget_options
@json_option
def scale(
    focal_length: float,
    front: float | None,
    separation: float | None,
    marks: tuple[tuple[float, float], ...],
    u_angle: float | None,
    u_focal_length: float,
    lead: float | None,
    infinity_at: float | None,
    origin: str,
    nodal_separation: float,
    aperture: float | None,
    frame: str | None,
    circle: float | None,
    divisor: float,
    as_json: bool,
) -> None:
    """Fit pointer angles against engraved distances: lead, offset, and the error of each mark."""
    found = fit_scale(
        focusing=focusing_of(
            focal_length, front, separation, from_lens=origin == "lens", nodal_separation=nodal_separation
        ),
        marks=marks,
        u_angle_deg=u_angle,
        u_focal_length_mm=u_focal_length,
        lead_mm=lead,
        infinity_deg=infinity_at,
        budget=budget_of(aperture, frame, circle, divisor),
    )
    emit(found.flat(), _scale_lines(found), as_json=as_json)


def _scale_lines(found: ScaleFit) -> list[str]:
    rows = [
        (
            distance_words(mark.engraved_mm),
            f"{mark.angle_deg:.1f}",
            f"{mark.fitted_angle_deg:.1f}",
            f"{mark.error.value:+.3f}",
            distance_words(mark.sharp_at_mm),
            "" if mark.depths is None else f"{mark.depths:+.2f}",
            mark.verdict or "",
        )
        for mark in found.marks
    ]
    head = ("engraved", "deg", "belongs at", "error mm", "sharp at", "depths", "verdict")
    odd = found.consistent is False
    doubt = ["the scatter is more than the stated uncertainty explains: read again"] if odd else []
    about = labelled([("lead", show_reading(found.lead)), ("offset", show_reading(found.offset))])
    return [*about, *columns(head, rows), *doubt]


@focus.command()
@click.option("--spacer", "belonging", multiple=True, help='One that belongs in: "ring=0.50,0.51,0.50".')
@click.option("--extra", "others", multiple=True, help="One that is in but does not belong.")
@click.option("--missing", multiple=True, help="Name of one that is not in.")
@click.option("--radius", type=LENGTH, required=True, help="Of the circle on which it was measured.")
@u_option
@click.option("--half-diagonal", type=LENGTH, help="Centre to corner of the frame: 50mm.")
@budget_options
@json_option
def spacers(
    belonging: tuple[str, ...],
    others: tuple[str, ...],
    missing: tuple[str, ...],
    radius: float,
    u: float | None,
    half_diagonal: float | None,
    aperture: float | None,
    frame: str | None,
    circle: float | None,
    divisor: float,
    as_json: bool,
) -> None:
    """What missing, extra or wedged spacers do, each measured at 90, 210 and 330 degrees."""
    wanted = [_spacer(text, radius, u, "--spacer") for text in belonging]
    extra = [_spacer(text, radius, u, "--extra") for text in others]
    for name in set(missing) - {spacer.name for spacer in wanted}:
        raise bad_input("--missing", f"{name!r} is none of those that belong in", "name it with --spacer too")
    present = [spacer for spacer in wanted if spacer.name not in missing] + extra
    share_of = budget_of(aperture, frame, circle, divisor)
    found = stack_effect(present=present, wanted=wanted, half_diagonal_mm=half_diagonal, budget=share_of)
    each = [{"name": spacer.name, **wedge(spacer).flat()} for spacer in (*wanted, *extra)]
    corner = found.corner_error_mm
    rows = [
        ("infinity error", show_reading(found.infinity_error)),
        ("share", share_words(found.infinity_share, share_of) or None),
        ("tilt", f"{show_reading(found.tilt)}, furthest out at {found.tilted_towards_deg:.0f} deg"),
        ("corner", None if corner is None else length_words(corner, None)),
        ("corner share", share_words(found.corner_share, share_of) or None),
    ]
    emit(found.flat() | {"spacers": each}, labelled(rows), as_json=as_json)


def _spacer(text: str, radius: float, u: float | None, where: str) -> Spacer:
    name, equals, numbers = text.partition("=")
    parts = numbers.split(",")
    if not equals or not name.strip() or len(parts) not in (1, 3):
        raise bad_input(where, f"{text!r} is not a name and three thicknesses", "write ring=0.50,0.51,0.50")
    thick = [parse_quantity(part, unit="mm", where=where) for part in parts] * (3 // len(parts))
    return Spacer(
        name=name.strip(),
        thickness_mm=(thick[0], thick[1], thick[2]),
        radius_mm=radius,
        u_thickness_mm=u,
    )


for command in (infinity, effort, front_cell, rangefinder, aperture):
    focus.add_command(command)
