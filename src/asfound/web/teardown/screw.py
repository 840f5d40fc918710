"""Which screw is this: its thread, what cannot be told apart, and where it may belong."""

from asfound.job import Job
from asfound.plots.how_screws import screw_measured
from asfound.teardown.fastener import FastenerGroup
from asfound.teardown.screw import Home, Identified, identify_screw, where_it_belongs
from asfound.web.drawer.page import links_for
from asfound.web.room import Asked, How, Section, Table, Task, both
from asfound.web.room_form import Field


def fields(_job: Job) -> tuple[Field, ...]:
    """Return what is asked of a loose screw."""
    return (
        Field(name="diameter", label="Over the crests", unit="mm", hint="by micrometer or calliper; 54 thou will do"),
        Field(name="pitch", label="Pitch", unit="mm", optional=True, hint="ten crests divided by ten"),
        Field(name="length", label="Length under the head", unit="mm", optional=True),
        Field(name="head", label="Head", optional=True, choices=("cheese", "countersunk", "pan", "raised")),
        Field(name="slot", label="Width of the slot", unit="mm", optional=True, group="More"),
        Field(name="flank", label="Between the flanks", unit="deg", optional=True, group="More", hint="60 or 47.5"),
        Field(name="sure", label="The diameter is sure to", unit="mm", default="0.02", group="More"),
    )


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return ranked threads, and the fasteners of the job that it may be one of."""
    values = asked.values
    found = identify_screw(
        diameter_mm=values["diameter"],
        u_diameter_mm=values["sure"],
        pitch_mm=values.maybe("pitch"),
        flank_deg=values.maybe("flank"),
        slot_width_mm=values.maybe("slot"),
    )
    homes = where_it_belongs(
        [(step.part, group) for step in asked.job.steps for group in step.fasteners],
        diameter_mm=values["diameter"],
        u_diameter_mm=values["sure"],
        pitch_mm=values.maybe("pitch"),
        length_mm=values.maybe("length"),
        head=values.text("head") or None,
    )
    length = values.maybe("length")
    head = values.text("head") or None
    like = [FastenerGroup(thread=c.thread.name, length_mm=length, head=head) for c in found.candidates if c.fits]
    return (_thread(found, links_for(asked.book, like)), _belongs(homes))


def _thread(found: Identified, links: tuple[tuple[str, str], ...]) -> Section:
    fitting = [c.thread.name for c in found.candidates if c.fits]
    words = " or ".join(fitting) if fitting else "none of the sizes known here fits: worn, or a maker's own"
    rows = tuple(
        (
            c.thread.name,
            c.thread.series,
            f"{c.thread.major_mm:.3f}",
            f"{c.thread.pitch_mm:.3f}",
            "; ".join(("yes" if c.fits else f"no, {c.misfit:.0f} standard uncertainties off", *c.remarks)),
        )
        for n, c in enumerate(found.candidates)
        if c.fits or n < len(fitting) + 3
    )
    return Section(
        title="Its thread",
        words=words,
        table=Table(("Thread", "Series", "Diameter mm", "Pitch mm", "Fits"), rows),
        remarks=tuple(f"To tell apart: {line}" for line in found.to_tell_apart),
        links=links,
    )


def _belongs(homes: tuple[Home, ...]) -> Section:
    if not homes:
        return Section(title="Where it belongs", words="no fastener of this job has a thread or length to compare with")
    rows = tuple((home.part, str(home.group), "; ".join(home.against) or "nothing") for home in homes[:8])
    free = list(dict.fromkeys(home.part for home in homes if not home.against))
    words = f"it may be of {' or '.join(free)}" if free else "none of this job's fasteners is like it"
    return Section(title="Where it belongs", words=words, table=Table(("Part", "Fasteners", "Against it"), rows))


def how() -> How:
    """Return how a small screw is measured."""
    return How(
        pictures=both(screw_measured),
        steps=(
            "Clean the thread. Measure over the crests in three places; the smallest is worn, take the middle.",
            "Lay it on a scale under magnification and measure ten crests; divide by ten. Or hold it against a known "
            "screw to the light: the threads mesh or they do not.",
            "Never try it in a hole to see: a wrong thread cuts brass at once.",
        ),
    )


TASK = Task(
    path="screw",
    name="Which screw",
    lead="From what can be measured on a loose screw: its thread, and where in this job it may belong.",
    fields=fields,
    work_out=work_out,
    how=how,
)
