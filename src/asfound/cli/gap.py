"""Feeler answers at one place, or at three stations round a ring, as a gap."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, cast

import click

from asfound.cli.output import emit
from asfound.problems import BadInputError, bad_input
from asfound.quantity import (
    FeelerAnswer,
    Reading,
    Seat,
    Station,
    bracket,
    convert,
    find_unit,
    parse_quantity,
    seat,
    show_reading,
)
from asfound.quantity.feeler import Answer

_ANSWERS = {
    "loose": "loose", "go": "loose", "drag": "drag", "drags": "drag", "no": "no",
}  # fmt: skip


@click.command()
@click.argument("tries", nargs=-1)
@click.option("--at", "stations", multiple=True, help="Tries at one station of a ring: '90: 0.35 loose 0.40 no'.")
@click.option("--lifted", multiple=True, help="The same station with the ring lifted: how much it rocks.")
@click.option("--radius", help="With --at: the radius of the stations.")
@click.option("--leaf-tolerance", default="0", show_default=True, help="What one leaf may differ from its mark.")
@click.option(
    "--drag-uncertainty", default="0.01", show_default=True, help="Standard uncertainty of a leaf that drags."
)
@click.option("--json", "as_json", is_flag=True, help="Print the same names as JSON.")
def gap(
    tries: tuple[str, ...],
    stations: tuple[str, ...],
    lifted: tuple[str, ...],
    radius: str | None,
    leaf_tolerance: str,
    drag_uncertainty: str,
    as_json: bool,
) -> None:
    """Give a gap from feeler TRIES: each a leaf and how it went in.

    A leaf goes in loose, goes in with drag, or will not (no): asfound gap 0.35 loose 0.40 no. Stacked leaves
    are joined by a plus: 0.30+0.05 drag. Sizes are mm unless they have a unit: 14thou.
    """
    options = {
        "leaf_tolerance_mm": parse_quantity(leaf_tolerance, unit="mm", where="--leaf-tolerance"),
        "drag_uncertainty_mm": parse_quantity(drag_uncertainty, unit="mm", where="--drag-uncertainty"),
    }
    if stations or lifted:
        if tries:
            raise bad_input("tries", "are given both with and without --at", "give each station its own --at")
        found = _seat(stations, lifted, radius, options)
        emit(seat_data(found), seat_table(found), as_json=as_json)
        return
    reading = _gap(_answers(tries, "tries"), options)
    emit(gap_data(reading), gap_table(reading), as_json=as_json)


def _gap(answers: Sequence[FeelerAnswer], options: Mapping[str, float]) -> Reading:
    reading, problems = bracket(answers, **options)
    if reading is None:
        raise BadInputError(*problems)
    return reading


def _answers(words: Sequence[str], where: str) -> list[FeelerAnswer]:
    """Read words such as 0.35 loose 14 thou no; the answer may stand before its leaf or after it."""
    answers: list[FeelerAnswer] = []
    sizes: list[str] = []
    waiting: str | None = None
    for word in _split(words):
        if word.lower() in _ANSWERS:
            if sizes:
                answers.append(_answer(sizes, word, where))
                sizes = []
            elif waiting is None:
                waiting = word
            else:
                raise _unpaired(where, word)
        elif sizes and find_unit(word) is not None:
            sizes[-1] += word
        elif waiting is not None:
            answers.append(_answer([word], waiting, where))
            waiting = None
        elif sizes:
            raise _unpaired(where, sizes[0])
        else:
            sizes = [word]
    if sizes or waiting is not None:
        raise _unpaired(where, sizes[0] if sizes else str(waiting))
    return answers


def _split(words: Sequence[str]) -> list[str]:
    return [part for word in words for part in word.replace(";", " ").replace(":", " ").split()]


def _unpaired(where: str, word: str) -> BadInputError:
    return bad_input(where, f"{word!r} has no leaf or no answer beside it", "write each try as in 0.35 loose")


def _answer(sizes: Sequence[str], word: str, where: str) -> FeelerAnswer:
    unit = next((u for u in ("thou", "in", "mm") if sizes[0].endswith(u)), "")
    leaves = [leaf if leaf.endswith(unit) else leaf + unit for leaf in sizes[0].split("+")]
    thickness = tuple(parse_quantity(leaf, unit="mm", where=where) for leaf in leaves)
    return FeelerAnswer(thickness, cast(Answer, _ANSWERS[word.lower()]))


def gap_data(reading: Reading) -> dict[str, Any]:
    """Return a gap by the names of the JSON, mm and thou side by side."""

    def thou(value: float | None) -> float | None:
        return None if value is None else convert(value, "mm", "thou")

    data: dict[str, Any] = {
        "gap_lower_mm": reading.lower,
        "gap_upper_mm": reading.upper,
        **reading.flat("gap"),
        "gap_thou": thou(reading.value),
        "u_gap_thou": thou(reading.standard_uncertainty),
        "one_sided": reading.value is None,
        "how": reading.how,
    }
    return data


def gap_table(reading: Reading) -> str:
    """Return the line that a person reads."""
    if reading.value is None:
        return f"{show_reading(reading)}; only one side is known: try further for a value"
    between = ""
    if reading.lower is not None and reading.upper is not None:
        between = f", between {reading.lower:.3f} and {reading.upper:.3f} mm"
    return f"{show_reading(reading)}{between} ({reading.how})"


def _seat(stations: Sequence[str], lifted: Sequence[str], radius: str | None, options: Mapping[str, float]) -> Seat:
    if radius is None:
        raise bad_input("--at", "stations need the radius they lie at", "give --radius")
    pressed = dict(_placed("--at", text, options) for text in stations)
    up = dict(_placed("--lifted", text, options) for text in lifted)
    for angle in up.keys() - pressed.keys():
        raise bad_input("--lifted", f"no station lies at {angle:g} deg", "lift at a station given with --at")
    placed = [Station(angle_deg=a, pressed=reading, lifted=up.get(a)) for a, reading in pressed.items()]
    return seat(placed, radius_mm=parse_quantity(radius, unit="mm", where="--radius"))


def _placed(option: str, text: str, options: Mapping[str, float]) -> tuple[float, Reading]:
    place, colon, tries = text.partition(":")
    if not colon:
        raise bad_input(option, f"{text!r} names no place", "write it as in '90: 0.35 loose 0.40 no'")
    where = f"{option} {place.strip()}"
    return parse_quantity(place, unit="deg", where=where), _gap(_answers([tries], where), options)


def seat_data(found: Seat) -> dict[str, Any]:
    """Return how a ring sits by the names of the JSON."""
    return {
        **found.mean.flat("mean"),
        **found.slope_x.flat("slope_x"),
        **found.slope_y.flat("slope_y"),
        "tilt_deg": found.tilt_deg,
        "highest_deg": found.highest_deg,
        "rise_mm": found.rise_mm,
        "u_rise_mm": found.rise_uncertainty_mm,
        **(found.rock.flat("rock") if found.rock else {"rock_mm": None, "u_rock_mm": None, "dof_rock": None}),
        "rock_deg": found.rock_deg,
    }


def seat_table(found: Seat) -> Iterator[str]:
    """Yield the lines that a person reads."""
    yield f"mean {show_reading(found.mean)}"
    if found.highest_deg is not None:
        u = found.rise_uncertainty_mm
        plus_minus = f" ± {u:.3f}" if u else ""
        yield (
            f"tilt {found.tilt_deg:.4f} deg, rising {found.rise_mm:.3f}{plus_minus} mm over the ring "
            f"towards {found.highest_deg:.0f} deg"
        )
        if u and found.rise_mm <= 2 * u:
            yield "that is within what the feelers can tell: cannot tell whether it is tilted"
    if found.rock is not None:
        yield f"rocks {show_reading(found.rock)} at {found.rock_deg:g} deg"
