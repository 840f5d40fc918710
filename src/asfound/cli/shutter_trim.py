"""``asfound shutter trim``: the next move of an adjuster, learned from the moves made."""

from pathlib import Path

import click

from asfound.cli.output import columns, emit
from asfound.cli.shutter_why import TIMES, read_text, read_train, train_options
from asfound.problems import BadInputError, bad_input
from asfound.quantity import parse_quantity, show_time
from asfound.shutter.speeds.dial import DEFAULT_SOURCE, DEFAULT_TOLERANCE_STOPS
from asfound.shutter.trimming.trim import NextMove, next_move
from asfound.shutter.trimming.trimlog import read_adjusters, read_log, tolerances_of


@click.command("trim")
@click.argument("times", type=TIMES)
@click.option("--adjusters", default="engagement, pallet", show_default=True, help="Also: main spring, bend 1/5.")
@click.option("--tolerance-stops", help="Largest error in order, in stops.  [default: 1/3]")
@click.option("--top-tolerance-stops", help="The same for the top speed.  [default: 1/2]")
@click.option("--tolerance-source", default=DEFAULT_SOURCE, show_default=True, help="Where the tolerance comes from.")
@train_options
@click.option("--face-values", is_flag=True, help="Compare 1/125 with 1/125, not with 1/128.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON instead of a table.")
def trim_command(
    times: Path,
    adjusters: str,
    tolerance_stops: str | None,
    top_tolerance_stops: str | None,
    tolerance_source: str,
    train_from: str | None,
    pallet_from: str | None,
    face_values: bool,
    as_json: bool,
) -> None:
    """Propose the next move from TIMES: a file of dials and the moves between them, or - for standard input.

    One speed to a line, as in "1/25: 45 ms, 46 ms"; between two dials a line "move pallet deeper by 0.25" (the
    way and how far may be left out), and perhaps "tightened 1/5: 190 ms to 204 ms".
    """
    movable, problems = read_adjusters(adjusters, where="--adjusters")
    if problems:
        raise BadInputError(*problems)
    train = read_train(train_from, pallet_from)
    log, problems = read_log(
        read_text(times), adjusters=movable, train=train, exact_modern=not face_values, where=str(times)
    )
    if log is None:
        raise BadInputError(*problems)
    top = None if top_tolerance_stops is None else _stops(top_tolerance_stops, "--top-tolerance-stops")
    usual = DEFAULT_TOLERANCE_STOPS if tolerance_stops is None else _stops(tolerance_stops, "--tolerance-stops")
    limits = tolerances_of(log.speeds, tolerance_stops=usual, top_tolerance_stops=top)
    found = next_move(log.speeds, tolerance_stops=limits, u_stops=log.u_stops, adjusters=movable, moves=log.moves)
    data = {"next_move": found.as_json(), "moves": len(log.moves), "tolerance_source": tolerance_source}
    emit(data, _lines(found, tolerance_source), as_json=as_json)


def _stops(text: str, where: str) -> float:
    value = parse_quantity(text, unit="stop", where=where)
    if not 0 < value < 10:
        raise bad_input(where, f"{text!r} is not a tolerance", "give a number such as 1/3")
    return value


def _lines(found: NextMove, source: str) -> list[str]:
    rows = []
    for p in found.dial:
        stops = (f"{p.now_stops:+.2f}", f"{p.error_stops:+.2f}", f"±{2 * p.u_error_stops:.2f}")
        rows.append((p.marked, *stops, f"{p.tolerance_stops:.2f}"))
    head = ("marked", "now stops", "then stops", "95 %", "tolerance")
    lines = [*found.words, *columns(head, rows)]
    for number, aim in enumerate(found.aims[1:], start=2):
        near = show_time(aim.aim_s, aim.aim_s / 50)
        lines.append(f"Move {number} would be the {aim.adjuster}, watched at {aim.pilot}, to about {near}.")
    lines.append(f"Every speed within: {100 * found.chance_now:.0f} % now, {100 * found.chance:.0f} % then.")
    return [*lines, f"Tolerance: {source}. What an adjuster does before it was moved: common practice, no source."]
