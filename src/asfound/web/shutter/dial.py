"""The form by which the firings of a recording are set against the dial."""

from collections.abc import Mapping, Sequence

from asfound.bench.live import Walked
from asfound.bench.said import numbers_of
from asfound.bench.shutter import DialAsked
from asfound.job import Job
from asfound.job.bodies import FiringsSet
from asfound.job.recorded import show_stops
from asfound.problems import bad_input
from asfound.quantity import read_number
from asfound.shutter import Firing
from asfound.shutter.speeds.dial import DEFAULT_SOURCE
from asfound.web.room_form import Field, read_fields

STANDARD_SPEEDS = "1, 1/2, 1/5, 1/10, 1/25, 1/50, 1/100, 1/250"
GROUPINGS, MARKS, RESTED = ("order shot", "nearest speed"), ("exact value", "face value"), ("no", "yes")
WALKED = "as walked live"
_USUAL = "1/3"


def marks_of(job: Job) -> str:
    """Return the camera's marked speeds, the usual ones where nobody said."""
    return ", ".join(job.camera.marked_speeds) or STANDARD_SPEEDS


def dial_fields(job: Job, firings: int, walked: Walked | None = None) -> tuple[Field, ...]:
    """Return the form's fields: as many shots as would make the firings come out even, or as walked while firing."""
    speeds = len(job.camera.marked_speeds) or 8
    shots = firings // speeds if firings and firings % speeds == 0 else 3
    marks = ", ".join(walked.marks) if walked is not None else marks_of(job)
    groupings = (WALKED, *GROUPINGS) if walked is not None else GROUPINGS
    more = "Tolerances of single speeds, rested shots, face values"
    return (
        Field(name="marked", label="Speeds, in the order shot", default=marks, wide=True),
        Field(name="grouping", label="A firing belongs to its speed by", default=groupings[0], choices=groupings),
        Field(name="shots", label="Shots at each", default=str(shots)),
        Field(name="tolerance", label="Tolerance, stops", default=_USUAL, hint="common practice, no source"),
        Field(name="top_tolerance", label="Of the top speed, stops", default="1/2", optional=True,
              hint="where it is 1/200 or shorter"),
        Field(name="leave_out", label="Leave out firings", optional=True, hint="misfires that are no shot: 4, 9"),
        Field(name="own", label="Of single speeds, stops", optional=True, hint="1/250: 2/3, 1/5: 1/4", group=more),
        Field(name="rested", label="A rested shot comes first at each speed", default=RESTED[0], choices=RESTED,
              group=more),
        Field(name="marks", label="Marks of the modern series are", default=MARKS[0], choices=MARKS, group=more),
    )  # fmt: skip


def typed_of_set(said: FiringsSet, firings: Sequence[Firing]) -> dict[str, str]:
    """Return how firings are set against the dial as it would be typed."""
    left_out = numbers_of(firings, said.left_out_s)
    return {
        "marked": said.marked,
        "grouping": WALKED if said.by == "as walked" else said.by,
        "shots": str(said.shots),
        "tolerance": show_stops(said.tolerance_stops),
        "top_tolerance": "" if said.top_tolerance_stops is None else show_stops(said.top_tolerance_stops),
        "leave_out": ", ".join(map(str, left_out)),
        "own": ", ".join(f"{mark}: {show_stops(stops)}" for mark, stops in said.own_stops),
        "rested": RESTED[1] if said.rested else RESTED[0],
        "marks": MARKS[0] if said.exact_modern else MARKS[1],
    }


def read_dial_asked(
    fields: Sequence[Field], typed: Mapping[str, str], struck: Sequence[str], walked: Walked | None = None
) -> DialAsked:
    """Return what is asked of the firings.

    Raises
    ------
    BadInputError
        With each problem named by its field.
    """
    text = read_fields(fields, typed).text
    tolerance, top = text("tolerance"), text("top_tolerance")
    usual = tolerance == _USUAL and not text("own")
    return DialAsked(
        marked=text("marked"),
        nearest=text("grouping") == GROUPINGS[1],
        shots=read_shots(text("shots"), "shots"),
        rested=text("rested") == RESTED[1],
        exact_modern=text("marks") == MARKS[0],
        tolerance_stops=read_stops(tolerance, "tolerance"),
        top_tolerance_stops=read_stops(top, "top_tolerance") if top else None,
        own_stops=_own(text("own")),
        tolerance_source=DEFAULT_SOURCE if usual else "given by the user, no source",
        left_out=_numbers(text("leave_out"), "leave_out"),
        struck=_numbers(" ".join(struck), "struck"),
        walked=walked.speeds if walked is not None and text("grouping") == WALKED else (),
    )


def read_shots(typed: str, where: str) -> int:
    """Return a number of shots as typed."""
    if not typed.isdecimal() or len(typed) > 3 or not 1 <= int(typed) <= 100:
        raise bad_input(where, f"{typed!r} is no number of shots", "give a whole number from 1 to 100")
    return int(typed)


def read_stops(typed: str, where: str) -> float:
    """Return a tolerance in stops as typed."""
    try:
        value = read_number(typed)
    except ValueError:
        value = 0.0
    if not 0 < value <= 4:
        raise bad_input(where, f"{typed!r} is no tolerance in stops", "write it as 1/3 or 0.5")
    return value


def _own(typed: str) -> dict[str, float]:
    found = {}
    for part in (one.strip() for one in typed.split(",")):
        mark, colon, stops = part.partition(":")
        if part and not colon:
            raise bad_input("own", f"{part[:40]!r} is no speed with its tolerance", "write it as in 1/250: 2/3")
        if part:
            found[mark.strip()] = read_stops(stops.strip(), "own")
    return found


def _numbers(typed: str, where: str) -> frozenset[int]:
    words = typed.replace(",", " ").split()
    wrong = [word for word in words if not word.isdecimal() or len(word) > 6]
    if wrong:
        raise bad_input(where, f"{wrong[0][:20]!r} is no firing of this recording", "name firings by number: 4, 9")
    return frozenset(int(word) for word in words)
