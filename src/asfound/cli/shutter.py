"""``asfound shutter``: firings and dials out of recordings."""

from pathlib import Path

import click

from asfound.capture import Recording, read_recording
from asfound.cli.output import columns, emit
from asfound.problems import BadInputError, bad_input
from asfound.quantity import parse_quantity, show_number, show_time
from asfound.shutter import Dial, Firing, Flag, read_dial, read_marked
from asfound.shutter.dial import DEFAULT_SOURCE, DEFAULT_TOLERANCE_STOPS

json_option = click.option("--json", "as_json", is_flag=True, help="Print JSON instead of a table.")
channel_option = click.option(
    "--channel", type=click.IntRange(min=1), help="Which channel, from 1; else the one that swings most."
)


@click.group()
def shutter() -> None:
    """Time a shutter from a recording of light."""


@shutter.command()
@click.argument("recording", type=click.Path(path_type=Path))
@channel_option
@json_option
def read(recording: Path, channel: int | None, as_json: bool) -> None:
    """Find and time every firing in RECORDING (WAV or FLAC from a light sensor)."""
    found = _read(recording, channel)
    emit(found.as_json(), _firing_lines(found), as_json=as_json)


@shutter.command()
@click.argument("recording", type=click.Path(path_type=Path))
@click.option("--marked", required=True, help='Marked speeds in the order shot: "1,1/2,1/5,1/125".')
@click.option("--shots", type=click.IntRange(min=1), default=3, show_default=True, help="Firings per speed.")
@click.option("--tolerance-stops", help="Largest error in order, in stops.  [default: 1/3]")
@click.option("--tolerance-source", help="Where the tolerance comes from.")
@click.option("--face-values", is_flag=True, help="Compare 1/125 with 1/125, not with 1/128.")
@click.option("--leave-out", help="Numbers of misfires to leave out: 4,9.")
@channel_option
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
    as_json: bool,
) -> None:
    """Set the firings in RECORDING against the marked speeds, in the order shot."""
    speeds, problems = read_marked(marked, exact_modern=not face_values)
    if problems:
        raise BadInputError(*problems)
    tolerance = _tolerance(tolerance_stops)
    found = _read(recording, channel)
    firings = _without(found.firings, leave_out)
    given = DEFAULT_SOURCE if tolerance_stops is None else "given by the user, no source"
    result, problems = read_dial(
        firings,
        speeds,
        shots=shots,
        tolerance_stops=tolerance,
        tolerance_source=tolerance_source or given,
    )
    if problems:
        raise BadInputError(*problems)
    about = found.as_json()["recording"]
    emit({"recording": about, "dial": result.as_json()}, _dial_lines(found, result), as_json=as_json)


def _read(recording: Path, channel: int | None) -> Recording:
    return read_recording(recording, channel=None if channel is None else channel - 1)


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
