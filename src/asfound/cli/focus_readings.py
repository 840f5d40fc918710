"""``asfound focus infinity`` and ``effort``: series of readings and photographs."""

import csv
from pathlib import Path
from typing import Any, cast

import click

from asfound.cli.focus_options import (
    DISTANCE,
    FORCE,
    LENGTH,
    SETTING,
    BracketParam,
    PairParam,
    PathParam,
    Setting,
    budget_of,
    budget_options,
    focusing_of,
    focusing_options,
    json_option,
    labelled,
    lead_option,
    setting_mm,
    share_words,
)
from asfound.cli.output import columns, emit
from asfound.focus import (
    Effort,
    EffortFinding,
    InfinitySetting,
    SharpnessPeak,
    effort_finding,
    erection_scatter,
    set_infinity,
    sharpest_setting,
    sharpness_peak,
)
from asfound.focus.budget import FocusBudget
from asfound.focus.effort import Ring, Surface, Way
from asfound.problems import bad_input
from asfound.quantity import parse_quantity, show_reading


@click.command()
@focusing_options
@click.option("--sharpest", "brackets", type=BracketParam(), multiple=True, help="-0.3mm..-0.2mm; repeat.")
@click.option(
    "--photo",
    "photos",
    type=PairParam(SETTING, PathParam()),
    multiple=True,
    help="Setting=photograph of the ground glass; repeat, six or more.",
)
@click.option("--region", type=float, default=0.5, show_default=True, help="Share of the side looked at.")
@click.option("--stop", type=SETTING, default="0mm", help="Setting at the infinity stop.")
@click.option("--target", type=DISTANCE, default="inf", help="Distance of the target from the film plane.")
@click.option("--u-target", type=LENGTH, default="0mm", help="Its standard uncertainty.")
@click.option("--u-focal-length", type=LENGTH, default="0mm", help="Standard uncertainty of the focal length.")
@click.option("--glass-behind-film", type=LENGTH, default="0mm", help="Ground side behind the film's plane.")
@click.option("--u-glass", type=LENGTH, default="0mm", help="Its standard uncertainty.")
@click.option("--erection", type=LENGTH, multiple=True, help="Height after each opening; repeat.")
@click.option("--re-erected", is_flag=True, help="The camera was folded and opened between the readings.")
@lead_option
@budget_options
@json_option
def infinity(
    focal_length: float,
    front: float | None,
    separation: float | None,
    brackets: tuple[tuple[Setting, Setting], ...],
    photos: tuple[tuple[Setting, Path], ...],
    region: float,
    stop: Setting,
    target: float,
    u_target: float,
    u_focal_length: float,
    glass_behind_film: float,
    u_glass: float,
    erection: tuple[float, ...],
    re_erected: bool,
    lead: float | None,
    aperture: float | None,
    frame: str | None,
    circle: float | None,
    divisor: float,
    as_json: bool,
) -> None:
    """Where the infinity stop stands, from ground-glass or collimator readings or photographs.

    Settings are travel outwards in mm, or degrees of the ring with --lead.
    """
    peak = _peak([(setting_mm(setting, lead), path) for setting, path in photos], region) if photos else None
    settings = [(setting_mm(low, lead), setting_mm(high, lead)) for low, high in brackets]
    if (peak is None) == (not settings):
        raise bad_input("--sharpest", "it takes either settings or photographs", "give one kind of them")
    share_of = budget_of(aperture, frame, circle, divisor)
    found = set_infinity(
        sharpest=peak.peak if peak else sharpest_setting(settings),
        stop_mm=setting_mm(stop, lead),
        focusing=focusing_of(focal_length, front, separation),
        target_distance_mm=target,
        u_focal_length_mm=u_focal_length,
        u_target_distance_mm=u_target,
        glass_behind_film_mm=glass_behind_film,
        u_glass_mm=u_glass,
        erection_sd_mm=erection_scatter(erection) if erection else 0.0,
        re_erected=re_erected,
        lead_mm=lead,
        budget=share_of,
    )
    data = found.flat() | (share_of.flat() if share_of else {}) | ({"series": peak.flat()} if peak else {})
    emit(data, _infinity_lines(found, peak, share_of), as_json=as_json)


def _peak(photos: list[tuple[float, Path]], region: float) -> SharpnessPeak:
    from asfound.capture.ground_glass import series_sharpness  # the readers are slow to import

    sharpness = series_sharpness([path for _, path in photos], share=region)
    return sharpness_peak(settings=[setting for setting, _ in photos], sharpness=sharpness)


def _infinity_lines(found: InfinitySetting, peak: SharpnessPeak | None, budget: FocusBudget | None) -> list[str]:
    doubtful = ", ".join(f"{setting:g} mm" for setting in peak.doubtful) if peak else ""
    return labelled(
        [
            ("sharpest at", show_reading(found.sharpest)),
            ("doubtful photographs", doubtful),
            ("true infinity", show_reading(found.true_infinity)),
            ("stop is off by", show_reading(found.error)),
            ("as the next opening finds it", show_reading(found.as_used)),
            ("share", share_words(found.share, budget)),
            ("verdict", found.verdict),
            ("do", found.advice),
        ]
    )


@click.command()
@click.argument("file", type=PathParam())
@click.option("--u", type=FORCE, required=True, help="Standard uncertainty of one force: 0.05N or 5gf.")
@click.option("--scuff", "scuffs", type=float, multiple=True, help="Position of a scuff mark; repeat.")
@json_option
def effort(file: Path, u: float, scuffs: tuple[float, ...], as_json: bool) -> None:
    """Compare the effort over the travel, from FILE with columns position,surface,ring,way,force.

    Positions rise from infinity to the close end; surface is dirty, dry or greased, ring on or off, way out or
    in; a force without a unit is in N.
    """
    found = effort_finding(readings=_read_efforts(file), u_force_n=u, scuffs=scuffs)
    emit(found.flat(), _effort_lines(found), as_json=as_json)


def _read_efforts(file: Path) -> list[Effort]:
    try:
        with file.open(newline="", encoding="utf-8-sig") as lines:
            rows = list(csv.DictReader(lines))
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        raise bad_input(str(file), f"it cannot be read ({type(error).__name__})", "check the name") from None
    return [_effort(row, f"{file}, line {number}") for number, row in enumerate(rows, start=2)]


def _effort(row: dict[str, Any], where: str) -> Effort:
    said = {str(key).strip().lower(): (value or "").strip() for key, value in row.items() if key}
    for name in ("position", "surface", "ring", "way", "force"):
        if not said.get(name):
            raise bad_input(where, f"there is no {name}", "head the columns position,surface,ring,way,force")
    for name, words in (
        ("surface", ("dirty", "dry", "greased")),
        ("ring", ("on", "off")),
        ("way", ("out", "in")),
    ):
        if said[name] not in words:
            raise bad_input(where, f"{said[name]!r} is no {name}", f"say {', '.join(words)}")
    return Effort(
        position=_number(said["position"], where),
        force_n=parse_quantity(said["force"], unit="N", where=where),
        surface=cast(Surface, said["surface"]),
        ring=cast(Ring, said["ring"]),
        way=cast(Way, said["way"]),
    )


def _number(text: str, where: str) -> float:
    try:
        return float(text.replace(",", "."))
    except ValueError:
        raise bad_input(where, f"{text!r} is no position", "give a plain number, all in one unit") from None


def _effort_lines(found: EffortFinding) -> list[str]:
    rows = [
        (curve.surface, curve.ring, f"{position:g}", f"{force:.2f}", f"{u:.2f}")
        for curve in found.curves
        for position, force, u in zip(curve.positions, curve.force_n, curve.u_force_n, strict=True)
    ]
    rubs = [
        ("rub", f"{rub.surface}: {z.first:g} to {z.last:g}, up to {z.greatest_n:.2f} N")
        for rub in found.rubs
        for z in rub.zones
    ]
    gain = None if found.grease_gain_n is None else f"{found.grease_gain_n:.2f} N on the mean"
    about = labelled([*rubs, ("grease gains", gain), ("so", found.advice)])
    return [*columns(("surface", "ring", "position", "force N", "u N"), rows), *about]
