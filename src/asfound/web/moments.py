"""Moments as a bench reads them: the day, and the time of day, where the server stands."""

import datetime

from asfound.job import Stamp


def moment(stamp: Stamp | int) -> datetime.datetime:
    """Return a stamp, or milliseconds since 1970, as local time."""
    wall_ms = stamp.wall_ms if isinstance(stamp, Stamp) else stamp
    return datetime.datetime.fromtimestamp(wall_ms / 1000, datetime.UTC).astimezone()


def show_day(stamp: Stamp | int) -> str:
    """Return the day: "Tuesday 3 March 2026"."""
    at = moment(stamp)
    return f"{at:%A} {at.day} {at:%B %Y}"


def show_clock(stamp: Stamp | int) -> str:
    """Return the time of day: "14:05"."""
    return f"{moment(stamp):%H:%M}"
