"""``asfound shutter``: firings and dials out of recordings."""

import sys
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import click

from asfound.capture import ClickOffset, Recording, Region, read_recording
from asfound.capture.flash import FlashRecording, read_flash
from asfound.capture.recording import Kind
from asfound.cli.output import columns, emit
from asfound.problems import BadInputError, bad_input
from asfound.quantity import parse_quantity, read_number, show_number, show_time
from asfound.shutter import (
    Arrangement,
    Dial,
    Firing,
    Flag,
    MarkedSpeed,
    StoppedDown,
    read_dial,
    read_marked,
    reason_to_withhold,
    stopped_down_table,
)
from asfound.shutter.dial import DEFAULT_SOURCE, DEFAULT_TOLERANCE_STOPS
from asfound.shutter.sync import Datum, Setting

json_option = click.option("--json", "as_json", is_flag=True, help="Print JSON instead of a table.")
channel_option = click.option(
    "--channel", type=click.IntRange(min=1), help="Which channel, from 1; else the one that swings most."
)
aperture_option = click.option("--aperture", type=click.FloatRange(min=0.5), help="f-number in use.")
pupil_option = click.option(
    "--whole-pupil/--part-of-pupil", default=None, help="Whether the sensor sees the whole pupil."
)
kind_option = click.option(
    "--kind",
    type=click.Choice(["light", "sound", "video"]),
    help="What RECORDING holds; guessed and said when not given.",
)
offset_option = click.option(
    "--click-offset", help="For sound: what to add to each interval, measured against light: 1.2 ms."
)
u_offset_option = click.option("--u-click-offset", help="Standard uncertainty of that.  [default: 0.3 ms]")
slow_option = click.option(
    "--slow-motion", type=click.FloatRange(min=0.01), default=1.0, help="How many times slower a video plays."
)
region_option = click.option("--region", help="For video: left,top,right,bottom in shares of the picture.")
response_option = click.option("--response", help="Time constant of the sensor, such as 20 us.")
CAPACITOR = (
    "Caution: a flash capacitor stays charged. Test the contact with a dry cell and a resistor, no flash fitted."
)
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
    found = _read(recording, _how(**how))
    emit(found.as_json(), _firing_lines(found), as_json=as_json)


@shutter.command()
@click.argument("recording", type=_FILE)
@click.option("--marked", required=True, help='Marked speeds in the order shot: "1,1/2,1/5,1/125".')
@click.option("--shots", type=click.IntRange(min=1), default=3, show_default=True, help="Firings per speed.")
@click.option("--tolerance-stops", help="Largest error in order, in stops.  [default: 1/3]")
@click.option("--tolerance-source", help="Where the tolerance comes from.")
@click.option("--face-values", is_flag=True, help="Compare 1/125 with 1/125, not with 1/128.")
@click.option("--leave-out", help="Numbers of misfires to leave out: 4,9.")
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
    leave_out: str | None,
    as_json: bool,
    **how: Any,
) -> None:
    """Set the firings in RECORDING against the marked speeds, in the order shot."""
    speeds, problems = read_marked(marked, exact_modern=not face_values)
    if problems:
        raise BadInputError(*problems)
    tolerance = _tolerance(tolerance_stops)
    found = _read(recording, _how(**how))
    given = DEFAULT_SOURCE if tolerance_stops is None else "given by the user, no source"
    result, problems = read_dial(
        _without(found.firings, leave_out),
        speeds,
        shots=shots,
        tolerance_stops=tolerance,
        tolerance_source=tolerance_source or given,
    )
    if problems:
        raise BadInputError(*problems)
    about = found.as_json()["recording"]
    emit({"recording": about, "dial": result.as_json()}, _dial_lines(found, result), as_json=as_json)


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
    stops = _apertures(apertures, wide_open)
    speed = _one_speed(marked, exact_modern=not face_values)
    how = _how(kind="light", channel=channel, aperture=wide_open, whole_pupil=whole_pupil, response=response)
    found = _read(recording, how)
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
    emit(data, [_about(found), *_stopped_lines(rows, shot)], as_json=as_json)


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
    emit(data, _sync_lines(found), as_json=as_json)


def _sync_lines(found: FlashRecording) -> list[str]:
    rows = [
        (
            number,
            f"{firing.start_s:.3f}",
            _ms(result.delay_s, result.u_delay_s),
            result.datum,
            "" if result.contact is None else _ms(result.contact.dwell_s),
            "" if result.contact is None else result.contact.bounces,
            result.verdict,
            result.reason,
        )
        for number, (firing, result) in enumerate(zip(found.light.firings, found.results, strict=True), 1)
    ]
    head = ("no", "start s", "closes ms before", "datum", "dwell ms", "bounces", "verdict", "because")
    return [_about(found.light), *columns(head, rows), CAPACITOR]


def _stopped_lines(rows: tuple[StoppedDown, ...], shot: Firing) -> list[str]:
    cells = [
        (
            f"f/{row.aperture:g}",
            show_time(row.effective_s, shot.u_effective_s),
            f"{row.longer_stops:+.2f}",
            "" if row.error_stops is None else f"{row.error_stops:+.2f}",
        )
        for row in rows
    ]
    return columns(("aperture", "effective", "longer by stops", "error stops"), cells)


def _apertures(text: str, wide_open: float) -> list[float]:
    found = []
    for word in text.replace("f/", "").split(","):
        try:
            value = read_number(word)
        except ValueError:
            raise bad_input("--apertures", f"{word.strip()!r} is not an f-number", "write 3.5,5.6,8") from None
        if value < wide_open * 0.999:
            what = f"f/{value:g} is wider than f/{wide_open:g}, at which it was shot"
            raise bad_input("--apertures", what, "leave it out")
        found.append(value)
    return found


def _one_speed(marked: str | None, *, exact_modern: bool) -> MarkedSpeed | None:
    if marked is None:
        return None
    speeds, problems = read_marked(marked, exact_modern=exact_modern)
    if problems:
        raise BadInputError(*problems)
    return speeds[0]


def _arrangement(whole_pupil: bool | None, response: str | None) -> Arrangement:
    if response is None:
        return Arrangement(whole_pupil=whole_pupil)
    seconds = parse_quantity(response, unit="s", where="--response")
    if not 0 <= seconds < 0.1:
        raise bad_input("--response", f"{response!r} is not a sensor's time constant", "write it as 20 us")
    return Arrangement(whole_pupil=whole_pupil, response_s=seconds)


@dataclass(frozen=True, slots=True, kw_only=True)
class _How:
    """The options that say how a recording was made."""

    kind: Kind | None
    channel: int | None
    aperture: float | None
    arrangement: Arrangement
    click_offset: ClickOffset | None
    slow_motion: float
    region: Region | None


def _how(
    *,
    kind: Kind | None = None,
    channel: int | None = None,
    aperture: float | None = None,
    whole_pupil: bool | None = None,
    response: str | None = None,
    click_offset: str | None = None,
    u_click_offset: str | None = None,
    slow_motion: float = 1.0,
    region: str | None = None,
) -> _How:
    return _How(
        kind=kind,
        channel=None if channel is None else channel - 1,
        aperture=aperture,
        arrangement=_arrangement(whole_pupil, response),
        click_offset=_offset(click_offset, u_click_offset),
        slow_motion=slow_motion,
        region=_region(region),
    )


def _offset(text: str | None, u_text: str | None) -> ClickOffset | None:
    if text is None:
        return None
    offset = parse_quantity(text, unit="s", where="--click-offset")
    u = parse_quantity(u_text or "0.3 ms", unit="s", where="--u-click-offset")
    if abs(offset) > 0.02 or not 0 <= u < 0.02:
        what = f"{text!r} is no offset of a click from the light"
        raise bad_input("--click-offset", what, "write it as 1.2 ms; the unit is needed")
    return ClickOffset(offset_s=offset, u_offset_s=u)


def _region(text: str | None) -> Region | None:
    if text is None:
        return None
    try:
        left, top, right, bottom = (float(word) for word in text.split(","))
    except ValueError:
        left, top, right, bottom = 1.0, 1.0, 0.0, 0.0
    if not (0 <= left < right <= 1 and 0 <= top < bottom <= 1):
        raise bad_input("--region", f"{text!r} is no rectangle", "write left,top,right,bottom as in 0.4,0.4,0.6,0.6")
    return Region(left, top, right, bottom)


def _read(recording: Path, how: _How) -> Recording:
    return read_recording(
        recording,
        kind=how.kind,
        channel=how.channel,
        aperture=how.aperture,
        arrangement=how.arrangement,
        click_offset=how.click_offset,
        slow_motion=how.slow_motion,
        region=how.region,
        progress=progress_line(),
    )


def progress_line() -> Callable[[float], None] | None:
    """Return a progress bar on stderr for somebody who watches; nothing for a script."""
    stream = sys.stderr
    if not stream.isatty():
        return None

    def show(fraction: float) -> None:
        filled = int(30 * fraction)
        end = "\r" + " " * 40 + "\r" if fraction >= 1 else ""
        stream.write(f"\r[{'#' * filled}{'.' * (30 - filled)}] {fraction:4.0%}{end}")
        stream.flush()

    return show


def _tolerance(text: str | None) -> float:
    if text is None:
        return DEFAULT_TOLERANCE_STOPS
    value = parse_quantity(text, unit="stop", where="--tolerance-stops")
    if not 0 < value < 10:
        raise bad_input("--tolerance-stops", f"{text!r} is not a tolerance", "give a number such as 1/3")
    return value


def _without(firings: tuple[Firing, ...], leave_out: str | None) -> tuple[Firing, ...]:
    if not leave_out:
        return firings
    words = [word.strip() for word in leave_out.split(",")]
    wrong = [word for word in words if not word.isdigit() or not 1 <= int(word) <= len(firings)]
    if wrong:
        what = f"{wrong[0]!r} is not the number of a firing"
        raise bad_input("--leave-out", what, f"give numbers from 1 to {len(firings)}")
    out = {int(word) for word in words}
    return tuple(firing for number, firing in enumerate(firings, 1) if number not in out)


def _ms(value_s: float | None, u_s: float | None = None) -> str:
    return "" if value_s is None else show_number(value_s * 1e3, u_s and u_s * 1e3, significant=4)


def _firing_lines(found: Recording) -> list[str]:
    if found.kind == "sound":
        return _click_lines(found)
    head = ("no", "start s", "effective ms", "u ms", "1/s", "half ms", "total ms", "opening ms", "closing ms")
    rows = [_firing_row(number, firing) for number, firing in enumerate(found.firings, 1)]
    return [
        _about(found),
        *columns((*head, "efficiency", "flags"), rows),
        *_explained(found.firings),
        *found.notes,
    ]


def _click_lines(found: Recording) -> list[str]:
    rows = [
        (number, f"{f.start_s:.3f}", _ms(f.open_s, f.u_open_s), _ms(f.u_open_s, f.u_open_s), ", ".join(f.flags))
        for number, f in enumerate(found.firings, 1)
    ]
    head = ("no", "start s", "between clicks ms", "u ms", "flags")
    return [_about(found), *columns(head, rows), *_explained(found.firings), *found.notes]


def _firing_row(number: int, firing: Firing) -> tuple[object, ...]:
    effective, u = firing.effective_s, firing.u_effective_s
    return (
        number,
        f"{firing.start_s:.3f}",
        _ms(effective, u),
        _ms(u, u),
        "" if effective is None else show_number(1 / effective),
        _ms(firing.half_level_s, u),
        _ms(firing.total_open_s),
        _ms(firing.opening_s),
        _ms(firing.closing_s),
        "" if firing.efficiency is None else f"{firing.efficiency:.3f}",
        ", ".join(firing.flags),
    )


def _about(found: Recording) -> str:
    count = len(found.firings)
    firings = "1 firing" if count == 1 else f"{count} firings"
    hertz = found.sample_rate_hz
    rate = f"{hertz:.4g} frames a second" if found.kind == "video" else f"{hertz / 1e3:g} kHz"
    return f"{found.path}: {found.kind}, {rate}, {found.duration_s:.2f} s, {firings}"


def _explained(firings: tuple[Firing, ...]) -> list[str]:
    return [f"{flag}: {flag.sentence}" for flag in Flag if any(flag in firing.flags for firing in firings)]


def _dial_lines(found: Recording, result: Dial) -> list[str]:
    rows = [
        (
            row.marked,
            row.n,
            "" if row.mean_s is None else show_time(row.mean_s, row.u_mean_s),
            _ms(row.spread_s, row.spread_s),
            "" if row.error_stops is None else f"{row.error_stops:+.2f}",
            "" if row.interval_stops is None else f"±{row.interval_stops:.2f}",
            row.verdict,
            ", ".join(row.flags),
        )
        for row in result.rows
    ]
    head = ("marked", "n", "mean", "spread ms", "error stops", "95 %", "verdict", "flags")
    return [_about(found), *columns(head, rows), *result.remarks(), *found.notes]
