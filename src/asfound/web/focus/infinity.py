"""Setting infinity: from where the image was sharpest to how much to turn or shim, which way."""

import math

from asfound.bench.focus import INFINITY, write_infinity, write_turn
from asfound.focus import (
    Focusing,
    InfinitySetting,
    SharpnessPeak,
    erection_scatter,
    set_infinity,
    sharpest_setting,
    sharpness_peak,
)
from asfound.job import Entry, Job
from asfound.job.bodies import Stage
from asfound.plots.datum import off_picture
from asfound.plots.focus_how_more import ground_glass
from asfound.plots.infinity import infinity_picture
from asfound.problems import BadInputError, Problem, bad_input
from asfound.quantity import show_length, show_reading
from asfound.web.focus.into_job import filled, page_of
from asfound.web.focus.lens import (
    budget_fields,
    budget_of,
    focusing_fields,
    focusing_of,
    lead_field,
    no_budget,
    say_share,
)
from asfound.web.focus.lists import distance, in_unit, lines_of, numbers_of, read_pairs, setting
from asfound.web.focus.scale import reachable
from asfound.web.room import Asked, Choice, How, Row, Section, Task, both
from asfound.web.room_form import Field, Values

_TARGET, _ERECTION = "Target and ground glass", "Scatter of the erection"
_AGAIN = ("no", "yes")


def _mm(name: str, label: str, hint: str, group: str, *, signed: bool = False) -> Field:
    return Field(
        name=name, label=label, unit="mm", optional=True, signed=signed, most=1e6, hint=hint, group=group
    )  # fmt: skip


def fields(job: Job) -> tuple[Field, ...]:
    """Return what is asked for setting infinity."""
    focal, *front = focusing_fields(job, origin=False)
    these = (
        Field(name="sharpest", label="Sharpest between", lines=True, optional=True,
              hint="a try a line: -0.30 to -0.20 (mm of travel), or 2 deg to 5 deg with the lead"),
        Field(name="series", label="or Photographs", lines=True, optional=True,
              hint="setting and sharpness a line; filled in by the page Photographs"),
        Field(name="stop", label="Stop stands at", default="0", hint="setting at the infinity stop"),
        focal,
        lead_field(),
        Field(name="target", label="Target's distance", default="inf", group=_TARGET,
              hint="from the film plane; inf for a collimator"),
        _mm("u_target", "Distance known to", "one standard uncertainty", _TARGET),
        _mm("u_focal", "Focal length known to", "counts for a near target", _TARGET),
        _mm("glass", "Glass behind the film", "ground side; minus in front", _TARGET, signed=True),
        _mm("u_glass", "That is known to", "one standard uncertainty", _TARGET),
        Field(name="erection", label="Height after each opening", optional=True, lines=True, group=_ERECTION,
              hint="five openings: 63.60 63.62 63.59; in mm"),
        Field(name="again", label="Opened anew between the tries", default="no", choices=_AGAIN, group=_ERECTION),
        *front,
        *budget_fields(job),
    )  # fmt: skip
    return filled(these, job, INFINITY)


def tries_of(values: Values) -> list[tuple[float, float]]:
    """Return the tries in mm of travel; a line with one number is a single estimate."""
    found: list[tuple[float, float]] = []
    problems: list[Problem] = []
    for line, place in lines_of(values.text("sharpest"), where="sharpest"):
        try:
            found.append(_try(line, place, values))
        except BadInputError as error:
            problems.extend(error.problems)
    if problems:
        raise BadInputError(*problems)
    return found


def _try(line: str, place: str, values: Values) -> tuple[float, float]:
    read = setting(values.maybe("lead"))
    try:
        alone = read(line, place)
    except BadInputError:
        return read_pairs(line, read, read, where=place, example="-0.30 to -0.20")[0]
    return alone, alone


def peak_of(values: Values) -> SharpnessPeak | None:
    """Return the peak of the photographs; None where there are none.

    Raises
    ------
    BadInputError
        Beside the photographs: too few, no peak, or one outside the series.
    """
    text = values.text("series")
    if not text:
        return None
    pairs = read_pairs(text, setting(values.maybe("lead")), in_unit("1"), where="series", example="0.10 mm = 0.0123")
    for n, (_, sharp) in enumerate(pairs, start=1):
        if not 0 < sharp < 1e6:
            raise bad_input(f"series, line {n}", f"{sharp:g} is no sharpness", "measure the photographs")
    try:
        return sharpness_peak(settings=[at for at, _ in pairs], sharpness=[sharp for _, sharp in pairs])
    except BadInputError as error:
        raise BadInputError(*(Problem("series", p.what, p.remedy) for p in error.problems)) from None


def stop_of(values: Values) -> float:
    """Return the setting of the infinity stop in mm of travel."""
    return setting(values.maybe("lead"))(values.text("stop"), "stop")


def erection_of(values: Values) -> float:
    """Return the scatter of the height from one opening to the next, in mm."""
    heights = numbers_of(values.text("erection"), in_unit("mm"), where="erection")
    if not heights:
        return 0.0
    if len(heights) < 2:
        raise bad_input("erection", "one opening shows no scatter", "open and close it five times")
    return erection_scatter(heights)


def setting_of(values: Values) -> tuple[InfinitySetting, list[tuple[float, float]], SharpnessPeak | None, Focusing]:
    """Return what was found, from which tries or which photographs.

    Raises
    ------
    BadInputError
        If there are neither, or both.
    """
    tries, peak, focusing = tries_of(values), peak_of(values), focusing_of(values)
    if peak is not None and tries:
        raise bad_input("sharpest", "there are tries and photographs", "empty one of the two")
    if peak is None and not tries:
        raise bad_input("sharpest", "there is no try", "give two settings between which it is sharpest")
    target = distance(values.text("target"), "target")
    reachable(focusing, target, "target")
    found = set_infinity(
        sharpest=peak.peak if peak else sharpest_setting(tries),
        stop_mm=stop_of(values),
        focusing=focusing,
        target_distance_mm=target,
        u_focal_length_mm=values.maybe("u_focal") or 0.0,
        u_target_distance_mm=values.maybe("u_target") or 0.0,
        glass_behind_film_mm=values.maybe("glass") or 0.0,
        u_glass_mm=values.maybe("u_glass") or 0.0,
        erection_sd_mm=erection_of(values),
        re_erected=values.text("again") == "yes",
        lead_mm=values.maybe("lead"),
        budget=budget_of(values),
    )
    return found, tries, peak, focusing


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return where the stop stands, and what takes the error out."""
    values = asked.values
    found, tries, peak, _ = setting_of(values)
    budget = budget_of(values)
    image = found.image_error.value or 0.0
    drawn = both(infinity_picture, found, stop_mm=stop_of(values), brackets=tries, series=peak, budget=budget)
    openings = (("now", found.image_error), ("next time", found.as_used))
    seen = openings if found.erection_sd_mm else openings[:1]
    across = "image of infinity, mm"
    return (
        Section(
            title="Infinity",
            verdict=found.verdict or "",
            words=found.advice,
            pictures=(*drawn, *both(off_picture, list(seen), budget=budget, across=across)),
            rows=(
                Row("Sharpest at", show_reading(found.sharpest), found.sharpest.how),
                Row("True infinity", show_reading(found.true_infinity), _corrected(values)),
                Row("The stop is off", show_reading(found.error), _way(found.error.value or 0.0)),
                Row("At the next opening", show_reading(found.as_used), say_share(image, budget), found.verdict or ""),
                *_taken_out(found),
            ),
            asks=no_budget(budget),
            remarks=_remarks(found, peak),
            write=Choice("Write infinity to the job", "reading"),
        ),
        *_turned(found),
    )


def _corrected(values: Values) -> str:
    target = distance(values.text("target"), "target")
    told = [] if math.isinf(target) else [f"a target at {target / 1000:g} m"]
    told += ["the ground glass"] if values.maybe("glass") else []
    return f"corrected for {' and '.join(told)}" if told else "the target was at infinity"


def _way(error: float) -> str:
    return "too far out" if error > 0 else "too far in" if error < 0 else "right"


def _taken_out(found: InfinitySetting) -> tuple[Row, ...]:
    shim = found.shim.value or 0.0
    rows = [Row("Shim", f"{'add' if shim > 0 else 'take out'} {show_length(abs(shim))}", "under the whole lens")]
    if found.turn is not None and found.turn.value is not None:
        turn, u = found.turn.value, found.turn.standard_uncertainty
        about = "" if u is None else f" ± {u:.1f}"
        told = f"{'in' if turn > 0 else 'out'} by {abs(turn):.1f}{about}°"
        rows.insert(0, Row("Turn", told, f"{abs(found.turns or 0.0):.3f} turn"))
    return tuple(rows)


def _remarks(found: InfinitySetting, peak: SharpnessPeak | None) -> tuple[str, ...]:
    told = []
    if peak is not None and peak.doubtful:
        settings = ", ".join(f"{at:g} mm" for at in peak.doubtful)
        told.append(f"photographs that fit badly count little: at {settings}")
    if found.sharpest.standard_uncertainty is None:
        told.append("one estimate alone has no uncertainty: bracket it, and repeat it")
    if not found.erection_sd_mm:
        told.append("the scatter from one opening to the next is not in it: open and close the camera five times")
    return tuple(told)


def _turned(found: InfinitySetting) -> tuple[Section, ...]:
    if found.turn is None or not found.turn.value or found.verdict == "within":
        return ()
    return (
        Section(
            title="Once it is turned",
            words="look at infinity again: what was measured before counts as stale",
            write=Choice("Write: turned", "turn"),
        ),
    )


def write(asked: Asked, stage: Stage, choice: str) -> tuple[Entry, ...]:
    """Write the error with its proof, or the turn that was made."""
    found, _, _, _ = setting_of(asked.values)
    page = page_of(asked, stage)
    if choice == "turn":
        if found.turn is None or not found.turn.value:
            raise bad_input("lead", "there is no turn to write", "give the lead")
        return write_turn(page, found, adjuster="infinity stop")
    return write_infinity(page, found, budget_of(asked.values))


def how() -> How:
    """Say how infinity is looked for."""
    return How(
        steps=(
            "Open the camera, lock the struts, largest aperture, shutter held open.",
            "Lay a ground glass on the film rails, its ground side towards the lens, and press it flat.",
            "Look at something a kilometre away, or into a collimator, with a loupe.",
            "Focus in from one side until it just goes soft, then from the other; note both settings. Five times.",
            "Or photograph the glass with a telephone at six settings or more, both sides of the sharpest, all from "
            "one place with one zoom: the page Photographs measures them.",
        ),
        pictures=both(ground_glass),
        cautions=("never look at the sun through the lens, and do not leave it open towards the sun",),
    )


TASK = Task(
    path="infinity",
    name="Infinity",
    lead="Where the infinity stop stands, and how much to turn or shim, which way.",
    fields=fields,
    work_out=work_out,
    write=write,
    how=how,
)
