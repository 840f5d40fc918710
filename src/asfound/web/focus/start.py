"""Which start of its thread a helical was entered on; where its threads meet and part."""

from asfound.bench.focus import HEIGHT, write_height, write_start
from asfound.focus import (
    Helical,
    Parting,
    StartFinding,
    combined_lead,
    entries,
    parting_order,
    which_start,
)
from asfound.focus.start import Entry as Meeting
from asfound.job import Entry, Job
from asfound.job.bodies import Stage
from asfound.plots.focus_how import thread_entry
from asfound.plots.thread_start import clock_picture, start_picture
from asfound.problems import bad_input
from asfound.quantity import Reading, show_length, show_number, show_reading
from asfound.web.focus.into_job import filled, page_of
from asfound.web.focus.lens import budget_fields, budget_of, say_share, say_signed
from asfound.web.room import Asked, Choice, How, Row, Section, Table, Task, both
from asfound.web.room_form import Field, Values

_BRACKET, _NEST, _CLOCK = "Only a bracket is known", "A second helical nested in it", "Where the threads meet and part"
_MOST_STARTS = 60


def _mm(name: str, label: str, hint: str = "", *, group: str = "", signed: bool = False, default: str = "") -> Field:
    return Field(
        name=name, label=label, unit="mm", optional=True, signed=signed, most=1000, hint=hint, group=group,
        default=default,
    )  # fmt: skip


def _deg(name: str, label: str, hint: str = "") -> Field:
    return Field(
        name=name, label=label, unit="deg", optional=True, signed=True, most=3600, hint=hint, group=_CLOCK
    )  # fmt: skip


def height_fields() -> tuple[Field, ...]:
    """Return the fields of a height against its datum."""
    return (
        _mm("measured", "Height measured", "infinity stop, wide open"),
        _mm("wanted", "Height wanted", "the datum: as found, or as proved"),
        _mm("error", "or Height error", "plus: too far out", signed=True),
        _mm("u", "Known to", "one standard uncertainty", default="0.02"),
    )


def fields(job: Job) -> tuple[Field, ...]:
    """Return what is asked of a thread."""
    these = (
        Field(name="lead", label="Lead", unit="mm", default="", most=200, hint="9, travel for one turn"),
        Field(name="starts", label="Starts", unit="1", default="", most=_MOST_STARTS, hint="6, threads side by side"),
        *height_fields(),
        _mm("at_least", "Height error at least", group=_BRACKET, signed=True),
        _mm("at_most", "Height error at most", group=_BRACKET, signed=True),
        _mm("inner_lead", "Lead of the inner", group=_NEST),
        Field(
            name="inner_starts", label="Starts of the inner", unit="1", optional=True, most=_MOST_STARTS, group=_NEST
        ),
        Field(
            name="inner_way", label="Its travel", default="adds", choices=("adds", "is taken off"), group=_NEST,
        ),
        _deg("met_at", "Right start meets at", "with the clock from a mark on the body, as the lens comes out"),
        _deg("clock", "Mark stands now at"),
        _mm("engaged", "Travel left", "until the thread parts", group=_CLOCK),
        _mm("inner_engaged", "Travel left, inner", group=_CLOCK),
        *budget_fields(job),
    )  # fmt: skip
    return filled(these, job, HEIGHT)


def count_of(values: Values, name: str) -> int:
    """Return a count of threads.

    Raises
    ------
    BadInputError
        If it is no whole number.
    """
    count = values[name]
    if count != round(count) or count < 1:
        raise bad_input(name, f"{count:g} is no count of threads", "count them at the thread's end")
    return round(count)


def helicals_of(values: Values) -> tuple[Helical, ...]:
    """Return the thread, or the nest of two."""
    outer = Helical(lead_mm=values["lead"], starts=count_of(values, "starts"))
    lead, starts = values.maybe("inner_lead"), values.maybe("inner_starts")
    if lead is None and starts is None:
        return (outer,)
    if lead is None or starts is None:
        missing = "inner_lead" if lead is None else "inner_starts"
        raise bad_input(missing, "both are wanted for the inner helical", "give both, or leave both empty")
    adds = values.text("inner_way") != "is taken off"
    inner = Helical(lead_mm=lead, starts=count_of(values, "inner_starts"), adds=adds)
    if not adds and inner.lead_mm == outer.lead_mm:
        raise bad_input("inner_lead", "the two leads cancel: the lens would not move", "check which one subtracts")
    return outer, inner


def height_of(values: Values, *, bracket: bool = True) -> Reading:
    """Return the height error that the fields give.

    Raises
    ------
    BadInputError
        If it is given twice or not at all.
    """
    low, high = (values.maybe("at_least"), values.maybe("at_most")) if bracket else (None, None)
    if low is not None or high is not None:
        if low is not None and high is not None and low > high:
            raise bad_input("at_most", f"{high:g} is below {low:g}", "give the smaller one first")
        return Reading(value=None, unit="mm", lower=low, upper=high, how="bracketed")
    measured, wanted, error = values.maybe("measured"), values.maybe("wanted"), values.maybe("error")
    if error is not None and measured is not None:
        raise bad_input("error", "the height is given twice", "give the error, or both heights")
    if error is None and (measured is None or wanted is None):
        missing = "measured" if measured is None else "wanted"
        raise bad_input(missing, "the height is not known", "give both heights, or the error itself")
    if error is None:
        assert measured is not None
        assert wanted is not None
        error = measured - wanted
    return Reading(value=error, unit="mm", standard_uncertainty=values.maybe("u"), how="height against its datum")


def found_of(values: Values) -> tuple[StartFinding, Reading, tuple[Helical, ...]]:
    """Return which start it is, from which height, of which threads."""
    helicals, height = helicals_of(values), height_of(values)
    return which_start(height_error=height, helicals=helicals), height, helicals


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return which start it is, and where the threads meet and part."""
    values = asked.values
    finding, height, helicals = found_of(values)
    budget = budget_of(values)
    share = () if height.value is None else (say_share(height.value, budget),)
    return (
        Section(
            title="Which start",
            words=finding.advice,
            pictures=both(start_picture, finding, height, helicals),
            rows=(
                Row("Height off the datum", show_reading(height), *share),
                Row("One start", _steps(finding), _plain(finding)),
                Row("Lead of the whole", show_length(combined_lead(helicals)), "travel for one turn"),
                Row("Entries that fit", _fits(finding)),
            ),
            remarks=(
                "a right start may still be off by a quarter of a pitch for other reasons (an allowance of this "
                "project): green where the height fits",
            ),
            write=Choice("Write the height to the job", "height"),
        ),
        *_again(finding),
        *_meeting(values, helicals),
    )


def _steps(finding: StartFinding) -> str:
    return " and ".join(show_length(pitch) for pitch in finding.pitch_mm)


def _plain(finding: StartFinding) -> str:
    between = finding.uncertainties_between
    if between is None:
        return "lead over starts"
    plain = "the answer is plain" if between > 12 else "hardly to be told apart"
    return f"{between:.0f} standard uncertainties: {plain}"


def _fits(finding: StartFinding) -> str:
    told = [
        f"{'/'.join(f'{k:+d}' for k in one.starts_out)} ({show_number(one.height_mm)} mm)"
        for one in finding.candidates[:6]
    ]
    return ", ".join(told) or "none"


def _again(finding: StartFinding) -> tuple[Section, ...]:
    if finding.answer != "out":
        return ()
    return (
        Section(
            title="Once it is entered anew",
            words="measure the height again afterwards: what was measured before counts as stale",
            write=Choice("Write: entered anew", "entered"),
        ),
    )


def _meeting(values: Values, helicals: tuple[Helical, ...]) -> tuple[Section, ...]:
    met, clock, engaged = values.maybe("met_at"), values.maybe("clock"), values.maybe("engaged")
    meetings: tuple[Meeting, ...] = ()
    if met is not None:
        meetings = entries(helical=helicals[0], first_clock_deg=met)
    rows = _parting(values, helicals, clock, engaged)
    if not meetings and not rows:
        return ()
    table = None
    if meetings:
        lines = tuple(
            (f"{one.start:+d}", f"{one.clock_deg:.0f}°", f"{say_signed(one.height_mm, places=2)} mm")
            for one in meetings
        )
        table = Table(("Starts late", "Meets at", "Lens ends"), lines)
    return (
        Section(
            title="Where the threads meet and part",
            pictures=both(clock_picture, meetings[:12]) if meetings else (),
            rows=rows,
            table=table,
        ),
    )


def _parting(
    values: Values, helicals: tuple[Helical, ...], clock: float | None, engaged: float | None
) -> tuple[Row, ...]:
    if clock is None and engaged is None:
        return ()
    inner = values.maybe("inner_engaged")
    for name, missing in (("clock", clock), ("engaged", engaged), ("inner_engaged", inner)):
        if missing is None and (name != "inner_engaged" or len(helicals) > 1):
            raise bad_input(name, "it is wanted to say where the threads part", "give it too, or leave all empty")
    assert clock is not None
    assert engaged is not None
    travels = (engaged,) if len(helicals) == 1 else (engaged, inner or 0.0)
    order = parting_order(helicals=helicals, engaged_mm=travels, clock_deg=clock)
    return tuple(_part(one, nest=len(helicals) > 1) for one in order)


def _part(one: Parting, *, nest: bool) -> Row:
    name = f"{('Outer', 'Inner')[one.helical]} threads part" if nest else "Threads part"
    return Row(name, f"at {one.clock_deg:.0f}°", f"{one.turn_deg:.0f}° from now")


def write(asked: Asked, stage: Stage, choice: str) -> tuple[Entry, ...]:
    """Write the height, or that the helical was entered anew."""
    finding, height, _ = found_of(asked.values)
    page = page_of(asked, stage)
    if choice == "entered":
        if finding.answer != "out":
            raise bad_input("height", "the height does not ask for another start", "measure it again")
        return write_start(page, finding)
    return write_height(page, height, budget_of(asked.values))


def how() -> How:
    """Say how a helical is taken apart and entered."""
    return How(
        steps=(
            "Before the threads part: scribe or stick a mark on both parts, one below the other, lens at infinity.",
            "Screw it out slowly with a light pull; note the clock position at which the threads let go.",
            "Count the starts at the end of the thread. Lead: travel for half a turn, doubled.",
            "After entering it: lens at its infinity stop, measure its height and compare it with the height as found.",
            "Clean threads in solvent, grease them sparingly.",
        ),
        pictures=both(thread_entry),
        cautions=(
            "solvent vapour burns and harms: window open, no flame, small covered vessel, gloves; local rules come "
            "first",
        ),
    )


TASK = Task(
    path="start",
    name="Thread start",
    lead="On which start of its thread a helical was entered, by the height of the lens.",
    fields=fields,
    work_out=work_out,
    write=write,
    how=how,
)
