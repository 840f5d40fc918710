"""Stopped down: the effective time at each aperture, from one firing shot wide open."""

from asfound.bench.measured import found_in
from asfound.bench.said import how_of
from asfound.bench.shutter import write_finding
from asfound.job import Entry, Job
from asfound.job.bodies import Stage
from asfound.plots.how_shutter import stopped_pupil
from asfound.plots.stopped_down import stopped_down_picture
from asfound.problems import BadInputError, bad_input
from asfound.quantity import read_number, show_time
from asfound.shutter import Firing, StoppedDown, read_marked, reason_to_withhold, stopped_down_table
from asfound.web.room import Asked, Choice, How, Section, Table, Task, both
from asfound.web.room_form import Field
from asfound.web.shutter.chosen import chosen_recording, recording_field

_USUAL = "2, 2.8, 3.5, 4, 5.6, 8, 11, 16, 22"
MOST_APERTURES = 20


def fields(job: Job) -> tuple[Field, ...]:
    """Return what is asked: which firing, the aperture it was shot at, the marked ones."""
    widest = job.camera.largest_aperture
    smaller = [f"{widest:g}"] if widest else []
    smaller += [word for word in _USUAL.split(", ") if float(word) > (widest or 2.7) * 1.01]
    return (
        recording_field(job),
        Field(name="firing", label="Firing", unit="1", default="1", hint="its number in the recording"),
        Field(name="wide_open", label="Shot at", unit="1", default=smaller[0], hint="f-number, wide open: 3.5"),
        Field(name="apertures", label="Marked apertures", default=", ".join(smaller), wide=True, hint="3.5, 5.6, 8"),
        Field(name="marked", label="At the marked speed", optional=True, hint="1/250, for the error in stops"),
    )


def firing_of(asked: Asked) -> tuple[Firing, str]:
    """Return the firing that was chosen, and why nothing can be said of smaller apertures ("" where it can).

    Raises
    ------
    BadInputError
        If the recording is not measured, has no such firing, or was shot at another aperture.
    """
    recording, body = chosen_recording(asked)
    values, how = asked.values, how_of(asked.job, recording)
    found = found_in(asked.book, body.attachment.sha256, how)
    if found is None:
        raise bad_input("recording", "it is not measured yet", "look at it on the page of the dial first")
    if found.kind != "light":
        raise bad_input("recording", f"it is of {found.kind}", "only light says how far the blades are open")
    number = values["firing"]
    if number != int(number) or not 1 <= number <= len(found.firings):
        raise bad_input("firing", f"{number:g} is no firing of it", f"give one from 1 to {len(found.firings)}")
    if how.aperture is not None and abs(how.aperture / values["wide_open"] - 1) > 0.01:
        what = f"the recording is said to be shot at f/{how.aperture:g}"
        raise bad_input("wide_open", what, "correct the one or the other")
    firing = found.firings[int(number) - 1]
    return firing, reason_to_withhold(firing, how.arrangement) or ""


def apertures_of(asked: Asked) -> list[float]:
    """Return the apertures asked for, none wider than the one it was shot at."""
    widest, found = asked.values["wide_open"], []
    for word in asked.values.text("apertures").replace("f/", "").split(","):
        try:
            value = read_number(word)
        except ValueError:
            raise bad_input("apertures", f"{word.strip()[:20]!r} is no f-number", "write 3.5, 5.6, 8") from None
        if not widest * 0.999 <= value <= 256:
            what = f"f/{value:g} is wider than f/{widest:g}, at which it was shot, or smaller than any"
            raise bad_input("apertures", what, "leave it out")
        found.append(value)
    if len(found) > MOST_APERTURES:
        raise bad_input("apertures", f"{len(found)} are more than any lens has", f"give at most {MOST_APERTURES}")
    return found


def rows_of(asked: Asked, firing: Firing) -> tuple[StoppedDown, ...]:
    """Return the table's rows."""
    marked = asked.values.text("marked")
    speeds, problems = read_marked(marked, where="marked") if marked else ((), ())
    if problems:
        raise BadInputError(*problems)
    nominal = speeds[0].nominal_s if speeds else None
    return stopped_down_table(
        firing, wide_open=asked.values["wide_open"], apertures=apertures_of(asked), marked_s=nominal
    )


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return the table, or why there is none."""
    firing, withheld = firing_of(asked)
    if withheld:
        apertures_of(asked)
        id_, _ = chosen_recording(asked)
        remedy = "Put a diffuser behind the lens or take a wide sensor, say so at the recording, and measure again"
        link = (f"/job/{asked.job.id}/shutter?recording={id_}", "How it was recorded")
        words = f"no table: {withheld}"
        return (Section(title="Stopped down", verdict="cannot tell", words=words, remarks=(remedy,), links=(link,)),)
    rows = rows_of(asked, firing)
    return (
        Section(
            title="Stopped down",
            words=_result(rows),
            pictures=both(stopped_down_picture, rows),
            table=_table(rows, firing),
            remarks=(
                "While the blades leave less free than the stop's own area, all their light passes; from then on the "
                "stop is full: so a small stop is full for longer (geometry, for an opening that grows from the "
                "centre)",
            ),
            write=Choice("Write it to the job"),
        ),
    )


def _result(rows: tuple[StoppedDown, ...]) -> str:
    last = rows[-1]
    return f"at f/{last.aperture:g} the time is {last.longer_stops:.2f} stop longer than wide open"


def _table(rows: tuple[StoppedDown, ...], firing: Firing) -> Table:
    told = any(row.error_stops is not None for row in rows)
    cells = []
    for row in rows:
        error = () if row.error_stops is None else (f"{row.error_stops:+.2f} stop",)
        time = show_time(row.effective_s, firing.u_effective_s)
        cells.append((f"f/{row.aperture:g}", time, f"{row.longer_stops:+.2f} stop", *error))
    head = ("Aperture", "Effective time", "Longer by", *(("Error",) if told else ()))
    return Table(head, tuple(cells))


def write(asked: Asked, stage: Stage, _choice: str) -> tuple[Entry, ...]:
    """Write the table down as a note."""
    firing, withheld = firing_of(asked)
    if withheld:
        raise bad_input("recording", f"no table: {withheld}", "say how it was recorded on the page of the dial")
    table = _table(rows_of(asked, firing), firing)
    each = "; ".join(", ".join(cells) for cells in table.rows)
    entry, body = chosen_recording(asked)
    about = f"firing {asked.values['firing']:g} of entry {asked.job.number(entry)} ({body.attachment.name})"
    return write_finding(asked.book, asked.job.id, f"Stopped down, {stage}, from {about}: {each}.")


def how() -> How:
    """Say how the firing is taken."""
    return How(
        pictures=both(stopped_pupil),
        steps=(
            "Open the lens fully, and light it evenly from the front.",
            "Put a diffuser behind the lens, or a sensor as wide as the pupil: it must see all of it.",
            "Record a firing at the speed that matters, keep it on the page of the dial, and say there how it was "
            "recorded: aperture, and that the whole pupil is seen.",
        ),
    )


TASK = Task(
    path="stopped-down",
    name="Stopped down",
    lead="How long each aperture is open, from one firing shot wide open.",
    fields=fields,
    work_out=work_out,
    write=write,
    how=how,
    ask="Show the table",
)
