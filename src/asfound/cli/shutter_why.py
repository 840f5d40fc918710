"""``asfound shutter why``: what a dial's errors point at, and the test that would tell best."""

import json
import sys
from collections.abc import Callable, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any, cast

import click

from asfound.cli.output import columns, emit
from asfound.problems import BadInputError, bad_input
from asfound.quantity import parse_quantity
from asfound.shutter.causes.nexttest import NextTest, next_test
from asfound.shutter.causes.weighing import Condition, Why, mean_error_stops, why
from asfound.shutter.speeds.drift import Approach, Drift, approaches, drift
from asfound.shutter.speeds.groups import USUAL_TRAIN, Train
from asfound.shutter.speeds.series import Speed, read_series, speed_of

TIMES = click.Path(path_type=Path, allow_dash=True)


def train_options(command: Callable[..., None]) -> Callable[..., None]:
    """Add the options that say which speeds the retard train and its pallet make."""
    train = click.option("--train-from", help="Shortest marked time that the retard train holds.  [default: 1/75 s]")
    pallet = click.option("--pallet-from", help="Shortest marked time with the pallet in.  [default: 1/20 s]")
    return train(pallet(command))


def read_train(train_from: str | None, pallet_from: str | None) -> Train:
    """Return the camera's groups of speeds."""
    retard = _seconds(train_from, USUAL_TRAIN.retard_from_s, "--train-from")
    pallet = _seconds(pallet_from, max(USUAL_TRAIN.pallet_from_s, retard), "--pallet-from")
    if pallet < retard:
        what = "the pallet comes in before the train"
        raise bad_input("--pallet-from", what, "give a time of --train-from or longer")
    return Train(retard_from_s=retard, pallet_from_s=pallet)


def _seconds(text: str | None, usual: float, where: str) -> float:
    if text is None:
        return usual
    value = parse_quantity(text, unit="s", where=where)
    if not 0 < value < 3600:
        raise bad_input(where, f"{text!r} is no marked time", "write it as 1/50")
    return value


def read_text(path: Path) -> str:
    """Return the text of a file, or of standard input for "-"."""
    try:
        return sys.stdin.read() if str(path) == "-" else path.read_text("utf-8")
    except (OSError, UnicodeDecodeError) as error:
        what = getattr(error, "strerror", None) or "it is no text"
        raise bad_input(str(path), f"cannot be read: {what}", "give a file of times, or - for standard input") from None


@click.command("why")
@click.argument("times", type=TIMES)
@click.option(
    "--condition", type=click.Choice(["dirty", "clean", "not said"]), default="not said", show_default=True,
    help="Of the shutter when it was timed.",
)  # fmt: skip
@train_options
@click.option("--face-values", is_flag=True, help="Compare 1/125 with 1/125, not with 1/128.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON instead of a table.")
def why_command(
    times: Path,
    condition: str,
    train_from: str | None,
    pallet_from: str | None,
    face_values: bool,
    as_json: bool,
) -> None:
    """Say what the errors in TIMES point at: a file, or - for standard input.

    TIMES has one speed to a line, as in "1/25: 45 ms, 46 ms, 44 ms", or "1/25 from below: ..." where the dial
    was set from a shorter time; or it is what `asfound shutter dial --json` printed.
    """
    train = read_train(train_from, pallet_from)
    speeds = _series(read_text(times), train, exact_modern=not face_values, where=str(times))
    found = why(speeds, condition=cast(Condition, condition))
    test = next_test(speeds)
    change = drift([[shot.time_s for shot in s.shots if shot.time_s is not None] for s in speeds])
    data = {"why": found.as_json(), "next_test": test.as_json(), "drift": _plain(change), "dial": _errors(speeds)}
    sides = approaches([(s.marked, s.times_from(1), s.times_from(-1)) for s in speeds])
    data["approach"] = [asdict(side) for side in sides]
    emit(data, _lines(found, test, change, sides), as_json=as_json)


def _series(text: str, train: Train, *, exact_modern: bool, where: str) -> tuple[Speed, ...]:
    if text.lstrip().startswith("{"):
        return _from_json(text, train, where)
    speeds, problems = read_series(text, train=train, exact_modern=exact_modern, where=where)
    if problems:
        raise BadInputError(*problems)
    if not any(speed.shots for speed in speeds):
        raise bad_input(where, "every shot is struck through", "leave one standing")
    return speeds


def _from_json(text: str, train: Train, where: str) -> tuple[Speed, ...]:
    """Return the series out of a dial printed as JSON; a row says only that a shot was flagged, not which."""
    try:
        rows = json.loads(text)["dial"]["rows"]
        speeds = tuple(
            speed_of(
                str(row["marked"]),
                nominal_s=float(row["nominal_s"]),
                times_s=[float(t) for t in row["shots_s"]],
                train=train,
                rebounds="rebound" in row["flags"],
                never_closes="never closes" in row["flags"],
            )
            for row in rows
        )
        timed = all(shot.time_s is None or shot.time_s > 0 for s in speeds for shot in s.shots)
        if any(s.shots for s in speeds) and timed and all(s.nominal_s > 0 for s in speeds):
            return speeds
    except (ValueError, KeyError, TypeError):
        pass
    raise bad_input(where, "is no dial with times", "give what asfound shutter dial --json printed")


def _errors(speeds: tuple[Speed, ...]) -> list[dict[str, Any]]:
    return [
        {"marked": s.marked, "group": s.group.value, "n": len(s.shots), "error_stops": mean_error_stops(s)}
        for s in speeds
    ]


def _plain(change: Drift | None) -> dict[str, Any] | None:
    if change is None:
        return None
    return asdict(change)


def _lines(found: Why, test: NextTest, change: Drift | None, sides: Sequence[Approach]) -> list[str]:
    shown = [c for c in found.causes if c.weight >= 0.001][:6]
    rows = [(c.cause, f"{c.weight:.3f}", f"{c.bic:.1f}", f"{c.size_stops:+.2f}", c.words) for c in shown]
    lines = [found.verdict, *columns(("cause", "weight", "BIC", "size stops", "what it means"), rows)]
    lines += list(found.evidence)
    lines.append(f"For {found.causes[0].cause}: {found.causes[0].look}.")
    if change is not None:
        lines.append(f"From shot to shot: {change.stops_a_shot:+.3f} ± {change.interval_stops:.3f} stop (95 %).")
    for side in sides:
        apart = f"{side.difference_stops:+.2f} ± {side.interval_stops:.2f} stop"
        lines.append(f"{side.marked} set from above against from below: {apart} (95 %).")
    lines.append(f"Next test, {test.first} or {test.second}: {test.test}")
    if test.expect_first:
        lines.append(f"  if {test.first}: {test.expect_first}")
        lines.append(f"  if {test.second}: {test.expect_second}")
    return [*lines, *found.remarks]
