"""What speaks of a proof: the latest reading, dial table or proof of it at a stage, with the state it was taken in."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal
from uuid import UUID

from asfound.job.bodies import InstrumentWrong, Proof, ReadingTaken, ShutterTable, SpeedRow
from asfound.job.job import Job, Kept, key
from asfound.job.proving.wanted import Wanted
from asfound.quantity import CameraState, Reading, counted, show_time
from asfound.quantity.conformity import conformity
from asfound.quantity.tolerance import Tolerance

Said = Literal["within", "outside", "cannot tell", "not applicable"]
Side = Literal["as found", "as left"]
NO_TOLERANCE = "no tolerance was given"
CORNERS = ("top left", "top right", "bottom right", "bottom left")
_WORST_FIRST: tuple[Said, ...] = ("outside", "cannot tell", "within", "not applicable")


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """What was taken or said of one thing at one stage.

    Attributes
    ----------
    verdict : {"within", "outside", "cannot tell", "not applicable"}
    guard : float or None
        How far inside its tolerance the value had to lie, in its unit.
    risk : float or None
        The chance that a value found within is in truth outside; None where not accepted, or not known.
    time_s : float or None
        Of a speed, the mean of its shots.
    judged : bool
        Whether there was anything to judge it by.
    stale_by : UUID or None
        The entry that took its ground away.
    read_wrongly : str
        The instrument that this entry says had read wrongly; "" where a part was touched.
    """

    entry: UUID
    verdict: Said
    state: CameraState
    made_ms: int
    reading: Reading | None = None
    tolerance: Tolerance | None = None
    guard: float | None = None
    risk: float | None = None
    instrument: str = ""
    text: str = ""
    time_s: float | None = None
    stale_by: UUID | None = None
    judged: bool = True
    read_wrongly: str = ""


class Evidence:
    """Everything measured or proved in a job, findable by name."""

    __slots__ = ("_place", "_proofs", "_readings", "_tables", "_wrong", "budget")

    def __init__(self, job: Job, budget: Tolerance | None) -> None:
        self.budget = budget
        self._place = {entry.id: place for place, entry in enumerate(job.entries)}
        self._tables = job.tables
        self._wrong = {e.id: e.body.instrument for e in job.live if isinstance(e.body, InstrumentWrong)}
        self._proofs: dict[str, list[Kept[Proof]]] = {}
        for proof in job.proofs:
            self._proofs.setdefault(key(proof.body.what), []).append(proof)
        self._readings: dict[str, list[Kept[ReadingTaken]]] = {}
        for reading in job.readings:
            self._readings.setdefault(key(reading.body.quantity), []).append(_as_well_as_it_reads(job, reading))

    def of(self, wanted: Wanted, side: Side) -> Taken | None:
        """Return what counts for a thing: what bears its own name before what speaks of several, the latest of each.

        What is stale counts only where nothing fresh does; a bare number that nothing judges, only where nothing else.
        """
        own, shared = self._own(wanted, side), self._proof(wanted.also, side)
        for good in (_fresh_and_judged, _judged, _any):
            found = next((taken for taken in (own, shared) if taken is not None and good(taken)), None)
            if found is not None:
                return replace(found, read_wrongly=self._wrong.get(found.stale_by, "")) if found.stale_by else found
        return None

    def names(self) -> tuple[str, ...]:
        """Return every name that a proof was written by, as first written."""
        return tuple(proofs[0].body.what for proofs in self._proofs.values())

    def _own(self, wanted: Wanted, side: Side) -> Taken | None:
        found = [
            self._proof((wanted.name,), side),
            self._speed(wanted, side),
            *(self._reading(quantity, place, wanted.held_to, side) for quantity, place in wanted.readings),
            self._corners(side) if wanted.name == "parallelism" else None,
        ]
        taken = [one for one in found if one is not None]
        return max(taken, key=lambda one: (one.judged, self._place[one.entry]), default=None)

    def _proof(self, names: Iterable[str], side: Side) -> Taken | None:
        kept = [
            proof
            for name in names
            for proof in self._proofs.get(key(name), ())
            if (proof.body.stage == "as found") is (side == "as found") or proof.body.verdict == "not applicable"
        ]
        return _of_proof(max(kept, key=lambda proof: self._place[proof.entry])) if kept else None

    def _speed(self, wanted: Wanted, side: Side) -> Taken | None:
        if not wanted.name.startswith("speed "):
            return None
        mark = key(wanted.name.removeprefix("speed "))
        rows = [
            (table, row)
            for table in self._tables
            if table.body.stage == side
            for row in table.body.rows
            if key(row.marked) == mark
        ]
        if not rows:
            return None
        return _of_row(*(rows[0] if side == "as found" else rows[-1]))

    def _reading(self, quantity: str, place: str | None, held_to: Tolerance | None, side: Side) -> Taken | None:
        """Return the reading of a quantity; of several places, the worst."""
        places = self._at_places(quantity, side)
        kept = places.values() if place is None else [kept for at, kept in places.items() if at == key(place)]
        return worst([_of_reading(one, held_to) for one in kept])

    def _at_places(self, quantity: str, side: Side) -> dict[str, Kept[ReadingTaken]]:
        """Return the readings of a quantity by the keys of their places: the first as found, the last as left."""
        kept = [one for one in self._readings.get(key(quantity), ()) if one.body.stage == side]
        return {key(one.body.place): one for one in (reversed(kept) if side == "as found" else kept)}

    def _corners(self, side: Side) -> Taken | None:
        """Return how much the depth differs between the four corners, held to the budget on both sides."""
        latest = self._at_places("corner depth", side)
        if set(latest) != set(CORNERS):
            return None
        depths = [kept.body.reading.value for kept in latest.values()]
        if None in depths or {kept.body.reading.unit for kept in latest.values()} != {"mm"}:
            return None
        known = [float(depth) for depth in depths if depth is not None]
        us = [kept.body.reading.standard_uncertainty for kept in latest.values()]
        u = math.hypot(*sorted(one for one in us if one is not None)[-2:]) if None not in us else None
        last = max(latest.values(), key=lambda kept: self._place[kept.entry])
        reading = Reading(
            value=max(known) - min(known), unit="mm", standard_uncertainty=u or None,
            how="largest less smallest of four corner depths",
        )  # fmt: skip
        held_to = _corner_to_corner(self.budget)
        body = last.body.model_copy(update={"reading": reading, "place": "", "tolerance": held_to})
        stale = next((kept.stale_by for kept in latest.values() if kept.stale_by is not None), None)
        return _of_reading(Kept(last.entry, body, last.state, last.made_at, stale), None)


def _as_well_as_it_reads(job: Job, kept: Kept[ReadingTaken]) -> Kept[ReadingTaken]:
    """Return a reading that brings no uncertainty with that of its instrument, where the job knows it."""
    body, reading = kept.body, kept.body.reading
    instrument = next((one for one in job.instruments if key(one.name) == key(body.instrument)), None)
    known = instrument is not None and instrument.standard_uncertainty and instrument.unit == reading.unit
    if not known or reading.value is None or reading.standard_uncertainty or reading.lower is not None:
        return kept
    assert instrument is not None
    better = replace(reading, standard_uncertainty=instrument.standard_uncertainty)
    return replace(kept, body=body.model_copy(update={"reading": better}))


def _corner_to_corner(budget: Tolerance | None) -> Tolerance | None:
    if budget is None or budget.upper is None:
        return None
    return Tolerance(unit="mm", source=f"corner to corner, twice the {budget.source}", upper=2 * budget.upper)


def _fresh_and_judged(taken: Taken) -> bool:
    return taken.judged and taken.stale_by is None


def _judged(taken: Taken) -> bool:
    return taken.judged


def _any(_taken: Taken) -> bool:
    return True


def worst(taken: Sequence[Taken]) -> Taken | None:
    """Return the one that speaks for all: a stale one before any, then the worst verdict, then the greatest risk."""
    if not taken:
        return None
    return min(taken, key=lambda one: (one.stale_by is None, _WORST_FIRST.index(one.verdict), -(one.risk or 0.0)))


def _of_proof(kept: Kept[Proof]) -> Taken:
    body = kept.body
    guard, risk = None, None
    if body.reading is not None and body.tolerance is not None and body.reading.unit == body.tolerance.unit:
        found = conformity(body.reading, body.tolerance)
        guard, risk = found.guard, found.consumers_risk if body.verdict == "within" else None
    how = body.reading.how if body.reading is not None else ""
    return Taken(
        entry=kept.entry, verdict=body.verdict, state=kept.state, made_ms=kept.made_at.wall_ms, reading=body.reading,
        tolerance=body.tolerance, guard=guard, risk=risk, instrument=body.instrument or how,
        text=body.text, stale_by=None if body.verdict == "not applicable" else kept.stale_by,
    )  # fmt: skip


def _of_reading(kept: Kept[ReadingTaken], held_to: Tolerance | None) -> Taken:
    body = kept.body
    tolerance = body.tolerance or held_to
    if tolerance is not None and tolerance.unit == body.reading.unit:
        found = conformity(body.reading, tolerance)
        return _taken(kept, tolerance, found.verdict, found.guard, found.consumers_risk)
    return _taken(kept, None, "cannot tell", None, None)


def _taken(
    kept: Kept[ReadingTaken], tolerance: Tolerance | None, verdict: Said, guard: float | None, risk: float | None
) -> Taken:
    body = kept.body
    return Taken(
        entry=kept.entry, verdict=verdict, state=kept.state, made_ms=kept.made_at.wall_ms, reading=body.reading,
        tolerance=tolerance, guard=guard, risk=risk, instrument=body.instrument or body.reading.how,
        text=body.place if tolerance is not None else "; ".join(word for word in (body.place, NO_TOLERANCE) if word),
        stale_by=kept.stale_by, judged=tolerance is not None,
    )  # fmt: skip


def _of_row(kept: Kept[ShutterTable], row: SpeedRow) -> Taken:
    """Return a speed of a dial table with the verdict it was given there, by its own 95 % interval."""
    limit, shots = row.tolerance_stops, len(row.times_s)
    return Taken(
        entry=kept.entry, verdict=row.verdict, state=kept.state, made_ms=kept.made_at.wall_ms,
        reading=Reading(value=row.error_stops, unit="stop", standard_uncertainty=row.u_error_stops),
        tolerance=Tolerance(unit="stop", source=kept.body.tolerance_source, lower=-limit, upper=limit),
        text=f"{show_time(row.mean_s, row.mean_s / 100)}, {counted(shots, 'shot')}",
        instrument=kept.body.instrument, time_s=row.mean_s, stale_by=kept.stale_by,
    )  # fmt: skip
