"""The register of spacers and shims: thickness at three points, wedge, and what a missing or wrong one does."""

from asfound.bench.focus import write_spacers
from asfound.focus import Spacer, StackEffect, find_format, stack_effect, wedge
from asfound.job import Entry, Job
from asfound.job.bodies import Stage
from asfound.job.job import key
from asfound.plots.datum import Layer, stack_picture
from asfound.plots.focus_how import spacer_points
from asfound.problems import BadInputError, Problem, bad_input
from asfound.quantity import show_length, show_number, show_reading
from asfound.web.focus.datum import leaves_of
from asfound.web.focus.into_job import page_of
from asfound.web.focus.lens import budget_fields, budget_of, no_budget, say_share
from asfound.web.focus.lists import lines_of
from asfound.web.kept import why_stale
from asfound.web.room import Asked, Choice, How, Row, Section, Table, Task, both
from asfound.web.room_form import Field, Values

_LATE = ("in its place", "late: readings were taken without it")
MOST_SPACERS = 12
FULL = 3


def fields(job: Job) -> tuple[Field, ...]:
    """Return what is asked of the stack; filled from the spacers of the job."""
    hint = "a line each: ring = 0.50 0.51 0.50 (or one number)"
    return (
        Field(name="belong", label="Spacers that belong in", lines=True, default=_known(job), hint=hint),
        Field(name="missing", label="Of them not in", optional=True, hint="names, with commas between"),
        Field(name="extra", label="In, but do not belong", lines=True, optional=True, hint="a line each, likewise"),
        Field(name="radius", label="Measured at radius", unit="mm", default="15", most=500, hint="of the three points"),
        Field(name="u", label="One thickness known to", unit="mm", default="0.003", optional=True, most=1),
        Field(name="found", label="New ones were found", default=_LATE[0], choices=_LATE),
        *budget_fields(job),
    )


def _known(job: Job) -> str:
    lines = [
        f"{spacer.name} = {spacer.thickness.value:g} {spacer.thickness.unit}"
        for _, spacer in job.spacers
        if spacer.thickness is not None and spacer.thickness.value is not None
    ]
    return "\n".join(lines)


def spacers_of(values: Values, name: str) -> tuple[Spacer, ...]:
    """Return the spacers that a field lists.

    Raises
    ------
    BadInputError
        With the problems of all lines.
    """
    found: list[Spacer] = []
    problems: list[Problem] = []
    for line, place in lines_of(values.text(name), where=name):
        try:
            found.append(_spacer(line, place, values))
        except BadInputError as error:
            problems.extend(Problem(place, p.what, p.remedy) for p in error.problems)
    if len(found) > MOST_SPACERS:
        problems.append(Problem(name, f"{len(found)} spacers are too many", f"give at most {MOST_SPACERS}"))
    if problems:
        raise BadInputError(*problems)
    return tuple(found)


def _spacer(line: str, place: str, values: Values) -> Spacer:
    name, equals, numbers = line.rpartition("=")
    thick = leaves_of(numbers) if equals else ()
    if not name.strip() or len(thick) not in (1, FULL):
        raise bad_input(place, f"{line[:60]!r} is not a name and three thicknesses", "write ring = 0.50 0.51 0.50")
    three = thick * (FULL // len(thick))
    return Spacer(
        name=" ".join(name.split())[:80],
        thickness_mm=(three[0], three[1], three[2]),
        radius_mm=values["radius"],
        u_thickness_mm=values.maybe("u"),
    )


def stack_of(values: Values) -> tuple[tuple[Spacer, ...], tuple[Spacer, ...], frozenset[str]]:
    """Return what belongs in, what does not but is in, and the keys of those that are missing."""
    belong, extra = spacers_of(values, "belong"), spacers_of(values, "extra")
    names = [key(one.name) for one in (*belong, *extra)]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice is not None:
        raise bad_input("belong", f"{twice!r} is there twice", "give each its own name: shim 1, shim 2")
    missing = frozenset(key(name) for name in values.text("missing").split(",") if name.strip())
    for name in missing - {key(one.name) for one in belong}:
        raise bad_input("missing", f"{name!r} is none of those that belong in", "name it above too")
    return belong, extra, missing


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return what the stack does to infinity and to the lens's squareness."""
    values = asked.values
    belong, extra, missing = stack_of(values)
    if not belong and not extra:
        raise bad_input("belong", "there is no spacer", "write ring = 0.50 0.51 0.50")
    budget = budget_of(values)
    present = [one for one in belong if key(one.name) not in missing] + list(extra)
    effect = stack_effect(present=present, wanted=belong, half_diagonal_mm=_half_diagonal(values), budget=budget)
    layers = [Layer(name=s.name, thickness_mm=s.thickness_mm, present=key(s.name) not in missing) for s in belong]
    layers += [Layer(name=s.name, thickness_mm=s.thickness_mm, belongs=False) for s in extra]
    error = effect.infinity_error.value or 0.0
    verdict = budget.judge(effect.infinity_error) if budget and (missing or extra) else ""
    return (
        Section(
            title="The stack under the lens",
            verdict=verdict,
            words=_words(error, bool(missing or extra), effect),
            pictures=both(stack_picture, layers),
            rows=(
                Row("Infinity off by", show_reading(effect.infinity_error), say_share(error, budget), verdict),
                Row("Tilt", show_reading(effect.tilt), f"lens stands furthest out at {effect.tilted_towards_deg:.0f}°"),
                *_corner(effect, budget is not None),
            ),
            table=Table(
                ("Spacer", "Mean", "Wedge", "Thickest at"), tuple(_row(one) for one in (*belong, *extra))
            ),
            asks=no_budget(budget),
            remarks=("clock positions against the clock from the mark, seen from the front; wedges add as they lie",),
            write=Choice("Write the new ones to the job"),
        ),
        *_doubtful(asked.job),
    )  # fmt: skip


def _words(error: float, wrong: bool, effect: StackEffect) -> str:
    if not wrong:
        return "all that belong are in, and nothing else"
    told = [f"without {name}" for name in effect.missing] + [f"with {name}" for name in effect.extra]
    way = "out" if error > 0 else "in"
    return f"{' and '.join(told)} infinity is off by {show_length(abs(error))}: the lens stands too far {way}"


def _half_diagonal(values: Values) -> float | None:
    frame = values.text("frame")
    return find_format(frame, where="frame").diagonal_mm / 2 if frame else None


def _corner(effect: StackEffect, budgeted: bool) -> tuple[Row, ...]:
    if effect.corner_error_mm is None:
        return ()
    share = effect.corner_share
    told = f"{share:.0%} of the focus budget".replace("%", " %") if budgeted and share is not None else ""
    return (Row("Corner of the frame", show_length(effect.corner_error_mm), f"by the tilt; {told}".rstrip("; ")),)


def _row(spacer: Spacer) -> tuple[str, ...]:
    found = wedge(spacer)
    tilt = found.tilt.value or 0.0
    sure = tilt > 2 * (found.tilt.standard_uncertainty or 0.0)
    return (
        spacer.name,
        show_reading(found.mean),
        f"{show_number(tilt)}°" + ("" if sure or not tilt else ", not proved"),
        f"{found.thickest_at_deg:.0f}°" if tilt else "",
    )


def _doubtful(job: Job) -> tuple[Section, ...]:
    """Return the readings that a later-found spacer puts in doubt."""
    spacers = {entry for entry, _ in job.spacers}
    kept = [one for one in job.readings if one.stale_by in spacers]
    if not kept:
        return ()
    lines = tuple(
        (f"{one.body.quantity}, {one.body.place}".rstrip(", "), show_reading(one.body.reading), one.body.stage,
         why_stale(job, one.stale_by))
        for one in kept
    )  # fmt: skip
    return (
        Section(
            title="Readings taken without it",
            words="take these again with the right spacers in",
            table=Table(("Reading", "Value", "Stage", "Stale"), lines),
        ),
    )


def write(asked: Asked, stage: Stage, _choice: str) -> tuple[Entry, ...]:
    """Write the spacers that the job does not know yet."""
    belong, _, _ = stack_of(asked.values)
    known = {key(spacer.name) for _, spacer in asked.job.spacers}
    new = [(one.name, wedge(one).mean) for one in belong if key(one.name) not in known]
    if not new:
        raise bad_input("belong", "all of them are in the job already", "strike the old one through in the book first")
    return write_spacers(page_of(asked, stage), new, late=asked.values.text("found") == _LATE[1])


def how() -> How:
    """Say how a spacer is measured."""
    return How(
        steps=(
            "Mark the top of each spacer before it comes out, and the order in which they lie.",
            "Clean off the old grease: it is thicker than it looks.",
            "Measure with a micrometer at three points a third of a turn apart: 90, 210 and 330 degrees from the mark, "
            "which is at 0, to the right.",
            "Note the radius of the three points: the wedge is the rise over it.",
        ),
        pictures=both(spacer_points),
        cautions=(
            "solvent vapour burns and harms: window open, no flame, small covered vessel, gloves; local rules come "
            "first",
        ),
    )


TASK = Task(
    path="spacers",
    name="Spacers",
    lead="What lies under the lens, its wedge, and what a missing or wrong one does.",
    fields=fields,
    work_out=work_out,
    write=write,
    how=how,
    staged=False,
)
