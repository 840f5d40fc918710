"""Service notes that write themselves: what all cameras of one model together tell."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from asfound.job.job import key
from asfound.job.observed_order import PartialOrder, partial_order
from asfound.job.observed_readings import ReadingNote, reading_notes
from asfound.job.observing import CameraSeen, StepSeen
from asfound.teardown.fastener import FastenerGroup
from asfound.teardown.robust import robust_mean_and_spread


@dataclass(frozen=True, slots=True)
class FastenerNote:
    """One sort of fastener of a part: on how many cameras there were how many of it."""

    sort: str
    counts: tuple[tuple[int, int], ...]

    def __str__(self) -> str:
        if len(self.counts) == 1:
            return f"{self.counts[0][0]} × {self.sort}"
        seen = ", ".join(f"{count} on {cameras}" for count, cameras in self.counts)
        return f"{self.sort}: {seen} cameras"


@dataclass(frozen=True, slots=True, kw_only=True)
class PartNote:
    """One part of the model, in the order it comes off.

    Attributes
    ----------
    after : tuple of str
        Parts that come off before it; those that these in turn need are not repeated.
    minutes : float or None
        Robust mean of the cameras where it was timed.
    tools, poses, held_by : tuple of (str, int)
        What worked, with the number of cameras, the most frequent first.
    """

    part: str
    action: str
    cameras: int
    after: tuple[str, ...]
    assumed: bool
    fasteners: tuple[FastenerNote, ...]
    tools: tuple[tuple[str, int], ...]
    poses: tuple[tuple[str, int], ...]
    held_by: tuple[tuple[str, int], ...]
    minutes: float | None
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FaultNote:
    """A fault: on how many cameras, and what caused it on how many."""

    fault: str
    cameras: int
    gone: int
    causes: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ServiceNotes:
    """What a service manual would have told, as found on so many cameras."""

    model: str
    cameras: int
    parts: tuple[PartNote, ...]
    order: PartialOrder
    readings: tuple[ReadingNote, ...]
    faults: tuple[FaultNote, ...]
    dead_ends_left_out: int

    @property
    def tools(self) -> tuple[str, ...]:
        """Every tool that worked, the most used first: to be laid ready before starting."""
        counts = Counter[str]()
        for part in self.parts:
            counts.update(dict(part.tools))
        return tuple(tool for tool, _ in counts.most_common())


def service_notes(model: str, cameras: Iterable[CameraSeen]) -> ServiceNotes:
    """Return what the cameras of one model together tell.

    Parameters
    ----------
    model : str
        Its name where there is no camera yet; else as most of them write it.
    cameras : iterable of CameraSeen
        Each camera once (see `merged`).
    """
    seen = tuple(cameras)
    order = partial_order(seen)
    by_part: dict[str, list[StepSeen]] = defaultdict(list)
    for camera in seen:
        first = {key(step.part): step for step in reversed(camera.steps)}
        for name, step in first.items():
            by_part[name].append(step)
    return ServiceNotes(
        model=_ranked(camera.model for camera in seen)[0][0] if seen else model,
        cameras=len(seen),
        parts=tuple(_part(name, by_part[name], order) for name in order.parts),
        order=order,
        readings=reading_notes(seen),
        faults=_faults(seen),
        dead_ends_left_out=sum(camera.dead_ends_left_out for camera in seen),
    )


def _part(name: str, steps: Sequence[StepSeen], order: PartialOrder) -> PartNote:
    minutes = [step.minutes for step in steps if step.minutes is not None]
    return PartNote(
        part=order.names[name],
        action=_ranked(step.action for step in steps)[0][0],
        cameras=len(steps),
        after=tuple(order.names[before] for before in order.just_before[name]),
        assumed=all(step.freed_by is None for step in steps),
        fasteners=_fasteners([step.fasteners for step in steps]),
        tools=_ranked(step.tool for step in steps),
        poses=_ranked(step.pose for step in steps),
        held_by=_ranked(step.held_by for step in steps),
        minutes=robust_mean_and_spread(minutes)[0] if minutes else None,
        notes=tuple(text for text, _ in _ranked(step.note for step in steps)[:3]),
    )


def _ranked(texts: Iterable[str]) -> tuple[tuple[str, int], ...]:
    """Return each text with its number, the most frequent first; case and spacing do not count, nothing is left out."""
    counts, names = Counter[str](), dict[str, str]()
    for text, count in Counter(filter(None, texts)).items():  # in the order first told
        counts[key(text)] += count
        names.setdefault(key(text), text)
    return tuple((names[name], count) for name, count in sorted(counts.items(), key=lambda row: (-row[1], row[0])))


def _fasteners(cameras: Sequence[tuple[FastenerGroup, ...]]) -> tuple[FastenerNote, ...]:
    """Return each sort with how many of it there were on how many of the cameras where any fastener was told."""
    told = [groups for groups in cameras if groups]
    sorts: dict[FastenerGroup, str] = {}
    counts: dict[str, Counter[int]] = defaultdict(Counter)
    for groups in told:
        here = Counter[str]()
        for group in groups:
            if group not in sorts:
                sorts[group] = group.sort
            here[sorts[group]] += group.count
        for sort, count in here.items():
            counts[sort][count] += 1
    return tuple(
        FastenerNote(sort, tuple(sorted(by_count.items(), key=lambda row: (-row[1], row[0]))))
        for sort, by_count in sorted(counts.items())
    )


def _faults(cameras: Sequence[CameraSeen]) -> tuple[FaultNote, ...]:
    names: dict[str, str] = {}
    number, gone = Counter[str](), Counter[str]()
    causes: dict[str, list[str]] = defaultdict(list)
    for camera in cameras:
        for fault in {key(fault.fault): fault for fault in camera.faults}.values():
            name = key(fault.fault)
            names.setdefault(name, fault.fault)
            number[name] += 1
            gone[name] += fault.gone
            causes[name] += fault.causes
    ranked = sorted(number.items(), key=lambda row: (-row[1], row[0]))
    return tuple(FaultNote(names[name], count, gone[name], _ranked(causes[name])) for name, count in ranked)


def next_parts(notes: ServiceNotes, off: Iterable[str]) -> tuple[PartNote, ...]:
    """Return the parts that can come off next on another camera of the model, those that mostly did first."""
    done = {key(name) for name in off}
    return tuple(
        part for part in notes.parts if key(part.part) not in done and set(notes.order.before[key(part.part)]) <= done
    )
