"""The dial in the record: as found and as left side by side, and what has to be said beside them."""

from collections.abc import Iterable
from dataclasses import dataclass

from asfound.job import Job, Kept
from asfound.job.bodies import ShutterTable, SpeedRow
from asfound.report.saying import say_day, say_differences, say_state, say_stops, say_time
from asfound.report.still_open import dial_as_found, dial_as_left


@dataclass(frozen=True, slots=True)
class DialCell:
    """One speed at one stage."""

    measured: str
    shots: str
    error: str
    verdict: str


@dataclass(frozen=True, slots=True)
class DialRow:
    """One marked speed; None where it was not measured at that stage."""

    marked: str
    found: DialCell | None
    left: DialCell | None


@dataclass(frozen=True, slots=True)
class Dial:
    """The two tables as one, with their notes; no rows where neither was measured."""

    rows: tuple[DialRow, ...]
    notes: tuple[str, ...]
    left_is_stale: bool


def dial_record(job: Job) -> Dial:
    """Return the dial as found and as left, longest speed first."""
    found, left = dial_as_found(job), dial_as_left(job)
    return Dial(
        rows=_rows(found, left),
        notes=tuple(_notes(job, found, left)),
        left_is_stale=left is not None and left.stale_by is not None,
    )


def _rows(found: Kept[ShutterTable] | None, left: Kept[ShutterTable] | None) -> tuple[DialRow, ...]:
    befores, afters = _by_marked(found), _by_marked(left)
    reference = {row.marked: row.reference_s for row in (*befores.values(), *afters.values())}
    return tuple(
        DialRow(marked, _cell(befores.get(marked)), _cell(afters.get(marked)))
        for marked in sorted(reference, key=lambda marked: -reference[marked])
    )


def _by_marked(kept: Kept[ShutterTable] | None) -> dict[str, SpeedRow]:
    return {} if kept is None else {row.marked: row for row in kept.body.rows}


def _cell(row: SpeedRow | None) -> DialCell | None:
    if row is None:
        return None
    shots = f"{len(row.times_s)} {'shot' if len(row.times_s) == 1 else 'shots'}"
    spread = "" if row.spread_stops is None else f", spread {row.spread_stops:.2f}"
    return DialCell(say_time(row.mean_s), shots + spread, say_stops(row.error_stops, row.u_error_stops), row.verdict)


def _notes(job: Job, found: Kept[ShutterTable] | None, left: Kept[ShutterTable] | None) -> Iterable[str]:
    for name, kept in (("found", found), ("left", left)):
        if kept is None:
            yield f"No as-{name} table was measured."
            continue
        yield (
            f"As {name}: {say_day(kept.made_at)}; {say_state(kept.state)}; "
            f"tolerance {_tolerances(kept.body)}, source: {kept.body.tolerance_source or 'not given'}."
        )
        if kept.body.note:
            yield f"As {name}: {kept.body.note}"
    if found is not None and left is not None:
        difference = say_differences(found.state, left.state)
        if difference:
            yield f"As found and as left were not taken in the same state: {difference}."
    if left is not None and left.stale_by is not None:
        yield f"The table as left is stale: entry {job.number(left.stale_by)} touched what it depends on after it."


def _tolerances(table: ShutterTable) -> str:
    limits = sorted({row.tolerance_stops for row in table.rows})
    return ", ".join(f"± {limit:.2f}" for limit in limits) + " stop"
