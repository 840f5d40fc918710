"""What the shutter commands are told: how a recording was made, and what it is set against."""

import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import click

from asfound.capture import ClickOffset, Recording, Region, read_recording
from asfound.capture.recording import Kind
from asfound.problems import BadInputError, bad_input
from asfound.quantity import parse_quantity, read_number
from asfound.shutter import (
    Arrangement,
    Firing,
    MarkedSpeed,
    read_marked,
)

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


def read_apertures(text: str, wide_open: float) -> list[float]:
    """Return the f-numbers of a list; none may be wider than the one it was shot at."""
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


def read_one_speed(marked: str | None, *, exact_modern: bool) -> MarkedSpeed | None:
    """Return the marked speed, if one is given."""
    if marked is None:
        return None
    speeds, problems = read_marked(marked, exact_modern=exact_modern)
    if problems:
        raise BadInputError(*problems)
    return speeds[0]


def read_arrangement(whole_pupil: bool | None, response: str | None) -> Arrangement:
    """Return what is said of the sensor."""
    if response is None:
        return Arrangement(whole_pupil=whole_pupil)
    seconds = parse_quantity(response, unit="s", where="--response")
    if not 0 <= seconds < 0.1:
        raise bad_input("--response", f"{response!r} is not a sensor's time constant", "write it as 20 us")
    return Arrangement(whole_pupil=whole_pupil, response_s=seconds)


@dataclass(frozen=True, slots=True, kw_only=True)
class How:
    """The options that say how a recording was made."""

    kind: Kind | None
    channel: int | None
    aperture: float | None
    arrangement: Arrangement
    click_offset: ClickOffset | None
    slow_motion: float
    region: Region | None


def how_recorded(
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
) -> How:
    """Return what the options say of a recording."""
    return How(
        kind=kind,
        channel=None if channel is None else channel - 1,
        aperture=aperture,
        arrangement=read_arrangement(whole_pupil, response),
        click_offset=read_offset(click_offset, u_click_offset),
        slow_motion=slow_motion,
        region=read_region(region),
    )


def read_offset(text: str | None, u_text: str | None) -> ClickOffset | None:
    """Return the offset of clicks from light, if one is given."""
    if text is None:
        return None
    offset = parse_quantity(text, unit="s", where="--click-offset")
    u = parse_quantity(u_text or "0.3 ms", unit="s", where="--u-click-offset")
    if abs(offset) > 0.02 or not 0 <= u < 0.02:
        what = f"{text!r} is no offset of a click from the light"
        raise bad_input("--click-offset", what, "write it as 1.2 ms; the unit is needed")
    return ClickOffset(offset_s=offset, u_offset_s=u)


def read_region(text: str | None) -> Region | None:
    """Return the rectangle of the picture to look at, if one is given."""
    if text is None:
        return None
    try:
        left, top, right, bottom = (float(word) for word in text.split(","))
    except ValueError:
        left, top, right, bottom = 1.0, 1.0, 0.0, 0.0
    if not (0 <= left < right <= 1 and 0 <= top < bottom <= 1):
        raise bad_input("--region", f"{text!r} is no rectangle", "write left,top,right,bottom as in 0.4,0.4,0.6,0.6")
    return Region(left, top, right, bottom)


def measured(recording: Path, how: How) -> Recording:
    """Read and measure the recording as the options say."""
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


def read_tolerance(text: str | None, *, where: str = "--tolerance-stops") -> float | None:
    """Return the tolerance in stops; None if none is given."""
    if text is None:
        return None
    value = parse_quantity(text, unit="stop", where=where)
    if not 0 < value < 10:
        raise bad_input(where, f"{text!r} is not a tolerance", "give a number such as 1/3")
    return value


def firing_numbers(text: str | None, *, count: int, where: str) -> frozenset[int]:
    """Return the numbers of firings, from 1, that a text names: "4,9"."""
    words = [word.strip() for word in text.split(",")] if text else []
    wrong = [word for word in words if not word.isdigit() or not 1 <= int(word) <= count]
    if wrong:
        raise bad_input(where, f"{wrong[0]!r} is not the number of a firing", f"give numbers from 1 to {count}")
    return frozenset(map(int, words))


def shots_of(
    firings: tuple[Firing, ...], *, leave_out: str | None, strike: str | None
) -> tuple[tuple[Firing, ...], frozenset[int]]:
    """Return the firings without the misfires, and the places among them (from 1) of the bad shots."""
    out = firing_numbers(leave_out, count=len(firings), where="--leave-out")
    bad = firing_numbers(strike, count=len(firings), where="--strike")
    kept = [(number, firing) for number, firing in enumerate(firings, 1) if number not in out]
    struck = frozenset(place for place, (number, _) in enumerate(kept, 1) if number in bad)
    return tuple(firing for _, firing in kept), struck
