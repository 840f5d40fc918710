"""``asfound shutter``: firings and dials out of recordings."""

from dataclasses import asdict
from functools import partial
from pathlib import Path
from typing import Any

import click

from asfound.capture.flash import read_flash
from asfound.cli.output import emit
from asfound.cli.shutter_options import (
    aperture_option,
    channel_option,
    how_recorded,
    json_option,
    kind_option,
    measured,
    offset_option,
    pupil_option,
    read_apertures,
    read_one_speed,
    read_tolerance,
    region_option,
    response_option,
    shots_of,
    slow_option,
    u_offset_option,
)
from asfound.cli.shutter_tables import (
    about_line,
    dial_lines,
    firing_lines,
    rested_lines,
    stopped_lines,
    sync_lines,
)
from asfound.cli.shutter_trim import trim_command
from asfound.cli.shutter_why import why_command
from asfound.problems import BadInputError, bad_input
from asfound.shutter import (
    read_dial,
    read_marked,
    reason_to_withhold,
    stopped_down_table,
)
from asfound.shutter.speeds.dial import DEFAULT_SOURCE, DEFAULT_TOLERANCE_STOPS, read_dial_by_nearest
from asfound.shutter.speeds.rested import compare_rested, set_rested_apart, struck_without_rested
from asfound.shutter.timing.sync import Datum, Setting

_FILE = click.Path(path_type=Path)


@click.group()
def shutter() -> None:
    """Time a shutter from a recording of light, of its sound, or from a video."""


@shutter.command()
@click.argument("recording", type=_FILE)
@kind_option
@channel_option
@aperture_option
@pupil_option
@response_option
@offset_option
@u_offset_option
@slow_option
@region_option
@json_option
def read(
    recording: Path,
    as_json: bool,
    **how: Any,
) -> None:
    """Find and time every firing in RECORDING: a light sensor on a sound input, clicks, or a video."""
    found = measured(recording, how_recorded(**how))
    emit(found.as_json(), firing_lines(found), as_json=as_json)


@shutter.command()
@click.argument("recording", type=_FILE)
@click.option("--marked", required=True, help='Marked speeds in the order shot: "1,1/2,1/5,1/125".')
@click.option("--shots", type=click.IntRange(min=1), default=3, show_default=True, help="Firings per speed.")
@click.option("--tolerance-stops", help="Largest error in order, in stops.  [default: 1/3]")
@click.option("--tolerance-source", help="Where the tolerance comes from.")
@click.option("--face-values", is_flag=True, help="Compare 1/125 with 1/125, not with 1/128.")
@click.option("--top-tolerance-stops", help="The same for the top speed.  [default: 1/2]")
@click.option("--leave-out", help="Numbers of misfires, which are no shots of this dial: 4,9.")
@click.option("--strike", help="Numbers of bad shots: each keeps its place and counts for nothing.")
@click.option("--nearest", is_flag=True, help="Give each firing to the speed nearest to it, in whatever order shot.")
@click.option("--rested", is_flag=True, help="One firing more at each speed: its first, after hours of rest.")
@kind_option
@channel_option
@aperture_option
@pupil_option
@response_option
@offset_option
@u_offset_option
@slow_option
@region_option
@json_option
def dial(
    recording: Path,
    marked: str,
    shots: int,
    tolerance_stops: str | None,
    tolerance_source: str | None,
    face_values: bool,
    top_tolerance_stops: str | None,
    leave_out: str | None,
    strike: str | None,
    nearest: bool,
    rested: bool,
    as_json: bool,
    **how: Any,
) -> None:
    """Set the firings in RECORDING against the marked speeds, in the order shot."""
    speeds, problems = read_marked(marked, exact_modern=not face_values)
    if problems:
        raise BadInputError(*problems)
    if nearest and rested:
        raise bad_input("--nearest", "first shots after rest are told by their order", "leave out one of the two")
    tolerance = read_tolerance(tolerance_stops)
    found = measured(recording, how_recorded(**how))
    given = DEFAULT_SOURCE if tolerance is None else "given by the user, no source"
    firings, struck = shots_of(found.firings, leave_out=leave_out, strike=strike)
    first, firings = set_rested_apart(firings, shots=shots) if rested else ((), firings)
    if rested:
        struck = struck_without_rested(struck, shots=shots)
    share_out = read_dial_by_nearest if nearest else partial(read_dial, shots=shots)
    result, problems = share_out(
        firings,
        speeds,
        struck=struck,
        tolerance_stops=DEFAULT_TOLERANCE_STOPS if tolerance is None else tolerance,
        tolerance_source=tolerance_source or given,
        top_tolerance_stops=read_tolerance(top_tolerance_stops, where="--top-tolerance-stops"),
    )
    if problems:
        raise BadInputError(*problems)
    about = found.as_json()["recording"]
    apart = [compare_rested(shot, firings[at * shots : (at + 1) * shots]) for at, shot in enumerate(first)]
    data = {"recording": about, "dial": result.as_json()}
    if rested:
        marks = zip(speeds, apart, strict=False)
        data["rested"] = [{"marked": speed.mark, **asdict(shot)} for speed, shot in marks]
    emit(data, [*dial_lines(found, result), *rested_lines(speeds, apart)], as_json=as_json)


@shutter.command("stopped-down")
@click.argument("recording", type=_FILE)
@click.option("--wide-open", type=click.FloatRange(min=0.5), required=True, help="f-number it was shot at.")
@click.option("--apertures", required=True, help='Marked apertures: "3.5,5.6,8,11,16".')
@click.option("--firing", type=click.IntRange(min=1), default=1, show_default=True, help="Which firing.")
@click.option("--marked", help="The speed it was shot at, for the error in stops.")
@click.option("--face-values", is_flag=True, help="Compare 1/125 with 1/125, not with 1/128.")
@channel_option
@pupil_option
@response_option
@json_option
def stopped_down(
    recording: Path,
    wide_open: float,
    apertures: str,
    firing: int,
    marked: str | None,
    face_values: bool,
    channel: int | None,
    whole_pupil: bool | None,
    response: str | None,
    as_json: bool,
) -> None:
    """Work out the effective time at smaller apertures from one firing shot wide open."""
    stops = read_apertures(apertures, wide_open)
    speed = read_one_speed(marked, exact_modern=not face_values)
    how = how_recorded(kind="light", channel=channel, aperture=wide_open, whole_pupil=whole_pupil, response=response)
    found = measured(recording, how)
    if firing > len(found.firings):
        what = f"firing {firing} is asked for, {len(found.firings)} were found"
        raise bad_input("--firing", what, "choose another")
    shot = found.firings[firing - 1]
    if reason := reason_to_withhold(shot, how.arrangement):
        remedy = "put a diffuser or a wide sensor behind the lens and say --whole-pupil"
        raise bad_input(recording.name, f"no stopped-down table: {reason}", remedy)
    nominal = None if speed is None else speed.nominal_s
    rows = stopped_down_table(shot, wide_open=wide_open, apertures=stops, marked_s=nominal)
    data = {
        "recording": found.as_json()["recording"],
        "firing": firing,
        "marked_s": nominal,
        "apertures": [asdict(row) for row in rows],
    }
    emit(data, [about_line(found), *stopped_lines(rows, shot)], as_json=as_json)


@shutter.command()
@click.argument("recording", type=_FILE)
@click.option("--setting", type=click.Choice(["X", "M"]), required=True, help="How the flash lever stood.")
@click.option(
    "--datum",
    type=click.Choice(["blades start", "80 % open"]),
    default="blades start",
    show_default=True,
    help="For M: what the delay is counted to.",
)
@click.option("--light-channel", type=click.IntRange(min=1), default=1, show_default=True, help="From 1.")
@click.option("--contact-channel", type=click.IntRange(min=1), default=2, show_default=True, help="From 1.")
@json_option
def sync(
    recording: Path, setting: Setting, datum: Datum, light_channel: int, contact_channel: int, as_json: bool
) -> None:
    """Set the flash contact against the blades, from light and contact on two channels of RECORDING.

    A flash capacitor holds its charge long after it is switched off: never wire one to a sound input, and
    leave work on it to those who are trained for it.
    """
    found = read_flash(
        recording,
        setting=setting,
        datum=datum,
        light_channel=light_channel - 1,
        contact_channel=contact_channel - 1,
    )
    data = {
        "recording": found.light.as_json()["recording"],
        "firings": [
            {"start_s": firing.start_s, **asdict(result)}
            for firing, result in zip(found.light.firings, found.results, strict=True)
        ],
    }
    emit(data, sync_lines(found), as_json=as_json)


shutter.add_command(why_command)
shutter.add_command(trim_command)
