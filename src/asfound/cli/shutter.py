"""``asfound shutter``: firings and dials out of recordings."""

import sys
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path

import click

from asfound.capture import Recording, read_recording
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

json_option = click.option("--json", "as_json", is_flag=True, help="Print JSON instead of a table.")
channel_option = click.option(
    "--channel", type=click.IntRange(min=1), help="Which channel, from 1; else the one that swings most."
)
aperture_option = click.option("--aperture", type=click.FloatRange(min=0.5), help="f-number in use.")
pupil_option = click.option(
    "--whole-pupil/--part-of-pupil", default=None, help="Whether the sensor sees the whole pupil."
)
response_option = click.option("--response", help="Time constant of the sensor, such as 20 us.")
_FILE = click.Path(path_type=Path)


@click.group()
def shutter() -> None:
    """Time a shutter from a recording of light."""


@shutter.command()
@click.argument("recording", type=_FILE)
@channel_option
@aperture_option
@pupil_option
@response_option
@json_option
def read(
    recording: Path,
    channel: int | None,
    aperture: float | None,
    whole_pupil: bool | None,
    response: str | None,
    as_json: bool,
) -> None:
    """Find and time every firing in RECORDING (WAV or FLAC from a light sensor)."""
    found = _read(recording, channel, aperture, _arrangement(whole_pupil, response))
    emit(found.as_json(), _firing_lines(found), as_json=as_json)


@shutter.command()
@click.argument("recording", type=_FILE)
@click.option("--marked", required=True, help='Marked speeds in the order shot: "1,1/2,1/5,1/125".')
@click.option("--shots", type=click.IntRange(min=1), default=3, show_default=True, help="Firings per speed.")
@click.option("--tolerance-stops", help="Largest error in order, in stops.  [default: 1/3]")
@click.option("--tolerance-source", help="Where the tolerance comes from.")
@click.option("--face-values", is_flag=True, help="Compare 1/125 with 1/125, not with 1/128.")
@click.option("--leave-out", help="Numbers of misfires to leave out: 4,9.")
@channel_option
@aperture_option
@pupil_option
@response_option
@json_option
def dial(
    recording: Path,
    marked: str,
    shots: int,
    tolerance_stops: str | None,
    tolerance_source: str | None,
    face_values: bool,
    leave_out: str | None,
    channel: int | None,
    aperture: float | None,
    whole_pupil: bool | None,
    response: str | None,
    as_json: bool,
) -> None:
    """Set the firings in RECORDING against the marked speeds, in the order shot."""
    speeds, problems = read_marked(marked, exact_modern=not face_values)
    if problems:
        raise BadInputError(*problems)
    tolerance = _tolerance(tolerance_stops)
    found = _read(recording, channel, aperture, _arrangement(whole_pupil, response))
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
    where = _arrangement(whole_pupil, response)
    found = _read(recording, channel, wide_open, where)
    if firing > len(found.firings):
        what = f"firing {firing} is asked for, {len(found.firings)} were found"
        raise bad_input("--firing", what, "choose another")
    shot = found.firings[firing - 1]
    if reason := reason_to_withhold(shot, where):
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


def _read(recording: Path, channel: int | None, aperture: float | None, where: Arrangement) -> Recording:
    return read_recording(
        recording,
        channel=None if channel is None else channel - 1,
        aperture=aperture,
        arrangement=where,
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
    head = ("no", "start s", "effective ms", "u ms", "1/s", "half ms", "total ms", "opening ms", "closing ms")
    rows = [_firing_row(number, firing) for number, firing in enumerate(found.firings, 1)]
    return [
        _about(found),
        *columns((*head, "efficiency", "flags"), rows),
        *_explained(found.firings),
        *found.notes,
    ]


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
    rate = f"{found.sample_rate_hz / 1e3:g} kHz"
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
