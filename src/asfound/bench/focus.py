"""What was found of the focus, written into the job: readings with what they depend on, proofs, moves, spacers."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from asfound.bench.springs import as_typed
from asfound.book import Book
from asfound.focus import (
    ApertureFinding,
    Coupling,
    DatumCorrection,
    EffortFinding,
    FocusBudget,
    FrontTravel,
    InfinitySetting,
    ScaleFit,
    Stack,
    StartFinding,
)
from asfound.job import Entry
from asfound.job.bodies import AdjusterMoved, Proof, ReadingTaken, SpacerFound, Stage
from asfound.quantity import Reading, show_number
from asfound.quantity.tolerance import Tolerance, Verdict

HEIGHT, INFINITY, EFFORT = "height off the datum", "infinity stop off", "focusing effort"
BUDGET, LEAD, OFFSET, SCALE = "focus budget", "helical lead", "scale offset", "distance scale"
FRONT_TRAVEL, RF_OFFSET, RF_RATE, APERTURE = "front cell travel", "rangefinder offset", "rangefinder rate", "aperture"
# What holds the lens to the film: whoever touches one of these must look at infinity again.
LENS_SEAT = ("helical", "infinity stop", "spacers", "front standard")
SCALE_PARTS = (*LENS_SEAT, "distance ring")
RINGS = ("helical", "distance ring")
FRONT_CELL = ("front cell", "infinity stop")
RANGEFINDER = ("rangefinder", *LENS_SEAT)
DIAPHRAGM = ("diaphragm", "aperture scale")


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """Where a result is written, and what it was worked out from.

    Attributes
    ----------
    typed : mapping
        The form as typed; kept with the reading, so that it can be worked out again.
    """

    book: Book
    job_id: UUID
    typed: Mapping[str, str]
    stage: Stage


def budget_tolerance(budget: FocusBudget | None) -> Tolerance | None:
    """Return the budget as what an image displacement is held to."""
    if budget is None:
        return None
    half = budget.half_width_mm
    return Tolerance(unit="mm", source=f"focus budget at f/{budget.f_number:g}", lower=-half, upper=half)


def write_budget(page: Page, budget: FocusBudget) -> tuple[Entry, ...]:
    """Write the focus budget: plus or minus N c."""
    how = f"N c at f/{budget.f_number:g}, circle {show_number(budget.circle_mm)} mm ({budget.circle_source})"
    reading = Reading(value=budget.half_width_mm, unit="mm", how=how)
    return page.book.write(page.job_id, [_taken(page, BUDGET, reading)])


def write_scale(page: Page, fit: ScaleFit, budget: FocusBudget | None) -> tuple[Entry, ...]:
    """Write the lead and the offset of a distance scale, and with a budget what it proves of the scale."""
    lead = _taken(page, LEAD, fit.lead, depends_on=RINGS)
    offset = _taken(page, OFFSET, fit.offset, depends_on=SCALE_PARTS)
    return page.book.write(page.job_id, [lead, offset, *_scale_proof(page, fit, budget)])


def _scale_proof(page: Page, fit: ScaleFit, budget: FocusBudget | None) -> tuple[Proof, ...]:
    verdicts = [mark.verdict for mark in fit.marks if mark.verdict is not None]
    if budget is None or not verdicts:
        return ()
    worst = max((mark for mark in fit.marks if mark.depths is not None), key=lambda mark: abs(mark.depths or 0.0))
    text = f"worst mark is off by {abs(worst.depths or 0.0):.2f} of a half depth of focus at f/{budget.f_number:g}"
    return (_proof(page, SCALE, worst_of(verdicts), depends_on=SCALE_PARTS, text=text),)


def write_height(page: Page, height: Reading, budget: FocusBudget | None, *, text: str = "") -> tuple[Entry, ...]:
    """Write how far the lens stands off its datum, held to the budget."""
    return page.book.write(
        page.job_id,
        [_taken(page, HEIGHT, height, place=text, depends_on=LENS_SEAT, tolerance=budget_tolerance(budget))],
    )


def write_start(page: Page, finding: StartFinding) -> tuple[Entry, ...]:
    """Write that a helical was entered anew, as the finding asks."""
    shifts = finding.candidates[0].starts_out if finding.candidates else ()
    count = sum(map(abs, shifts))
    return page.book.write(
        page.job_id,
        [
            AdjusterMoved(
                adjuster="helical",
                direction=finding.advice[:400],
                amount=f"{count} start{'s' * (count != 1)}",
                before=f"height off by {show_number(finding.candidates[0].height_mm)} mm" if finding.candidates else "",
            )
        ],
    )


def write_turn(page: Page, correction: DatumCorrection | InfinitySetting, *, adjuster: str) -> tuple[Entry, ...]:
    """Write that the lens was turned back by what a correction asks for."""
    turn = correction.turn
    assert turn is not None
    assert turn.value is not None
    error = correction.error.value or 0.0
    way = "in" if turn.value > 0 else "out"
    return page.book.write(
        page.job_id,
        [
            AdjusterMoved(
                adjuster=adjuster,
                direction=way,
                amount=f"{abs(turn.value):.1f} deg",
                before=f"{error:+.3f} mm off",
                after="not yet measured",
            )
        ],
    )


def write_shim(page: Page, stack: Stack) -> tuple[Entry, ...]:
    """Write a stack of leaves that was laid under the lens as a spacer of the job."""
    leaves = " + ".join(f"{leaf:g}" for leaf in stack.leaves_mm)
    thickness = Reading(value=stack.total_mm, unit="mm", how=f"leaves {leaves} mm")
    body = SpacerFound(name=f"shim {leaves} mm", thickness=thickness, between=("front standard", "lens"))
    return page.book.write(page.job_id, [body])


def write_spacers(page: Page, spacers: Sequence[tuple[str, Reading]], *, late: bool) -> tuple[Entry, ...]:
    """Write spacers into the register; a late-found one makes the readings taken without it stale."""
    found = [
        SpacerFound(name=name, thickness=thickness, late=late, between=("spacers", "lens"))
        for name, thickness in spacers
    ]
    return page.book.write(page.job_id, found)


def write_infinity(page: Page, setting: InfinitySetting, budget: FocusBudget | None) -> tuple[Entry, ...]:
    """Write how far the infinity stop is off, and with a budget whether infinity is proved."""
    taken = _taken(page, INFINITY, setting.as_used, depends_on=LENS_SEAT, tolerance=budget_tolerance(budget))
    if setting.verdict is None:
        return page.book.write(page.job_id, [taken])
    proof = _proof(
        page,
        "infinity",
        setting.verdict,
        depends_on=LENS_SEAT,
        text=setting.advice,
        reading=setting.as_used,
        tolerance=budget_tolerance(budget),
    )
    return page.book.write(page.job_id, [taken, proof])


def write_effort(page: Page, finding: EffortFinding) -> tuple[Entry, ...]:
    """Write the greatest effort of the latest state read, with all that was typed."""
    latest = finding.curves[-1]
    at = max(range(len(latest.force_n)), key=lambda n: latest.force_n[n])
    reading = Reading(
        value=latest.force_n[at],
        unit="N",
        standard_uncertainty=latest.u_force_n[at],
        how=f"greatest of {len(latest.positions)} positions, {latest.surface}, ring {latest.ring}: {finding.advice}",
    )
    place = f"{latest.surface}, ring {latest.ring}"
    return page.book.write(page.job_id, [_taken(page, EFFORT, reading, place=place, depends_on=RINGS)])


def write_front_travel(page: Page, travel: FrontTravel, *, place: str) -> tuple[Entry, ...]:
    """Write how far the front cell has to come out for a distance."""
    return page.book.write(page.job_id, [_taken(page, FRONT_TRAVEL, travel.travel, place=place, depends_on=FRONT_CELL)])


def write_rangefinder(page: Page, coupling: Coupling) -> tuple[Entry, ...]:
    """Write offset and rate of a rangefinder, and what its readings prove."""
    readings = [
        _taken(page, RF_OFFSET, coupling.offset, depends_on=RANGEFINDER),
        _taken(page, RF_RATE, coupling.rate, depends_on=RANGEFINDER),
    ]
    verdicts = [one.verdict for one in coupling.readings if one.verdict is not None]
    proof = (_proof(page, "rangefinder", worst_of(verdicts), depends_on=RANGEFINDER, text=coupling.advice),)
    return page.book.write(page.job_id, [*readings, *(proof if verdicts else ())])


def write_apertures(page: Page, finding: ApertureFinding, *, tolerance_stops: float) -> tuple[Entry, ...]:
    """Write the error of each aperture, and what they prove together."""
    bound = Tolerance(
        unit="stop", source="common practice, no source", lower=-tolerance_stops, upper=tolerance_stops
    )  # fmt: skip
    readings = [
        _taken(page, APERTURE, one.error, place=f"f/{one.marked:g}", depends_on=DIAPHRAGM, tolerance=bound)
        for one in finding.settings
    ]
    verdict = worst_of([one.verdict for one in finding.settings])
    proof = _proof(page, "apertures", verdict, depends_on=DIAPHRAGM, text=finding.advice)
    return page.book.write(page.job_id, [*readings, proof])


def worst_of(verdicts: Sequence[Verdict]) -> Verdict:
    """Return what several verdicts say together: one outside spoils all, one that cannot tell leaves it open."""
    order: tuple[Verdict, ...] = ("outside", "cannot tell")
    for worst in order:
        if worst in verdicts:
            return worst
    return "within" if verdicts else "cannot tell"


def _taken(
    page: Page,
    quantity: str,
    reading: Reading,
    *,
    place: str = "",
    depends_on: tuple[str, ...] = (),
    tolerance: Tolerance | None = None,
) -> ReadingTaken:
    return ReadingTaken(
        quantity=quantity,
        place=place,
        reading=reading,
        raw=as_typed(page.typed),
        stage=page.stage,
        depends_on=depends_on,
        tolerance=tolerance,
    )


def _proof(
    page: Page,
    what: str,
    verdict: Verdict,
    *,
    depends_on: tuple[str, ...],
    text: str,
    reading: Reading | None = None,
    tolerance: Tolerance | None = None,
) -> Proof:
    return Proof(
        what=what,
        verdict=verdict,
        reading=reading,
        tolerance=tolerance,
        stage=page.stage,
        depends_on=depends_on,
        text=text,
    )
