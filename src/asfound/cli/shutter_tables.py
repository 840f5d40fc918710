"""What the shutter commands print for people."""

from asfound.capture import Recording
from asfound.capture.flash import FlashRecording
from asfound.cli.output import columns
from asfound.quantity import counted, show_number, show_time
from asfound.shutter import (
    Dial,
    Firing,
    Flag,
    MarkedSpeed,
    StoppedDown,
)
from asfound.shutter.speeds.rested import Rested

CAPACITOR = (
    "Caution: a flash capacitor stays charged. Test the contact with a dry cell and a resistor, no flash fitted."
)


def rested_lines(speeds: tuple[MarkedSpeed, ...], apart: list[Rested]) -> list[str]:
    """Return the table of first firings after rest."""
    if not apart:
        return []
    says = {True: "differs", False: "within the scatter", None: "cannot tell"}
    rows = [
        (
            speed.mark,
            _ms(shot.rested_s),
            _ms(shot.exercised_s),
            "" if shot.slower_stops is None else f"{shot.slower_stops:+.2f}",
            says[shot.differs],
        )
        for speed, shot in zip(speeds, apart, strict=False)
    ]
    return ["", *columns(("after rest", "first ms", "exercised ms", "slower by stops", ""), rows)]


def sync_lines(found: FlashRecording) -> list[str]:
    """Return the table of flash contacts, with its caution."""
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
    return [about_line(found.light), *columns(head, rows), CAPACITOR]


def stopped_lines(rows: tuple[StoppedDown, ...], shot: Firing) -> list[str]:
    """Return the table of times at each aperture."""
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


def _ms(value_s: float | None, u_s: float | None = None) -> str:
    return "" if value_s is None else show_number(value_s * 1e3, u_s and u_s * 1e3, significant=4)


def firing_lines(found: Recording) -> list[str]:
    """Return the table of firings, what their flags mean, and what was taken for granted."""
    if found.kind == "sound":
        return _click_lines(found)
    head = ("no", "start s", "effective ms", "u ms", "1/s", "half ms", "total ms", "opening ms", "closing ms")
    rows = [_firing_row(number, firing) for number, firing in enumerate(found.firings, 1)]
    return [
        about_line(found),
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
    return [about_line(found), *columns(head, rows), *_explained(found.firings), *found.notes]


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


def about_line(found: Recording) -> str:
    """Return a line that says what was read."""
    count = len(found.firings)
    firings = counted(count, "firing")
    hertz = found.sample_rate_hz
    rate = f"{hertz:.4g} frames a second" if found.kind == "video" else f"{hertz / 1e3:g} kHz"
    return f"{found.path}: {found.kind}, {rate}, {found.duration_s:.2f} s, {firings}"


def _explained(firings: tuple[Firing, ...]) -> list[str]:
    return [f"{flag}: {flag.sentence}" for flag in Flag if any(flag in firing.flags for firing in firings)]


def dial_lines(found: Recording, result: Dial) -> list[str]:
    """Return the dial's table and what it was set against."""
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
    return [about_line(found), *columns(head, rows), *result.remarks(), *found.notes]
