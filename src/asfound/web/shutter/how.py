"""The form that says how a recording was made: its kind, aperture in use, sensor, clicks, slow motion."""

from collections.abc import Mapping
from typing import cast

from asfound.bench.measured import How
from asfound.capture.recording import Kind
from asfound.problems import bad_input
from asfound.quantity import read_number
from asfound.web.room_form import Field, read_fields

KINDS = ("light", "sound", "video")
PUPIL, DIFFUSE, DIMMED = ("whole", "part"), ("diffused", "as it is"), ("the same", "not the same")
_SENSOR, _OTHER = "The light sensor", "Clicks and video"

FIELDS = (
    Field(name="kind", label="It is a recording of", choices=KINDS, optional=True, hint="left open: guessed, and said"),
    Field(name="aperture", label="Aperture in use", unit="1", optional=True, hint="3.5; it goes with every time"),
    Field(name="pupil", label="The sensor sees of the pupil", choices=PUPIL, optional=True,
          hint="whole with a wide sensor, or a diffuser behind the lens"),
    Field(name="channel", label="Channel", unit="1", optional=True, hint="from 1; else the one that swings most"),
    Field(name="response", label="Its response time", unit="s", optional=True, hint="time constant: 20 us",
          group=_SENSOR),
    Field(name="dimmed", label="At half the light it measures", choices=DIMMED, optional=True, group=_SENSOR,
          hint="a phototransistor that saturates does not"),
    Field(name="diffuse", label="The light on it is", choices=DIFFUSE, optional=True, group=_SENSOR),
    Field(name="sensor", label="Its width", unit="mm", optional=True, group=_SENSOR),
    Field(name="distance", label="Behind the blades by", unit="mm", optional=True, group=_SENSOR),
    Field(name="click_offset", label="To add to the clicks’ interval", unit="s", optional=True, signed=True,
          group=_OTHER, hint="measured once against light: 1.2 ms"),
    Field(name="u_click_offset", label="Known to, one standard uncertainty", unit="s", optional=True, group=_OTHER,
          hint="0.3 ms where it is left open"),
    Field(name="slow_motion", label="The video plays slower by", unit="1", default="1", optional=True, group=_OTHER,
          hint="8 where 240 frames a second play at 30"),
    Field(name="region", label="Part of the picture", optional=True, group=_OTHER,
          hint="left, top, right, bottom in shares: 0.4, 0.4, 0.6, 0.6"),
)  # fmt: skip


def typed_of(how: How) -> dict[str, str]:
    """Return how a recording was made as it would be typed."""
    offset, u = (_milliseconds(value) for value in (how.click_offset_s, how.u_click_offset_s))
    return {
        "kind": how.kind or "",
        "channel": "" if how.channel is None else str(how.channel + 1),
        "aperture": _plain(how.aperture),
        "pupil": _one_of(PUPIL, how.whole_pupil),
        "diffuse": _one_of(DIFFUSE, how.diffuse),
        "dimmed": _one_of(DIMMED, how.agrees_when_dimmed),
        "sensor": _plain(how.sensor_mm),
        "distance": _plain(how.distance_mm),
        "response": "" if how.response_s is None else f"{how.response_s * 1e6:g} us",
        "click_offset": offset,
        "u_click_offset": u,
        "slow_motion": f"{how.slow_motion:g}",
        "region": "" if how.region is None else ", ".join(f"{share:g}" for share in how.region),
    }


def _plain(value: float | None) -> str:
    return "" if value is None else f"{value:g}"


def _milliseconds(value: float | None) -> str:
    return "" if value is None else f"{value * 1e3:g} ms"


def _one_of(words: tuple[str, str], value: bool | None) -> str:
    return "" if value is None else words[0 if value else 1]


def read_how(typed: Mapping[str, str]) -> How:
    """Return how a recording was made, as typed.

    Raises
    ------
    BadInputError
        With the problems of all fields, each named by its field.
    """
    values = read_fields(FIELDS, typed)
    words = {name: values.text(name) for name in ("pupil", "diffuse", "dimmed")}
    return How(
        kind=cast(Kind, values.text("kind")) if values.text("kind") else None,
        channel=_channel(values.maybe("channel")),
        aperture=_between(values.maybe("aperture"), "aperture", 0.5, 128, "3.5"),
        whole_pupil=_yes(PUPIL, words["pupil"]),
        diffuse=_yes(DIFFUSE, words["diffuse"]),
        agrees_when_dimmed=_yes(DIMMED, words["dimmed"]),
        sensor_mm=values.maybe("sensor"),
        distance_mm=values.maybe("distance"),
        response_s=_between(values.maybe("response"), "response", 0, 0.1, "20 us"),
        click_offset_s=_between(values.maybe("click_offset"), "click_offset", -0.02, 0.02, "1.2 ms"),
        u_click_offset_s=_between(values.maybe("u_click_offset"), "u_click_offset", 0, 0.02, "0.3 ms"),
        slow_motion=_between(values.maybe("slow_motion"), "slow_motion", 0.01, 1000, "8") or 1.0,
        region=_region(values.text("region")),
    )


def _yes(words: tuple[str, str], text: str) -> bool | None:
    return None if not text else text == words[0]


def _channel(number: float | None) -> int | None:
    if number is None:
        return None
    if number != int(number) or not 1 <= number <= 64:
        raise bad_input("channel", f"{number:g} is no channel", "give a whole number from 1")
    return int(number) - 1


def _between(value: float | None, where: str, least: float, most: float, example: str) -> float | None:
    if value is not None and not least <= value <= most:
        raise bad_input(where, "it is out of all proportion", f"check the number and its unit, as in {example}")
    return value


def _region(text: str) -> tuple[float, float, float, float] | None:
    if not text:
        return None
    try:
        left, top, right, bottom = (read_number(word.strip()) for word in text.split(","))
    except ValueError:
        left, top, right, bottom = 1.0, 1.0, 0.0, 0.0
    if not (0 <= left < right <= 1 and 0 <= top < bottom <= 1):
        raise bad_input("region", f"{text[:40]!r} is no rectangle", "write left, top, right, bottom from 0 to 1")
    return (left, top, right, bottom)
