"""The next move: which adjuster, which way, the speed to watch and the band to stop in."""

from asfound.bench.shutter import moves_so_far, write_move
from asfound.job import Entry, Job
from asfound.job.bodies import Stage
from asfound.plots.how_shutter import plate_moved
from asfound.plots.trim import trim_picture
from asfound.problems import BadInputError, bad_input
from asfound.quantity import parse_quantity, read_number, show_time
from asfound.shutter import NextMove, next_move, read_adjusters, read_log, reading_says, tolerances_of
from asfound.shutter.speeds.dial import DEFAULT_SOURCE
from asfound.shutter.trimming.trim import Aim
from asfound.web.room import Asked, Choice, How, Row, Section, Table, Task, both
from asfound.web.room_form import Field
from asfound.web.shutter.why import MOST_SPEEDS, MOST_TEXT, exact, train_fields, train_of

MOST_ADJUSTERS, MOST_MOVES = 5, 60
USUAL_ADJUSTERS = ("engagement", "pallet")
_TITLES = {"within": "Leave it", "move": "The next move", "out of reach": "Out of reach"}


def fields(job: Job) -> tuple[Field, ...]:
    """Return what is asked: the dials with the moves between them, as the job has them."""
    so_far = moves_so_far(job)
    adjusters = ", ".join(dict.fromkeys((*USUAL_ADJUSTERS, *so_far.adjusters)))
    made = "The move, as it is made"
    return (
        Field(name="times", label="Dials, and the moves between them", lines=True, default=so_far.log,
              hint="1/25: 45 ms, 46 ms; between two dials: move pallet deeper by 0.25; perhaps: tightened 1/5: 190 ms "
                   "to 204 ms"),
        Field(name="adjusters", label="What can be moved", default=adjusters, hint="also main spring, bend 1/5"),
        Field(name="tolerance", label="Tolerance, stops", default="1/3", hint=DEFAULT_SOURCE),
        Field(name="top_tolerance", label="Of the top speed, stops", default="1/2",
              hint="where it is 1/200 or shorter"),
        Field(name="reading", label="The watched speed reads", optional=True, hint="after a nudge, tightened: 41 ms",
              group=made),
        Field(name="direction", label="Which way it was moved", optional=True, hint="deeper, shallower", group=made),
        Field(name="amount", label="How far", optional=True, hint="where it can be measured: 0.25", group=made),
        *train_fields(),
    )  # fmt: skip


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return the move proposed, the dial it should make, and what the reading just taken says."""
    found = move_of(asked)
    since = moves_so_far(asked.job).since
    asks = (
        (f"since the last dial: {'; '.join(since)}. Fire the whole dial again before the next move",) if since else ()
    )
    aim = found.aims[0] if found.aims else None
    proposal = Section(
        title=_TITLES[found.verdict],
        words=found.words[0],
        pictures=both(trim_picture, found),
        rows=(*(_watched(aim) if aim else ()), *_chances(found)),
        asks=asks,
        remarks=(
            *(words for words in found.words[1:] if not words.startswith("Let the main spring down")),
            *(_later(one) for one in found.aims[1:]),
            "What an adjuster does before it was moved: common practice, no source.",
        ),
        cautions=tuple(words.rstrip(".") for words in found.words if words.startswith("Let the main spring down")),
        write=Choice(f"Write the move of the {aim.adjuster}") if aim else None,
    )
    return (*_reading(asked, aim), proposal, _predicted(found))


def _reading(asked: Asked, aim: Aim | None) -> tuple[Section, ...]:
    """Say what a reading of the watched speed means, on top, as it is looked at between two nudges."""
    time_s = _reading_s(asked)
    if time_s is None or aim is None:
        return ()
    return (Section(title=f"{aim.pilot} reads {show_time(time_s)}", words=reading_says(aim, time_s)),)


def _reading_s(asked: Asked) -> float | None:
    text = asked.values.text("reading")
    if not text:
        return None
    time_s = parse_quantity(text, unit="s", where="reading")
    if not 1e-6 < time_s < 3600:
        raise bad_input("reading", f"{text[:40]!r} is no time of a shutter", "write it with its unit, as in 41 ms")
    return time_s


def move_of(asked: Asked) -> NextMove:
    """Return the next move out of what was typed.

    Raises
    ------
    BadInputError
        If the dials or moves cannot be read, or are more than any job has.
    """
    values = asked.values
    movable, problems = read_adjusters(values.text("adjusters"), where="adjusters")
    if len(movable) > MOST_ADJUSTERS:
        raise bad_input("adjusters", f"more than {MOST_ADJUSTERS} cannot be weighed", "leave out what stays as it is")
    if problems:
        raise BadInputError(*problems)
    text = values.text("times")
    if len(text) > MOST_TEXT:
        raise bad_input("times", "it is longer than any job", "leave out the oldest dials")
    log, problems = read_log(text, adjusters=movable, train=train_of(values), exact_modern=exact(values), where="times")
    if log is None:
        raise BadInputError(*problems)
    if len(log.speeds) > MOST_SPEEDS or len(log.moves) > MOST_MOVES:
        what = f"more than {MOST_SPEEDS} speeds or {MOST_MOVES} moves"
        raise bad_input("times", what, "leave out the oldest dials")
    limits = tolerances_of(
        log.speeds,
        tolerance_stops=_stops(values.text("tolerance"), "tolerance"),
        top_tolerance_stops=_stops(values.text("top_tolerance"), "top_tolerance"),
    )
    return next_move(log.speeds, tolerance_stops=limits, u_stops=log.u_stops, adjusters=movable, moves=log.moves)


def _stops(text: str, where: str) -> float:
    try:
        value = read_number(text)
    except ValueError:
        value = 0.0
    if not 0.01 <= value <= 4:
        raise bad_input(where, f"{text[:40]!r} is no tolerance in stops", "write it as 1/3 or 0.5")
    return value


def _watched(aim: Aim) -> tuple[Row, ...]:
    low, high = (show_time(time, time / 50) for time in (aim.low_s, aim.high_s))
    middle = f"the middle is {show_time(aim.aim_s, aim.aim_s / 50)}"
    rows = (
        Row("Move", " ".join(word for word in (aim.adjuster, aim.direction) if word), _how_far(aim)),
        Row("Watch", aim.pilot, f"now {show_time(aim.now_s, aim.now_s / 50)}: its reading best predicts the dial"),
        Row("Stop between", f"{low} and {high}", f"fired with the screw tight; {middle}"),
    )
    if abs(aim.loose_s / aim.aim_s - 1) < 0.014:
        return rows
    loose = show_time(aim.loose_s, aim.loose_s / 50)
    return (*rows, Row("Before tightening", loose, "allows for what tightening did so far"))


def _how_far(aim: Aim) -> str:
    if aim.trial:
        return "a first small move, to see what it does"
    return "" if aim.amount is None else f"about {abs(aim.amount):.2g} of what was measured as 1"


def _chances(found: NextMove) -> tuple[Row, ...]:
    now = Row("Every speed within, as it is", f"{100 * found.chance_now:.0f} %", "the chance, by the readings' doubt")
    if not found.aims:
        return (now,)
    which = "all the moves proposed" if len(found.aims) > 1 else "this move"
    return (now, Row("Every speed within, then", f"{100 * found.chance:.0f} %", f"after {which}"))


def _later(aim: Aim) -> str:
    return f"After it, the {aim.adjuster}, watched at {aim.pilot}, to about {show_time(aim.aim_s, aim.aim_s / 50)}."


def _predicted(found: NextMove) -> Section:
    rows = []
    for one in found.dial:
        after = f"{one.error_stops:+.2f} ± {2 * one.u_error_stops:.2f}"
        rows.append((one.marked, f"{one.now_stops:+.2f}", after, f"± {one.tolerance_stops:.2f}"))
    then = "After the moves, 95 %" if found.aims else "As near as can be told, 95 %"
    return Section(
        title="The dial, in stops", table=Table(("Marked", "Now", then, "Tolerance"), tuple(rows)), folded=True
    )


def write(asked: Asked, _stage: Stage, _choice: str) -> tuple[Entry, ...]:
    """Write the move down: every dial measured before it becomes stale."""
    found, time_s = move_of(asked), _reading_s(asked)
    if not found.aims:
        raise bad_input("times", "no move is proposed", "write a move of your own in the book's line")
    aim, values = found.aims[0], asked.values
    direction, amount = (" ".join(values.text(name).split()) for name in ("direction", "amount"))
    for name, text in (("direction", direction), ("amount", amount)):
        if len(text) > 60:
            raise bad_input(name, "it is too long", "give it in a word or two")
    return write_move(
        asked.book,
        asked.job.id,
        adjuster=aim.adjuster,
        direction=direction or aim.direction,
        amount=amount,
        before=f"{aim.pilot} at {show_time(aim.now_s)}",
        after="" if time_s is None else f"{aim.pilot} at {show_time(time_s)}",
    )


def how() -> How:
    """Say how a move is made."""
    return How(
        pictures=both(plate_moved),
        steps=(
            "Time the whole dial first, and have it clean.",
            "Make one move at a time, a small one first: let the main spring down, slacken, nudge, tighten.",
            "Fire the watched speed with the screw tight and type what it reads; nudge again until it is in the band.",
            "Write the move, then time the whole dial again: each move teaches what the adjuster does here.",
        ),
        cautions=("let the main spring down before a screw is loosened: a cocked ring can whip round",),
    )


TASK = Task(
    path="trim",
    name="Next move",
    lead="Which adjuster to move, the speed to watch, and the band to stop in.",
    fields=fields,
    work_out=work_out,
    write=write,
    how=how,
    ask="Show the next move",
    staged=False,
)
