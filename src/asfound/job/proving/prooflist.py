"""The proof list of a job: what is to be proved of the camera, as found and as left, and how each thing stands."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from asfound.job.bodies import Camera, ProofLater
from asfound.job.job import Job, key
from asfound.job.proving.evidence import Evidence, Taken
from asfound.job.proving.wanted import Wanted, wanted_of
from asfound.quantity.tolerance import Tolerance

Standing = Literal["within", "outside", "cannot tell", "stale", "not applicable", "later", "open", "not said yet"]
BUDGET = "focus budget"


@dataclass(frozen=True, slots=True, kw_only=True)
class ProofLine:
    """One thing to be proved, and how it stands.

    Attributes
    ----------
    found, left : Taken or None
    differs : tuple of str
        In what the states as found and as left differ: such values are told, not compared.
    standing : str
        The verdict as left; or why there is none: "stale", "later" (put off), "open" (not taken), "not said yet"
        (nobody said whether the camera has it), "not applicable" (said not to have it).
    """

    wanted: Wanted
    found: Taken | None
    left: Taken | None
    differs: tuple[str, ...]
    standing: Standing
    put_off: str = ""

    @property
    def name(self) -> str:
        """By which a proof of it is written."""
        return self.wanted.name

    @property
    def settled(self) -> bool:
        """Whether nothing is left to be done about it: proved within, or said not to apply."""
        return self.standing in ("within", "not applicable")

    @property
    def tolerance(self) -> Tolerance | None:
        """What it is held to: as the latest reading was, else what is usual."""
        taken = [one.tolerance for one in (self.left, self.found) if one is not None and one.tolerance is not None]
        return taken[0] if taken else self.wanted.held_to


def proof_list(job: Job) -> tuple[ProofLine, ...]:
    """Return everything that is to be proved of a job's camera, then what was proved beside that."""
    budget = focus_budget_of(job)
    measured = [row.marked for table in job.tables for row in table.body.rows]
    wanted, evidence = wanted_of(job.camera, budget, measured), Evidence(job, budget)
    known = {key(name) for one in wanted for name in (one.name, *one.also)}
    others = [Wanted(name=name, group="other", plain=name) for name in evidence.names() if key(name) not in known]
    return tuple(_line(job, one, evidence) for one in (*wanted, *others))


def unsettled(lines: Iterable[ProofLine]) -> tuple[ProofLine, ...]:
    """Return what is neither proved within nor said not to apply."""
    return tuple(line for line in lines if not line.settled)


def line_called(lines: Iterable[ProofLine], name: str) -> ProofLine | None:
    """Return the line of a name, or of another name of the same thing."""
    lines = tuple(lines)
    own = next((line for line in lines if key(line.name) == key(name)), None)
    return own or next((line for line in lines if key(name) in map(key, line.wanted.also)), None)


def _line(job: Job, wanted: Wanted, evidence: Evidence) -> ProofLine:
    found, left = evidence.of(wanted, "as found"), evidence.of(wanted, "as left")
    put_off = _put_off(job, wanted, left)
    return ProofLine(
        wanted=wanted,
        found=None if found is not None and found.verdict == "not applicable" else found,
        left=left,
        differs=found.state.differences(left.state) if found is not None and left is not None else (),
        standing="later" if put_off is not None else _standing(wanted, found, left),
        put_off=put_off or "",
    )


def _standing(wanted: Wanted, found: Taken | None, left: Taken | None) -> Standing:
    if left is None:
        return "not said yet" if wanted.asks and found is None else "open"
    return "stale" if left.stale_by is not None else left.verdict


def _put_off(job: Job, wanted: Wanted, left: Taken | None) -> str | None:
    """Return why a thing was put off, where nothing was said of it since; None where it was not."""
    names = {key(wanted.name)}
    latest: str | None = None
    for entry in job.live:
        if isinstance(entry.body, ProofLater) and key(entry.body.what) in names:
            latest = entry.body.text
        elif left is not None and entry.id == left.entry:
            latest = None
    return latest


def focus_budget_of(job: Job) -> Tolerance | None:
    """Return the focus budget both ways: as last written down in the job, else from the camera's particulars."""
    said = [kept.body.reading for kept in job.readings if key(kept.body.quantity) == BUDGET]
    if said and said[-1].value is not None and said[-1].unit == "mm":
        half, source = said[-1].value, f"focus budget, {said[-1].how or 'as written down'}"
    else:
        half, source = _budget_of_camera(job.camera)
    if not half:
        return None
    return Tolerance(unit="mm", source=source, lower=-half, upper=half)


def _budget_of_camera(camera: Camera) -> tuple[float, str]:
    if camera.largest_aperture is None or not camera.film_format:
        return 0.0, ""
    from asfound.focus.budget import find_format, format_budget  # only here: it brings SciPy
    from asfound.problems import BadInputError

    try:
        budget = format_budget(f_number=camera.largest_aperture, frame=find_format(camera.film_format))
    except BadInputError:
        return 0.0, ""
    frame = f"nominal frame {camera.film_format} (common practice, no source)"
    return round(budget.half_width_mm, 4), f"focus budget at f/{budget.f_number:g}, {frame}"
