"""Three stations round a ring: mean height, tilt, rock."""

from asfound.bench.shape import read_tries, write_seat
from asfound.job import Entry, Job
from asfound.job.bodies import Stage
from asfound.plots.feeler import seat_picture
from asfound.plots.howto import stations_drawing
from asfound.quantity import FeelerAnswer, Seat, Station, seat, show_number, show_reading
from asfound.shape import deg_to_clock
from asfound.web.room import Asked, Choice, How, Row, Section, Task, both
from asfound.web.room_form import Field
from asfound.web.shape.common import beside, context_of, depends_field, length, read_hours, title_of
from asfound.web.shape.gap import LEAF_FIELDS, TRY_HINT, gap_of

_CLOCK = ("12", "4", "8")
_Tried = tuple[Station, tuple[FeelerAnswer, ...]]


def fields(job: Job) -> tuple[Field, ...]:
    """Return what is asked of three stations."""
    return (
        Field(name="quantity", label="What is measured", default="height", hint="name both faces and the stop"),
        Field(name="radius", label="Stations lie at a radius of", unit="mm", default="15"),
        *(
            Field(
                name=f"tries_{n}", label=f"Tries, station {n}", hint=TRY_HINT if n == 1 else "pressed home", wide=True
            )
            for n in (1, 2, 3)
        ),
        *(
            Field(name=f"at_{n}", label=f"Station {n}, o'clock", default=_CLOCK[n - 1], group="Where the stations are")
            for n in (1, 2, 3)
        ),
        *(
            Field(
                name=f"lifted_{n}",
                label=f"Lifted, station {n}",
                optional=True,
                group="Does it rock? Tries with the ring lifted",
            )
            for n in (1, 2, 3)
        ),
        *LEAF_FIELDS,
        depends_field(job, "height", default="helical"),
    )


def seat_of(asked: Asked) -> tuple[tuple[_Tried, ...], Seat]:
    """Return the stations with their tries, and how the ring sits on them.

    Raises
    ------
    BadInputError
        At the field that is wrong.
    """
    tried = tuple(_station(asked, n) for n in (1, 2, 3))
    with beside("at_1", radius="radius", heights="tries_1"):
        return tried, seat([station for station, _ in tried], radius_mm=asked.values["radius"])


def _station(asked: Asked, n: int) -> _Tried:
    values, where = asked.values, f"tries_{n}"
    answers = read_tries(values.text(where), where=where)
    pressed = gap_of(answers, values, where=where)
    lifted = None
    if values.text(f"lifted_{n}").strip():
        place = f"lifted_{n}"
        lifted = gap_of(read_tries(values.text(place), where=place), values, where=place)
    angle = read_hours(values.text(f"at_{n}"), where=f"at_{n}")
    return Station(angle_deg=angle, pressed=pressed, lifted=lifted), answers


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return how the ring sits."""
    tried, found = seat_of(asked)
    return (
        Section(
            title=title_of(f"{asked.values.text('quantity')[:70]} at three stations"),
            words=_words(found),
            pictures=both(seat_picture, [station for station, _ in tried], found),
            rows=_rows(found),
            remarks=() if found.rock else ("pressed only: whether it rocks shows when each is tried lifted too",),
            write=Choice("Write to the job"),
        ),
    )


def _words(found: Seat) -> str:
    u = found.rise_uncertainty_mm
    if found.highest_deg is None:
        return f"level; mean height {show_reading(found.mean)}"
    rise = f"{length(found.rise_mm, u)} over the ring, towards {deg_to_clock(found.highest_deg)} o'clock"
    if u and found.rise_mm <= 2 * u:
        return f"whether it is tilted cannot be told: {rise}, is within what the feelers can tell"
    return f"it rises {rise}"


def _rows(found: Seat) -> tuple[Row, ...]:
    u = found.rise_uncertainty_mm
    rows = [
        Row(name="Mean height", value=show_reading(found.mean), meaning="at the middle of the ring"),
        Row(
            name="Rise over the ring",
            value=length(found.rise_mm, u),
            meaning="highest less lowest, across" + (f"; sure to ± {show_number(u, u)} mm" if u else ""),
        ),
        Row(name="Tilt", value=f"{found.tilt_deg:.3f}°"),
    ]
    if found.rock is not None and found.rock_deg is not None:
        where = f"at {deg_to_clock(found.rock_deg)} o'clock, from pressed to lifted"
        rows.append(Row(name="Rock", value=show_reading(found.rock), meaning=where))
    return tuple(rows)


def write(asked: Asked, stage: Stage, _choice: str) -> tuple[Entry, ...]:
    """Write the stations, and how the ring sits, into the job."""
    tried, found = seat_of(asked)
    context = context_of(asked, stage)
    return write_seat(context, quantity=asked.values.text("quantity"), stations=tried, seat=found)


def how() -> How:
    """Return how three stations are felt."""
    return How(
        steps=(
            "Name the two faces that the height lies between, and the stop it stands against: another stop is "
            "another height.",
            "Press the ring home with one finger over the station, and feel there.",
            "Go on a third of a turn, the same finger, the same leaf first.",
            "To find the rock, try each station again with the ring lifted there.",
        ),
        pictures=both(stations_drawing),
    )


TASK = Task(
    path="stations",
    name="Three stations",
    lead="Mean height, tilt and rock of a ring, felt at three places round it.",
    fields=fields,
    work_out=work_out,
    write=write,
    how=how,
)
