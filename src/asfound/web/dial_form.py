"""The form by which the firings of a recording are set against the dial."""

from dataclasses import dataclass
from typing import cast

from asfound.bench.recordings import dial_of
from asfound.capture import Recording
from asfound.job.bodies import Stage
from asfound.problems import BadInputError, Problem, bad_input
from asfound.quantity import read_number
from asfound.shutter import Dial, Firing, read_marked

STAGES = ("as found", "working", "as left")


@dataclass(frozen=True, slots=True, kw_only=True)
class DialForm:
    """The form as typed, with what is wrong with it."""

    marked: str
    shots: str
    tolerance: str
    stage: str
    leave_out: str = ""
    problems: tuple[Problem, ...] = ()


def read_dial_form(form: DialForm, measured: Recording) -> Dial:
    """Return the dial that the form makes of the firings.

    Raises
    ------
    BadInputError
        If a field cannot be read, or the firings do not come out even.
    """
    shots, tolerance = read_shots(form.shots), read_tolerance(form.tolerance)
    firings = without(measured.firings, form.leave_out)
    speeds, problems = read_marked(form.marked, where="speeds")
    if problems:
        raise BadInputError(*problems)
    if len(firings) != shots * len(speeds):
        what = f"{len(firings)} firings are there, {len(speeds)} speeds of {shots} shots need {shots * len(speeds)}"
        raise bad_input("firings", what, "correct speeds or shots, or leave misfires out by their number")
    return dial_of(firings, marked=form.marked, shots=shots, tolerance_stops=tolerance)


def without(firings: tuple[Firing, ...], leave_out: str) -> tuple[Firing, ...]:
    """Return the firings without those named by number: "4, 9"."""
    named = leave_out.replace(",", " ").split()
    wrong = [word for word in named if not word.isdecimal() or not 1 <= int(word) <= len(firings)]
    if wrong:
        what = f"{wrong[0]!r} is no firing of this recording"
        raise bad_input("leave out", what, f"name firings by number, from 1 to {len(firings)}")
    left_out = {int(word) for word in named}
    return tuple(firing for number, firing in enumerate(firings, start=1) if number not in left_out)


def read_stage(typed: str) -> Stage:
    """Return a stage as typed."""
    if typed not in STAGES:
        raise bad_input("stage", f"{typed!r} is no stage", "choose as found, working or as left")
    return cast(Stage, typed)


def read_shots(typed: str) -> int:
    """Return how many shots each speed was given."""
    if not typed.strip().isdecimal() or not 1 <= int(typed) <= 100:
        raise bad_input("shots", f"{typed!r} is no number of shots", "give a whole number from 1 to 100")
    return int(typed)


def read_tolerance(typed: str) -> float:
    """Return the tolerance in stops."""
    try:
        value = read_number(typed)
    except ValueError:
        value = 0.0
    if not 0 < value <= 4:
        raise bad_input("tolerance", f"{typed!r} is no tolerance in stops", "write it as 1/3 or 0.5")
    return value
