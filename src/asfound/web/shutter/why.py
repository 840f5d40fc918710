"""Why the dial is off: the causes weighed from the times, the next test, the suspicion written down."""

from typing import cast

from asfound.bench.shutter import condition_of, latest_table, times_text, write_cause
from asfound.job import Entry, Job
from asfound.job.bodies import Stage
from asfound.plots.causes import causes_picture
from asfound.plots.how_shutter import where_to_look
from asfound.problems import BadInputError, bad_input
from asfound.shutter import NextTest, Speed, Train, Why, next_test, read_series, why
from asfound.shutter.causes.weighing import Condition
from asfound.shutter.speeds.drift import approaches, drift
from asfound.web.room import Asked, Choice, How, Row, Section, Table, Task, both
from asfound.web.room_form import Field, Values

MOST_TEXT, MOST_SPEEDS, MOST_SHOTS = 20_000, 24, 400
_MARKS = ("exact value", "face value")
LEAST_WEIGHT, MOST_CAUSES = 0.005, 6


def train_fields() -> tuple[Field, ...]:
    """Return what is asked of the camera's groups of speeds, and of its marks."""
    group = "Which speeds the retard train makes"
    return (
        Field(name="train_from", label="The train holds from", unit="s", default="1/75", group=group,
              hint="shortest marked time that it holds"),
        Field(name="pallet_from", label="The pallet is in from", unit="s", default="1/20", group=group,
              hint="shortest marked time with the pallet in"),
        Field(name="marks", label="Marks of the modern series are", default=_MARKS[0], choices=_MARKS, group=group),
    )  # fmt: skip


def train_of(values: Values) -> Train:
    """Return the camera's groups of speeds.

    Raises
    ------
    BadInputError
        If the pallet comes in before the train, or a time is none of a shutter.
    """
    for name in ("train_from", "pallet_from"):
        if values[name] >= 3600:
            raise bad_input(name, "it is no marked time", "write it as 1/50")
    if values["pallet_from"] < values["train_from"]:
        raise bad_input("pallet_from", "the pallet comes in before the train", "give a longer time, or the same")
    return Train(retard_from_s=values["train_from"], pallet_from_s=values["pallet_from"])


def exact(values: Values) -> bool:
    """Tell whether marks of the modern series stand for powers of two."""
    return values.text("marks") == _MARKS[0]


def fields(job: Job) -> tuple[Field, ...]:
    """Return what is asked: the times of the latest table, and whether it was clean."""
    table = latest_table(job)
    times = times_text(table.rows) if table else ""
    return (
        Field(name="times", label="Times, one speed a line", lines=True, default=times,
              hint="1/25: 45 ms, 46 ms; before the colon perhaps from above or from below; open where it never closed"),
        Field(name="condition", label="When it was timed it was", default=condition_of(job),
              choices=("dirty", "clean", "not said")),
        *train_fields(),
        Field(name="fault", label="Write it under the fault", default=_fault(job), hint="as it is called in the book",
              group="What it is called in the book"),
    )  # fmt: skip


def _fault(job: Job) -> str:
    """Return the open fault that is likely meant: one that speaks of speeds or of the shutter."""
    names = [fault.name for fault in job.faults if fault.open]
    about = [name for name in names if any(word in name.lower() for word in ("speed", "shutter", "dial"))]
    return about[0] if about else "speeds are off"


def speeds_of(asked: Asked) -> tuple[Speed, ...]:
    """Return the times as typed.

    Raises
    ------
    BadInputError
        If they cannot be read, or are more than any dial has.
    """
    values = asked.values
    text = values.text("times")
    if len(text) > MOST_TEXT:
        raise bad_input("times", "it is longer than any dial", "give the times of one dial")
    speeds, problems = read_series(text, train=train_of(values), exact_modern=exact(values), where="times")
    if problems:
        raise BadInputError(*problems)
    if not any(speed.shots for speed in speeds):
        raise bad_input("times", "every shot is struck through", "leave one standing")
    if len(speeds) > MOST_SPEEDS or sum(len(speed.shots) for speed in speeds) > MOST_SHOTS:
        what = f"more than {MOST_SPEEDS} speeds or {MOST_SHOTS} shots are no dial"
        raise bad_input("times", what, "give the times of one dial")
    return speeds


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return the causes with their weights, and the test that would tell best."""
    speeds = speeds_of(asked)
    condition = cast(Condition, asked.values.text("condition"))
    found = why(speeds, condition=condition)
    dirty = condition == "dirty"
    causes = Section(
        title="Why the dial is off",
        words=found.verdict,
        pictures=both(causes_picture, found, dirty=dirty),
        table=_table(found),
        remarks=(*found.evidence, *_changes(speeds), *found.remarks),
        write=Choice("Write it as suspected"),
    )
    return (causes, _next(next_test(speeds), dirty=dirty))


def _table(found: Why) -> Table:
    shown = [one for one in found.causes if one.weight >= LEAST_WEIGHT][:MOST_CAUSES]
    rows = tuple(
        (one.cause, f"{100 * one.weight:.0f} %", f"{one.bic:.1f}", f"{one.size_stops:+.2f} stop", one.words)
        for one in shown
    )
    return Table(("Cause", "Weight", "BIC", "Size", "What it means"), rows)


def _changes(speeds: tuple[Speed, ...]) -> tuple[str, ...]:
    """Say how the times change from shot to shot, and with the side that the dial was set from."""
    said = []
    change = drift([list(speed.times_s) for speed in speeds])
    if change is not None:
        said.append(f"From shot to shot: {change.stops_a_shot:+.3f} ± {change.interval_stops:.3f} stop (95 %).")
    for side in approaches([(s.marked, s.times_from(1), s.times_from(-1)) for s in speeds]):
        apart = f"{side.difference_stops:+.2f} ± {side.interval_stops:.2f} stop"
        said.append(f"{side.marked} set from above against from below: {apart} (95 %).")
    return tuple(said)


def _next(test: NextTest, *, dirty: bool) -> Section:
    rows: tuple[Row, ...] = ()
    if test.expect_first:
        rows = (Row(f"If {test.first}", test.expect_first), Row(f"If {test.second}", test.expect_second))
    first = "Clean it first; this is for afterwards. " if dirty else ""
    title = f"The next test: {test.first} or {test.second}"
    return Section(title=title, words=first + test.test, rows=rows)


def write(asked: Asked, _stage: Stage, _choice: str) -> tuple[Entry, ...]:
    """Write the verdict and what speaks for it as a suspicion."""
    fault = " ".join(asked.values.text("fault").split())
    if not 0 < len(fault) <= 200:
        raise bad_input("fault", "it is no name of a fault", "give a few words on one line")
    speeds = speeds_of(asked)
    condition = cast(Condition, asked.values.text("condition"))
    found, test = why(speeds, condition=condition), next_test(speeds)
    likely = found.causes[0]
    said = (
        found.verdict,
        f"Likeliest by its errors: {likely.cause}, {100 * likely.weight:.0f} % of the weight.",
        *found.evidence,
        f"Shutter when timed: {condition}. Next test: {test.test}",
    )
    return write_cause(asked.book, asked.job.id, fault=fault, text=" ".join(said))


def how() -> How:
    """Say what times tell most."""
    return How(
        pictures=both(where_to_look),
        steps=(
            "Clean the shutter first, and time it dry: before cleaning, gum imitates most faults.",
            "Fire the whole dial, three shots at each speed or more; note every time, also the wild ones.",
            "Set the dial from a longer time and from a shorter one, on lines of their own (1/25 from above: …), "
            "so that a loose cam plate can show.",
            "Write open where the shutter never closed, rebound after a time where the blades sprang open again, "
            "and an x before a shot that does not count.",
        ),
    )


TASK = Task(
    path="why",
    name="Why",
    lead="What the errors of the dial point at, and the test that would tell best.",
    fields=fields,
    work_out=work_out,
    write=write,
    how=how,
    ask="Weigh the causes",
    staged=False,
)
