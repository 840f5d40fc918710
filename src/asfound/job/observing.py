"""What one job tells of its model: steps, fasteners, readings, faults; no owner, and no serial unless asked."""

import hashlib
import re
from collections.abc import Iterable
from dataclasses import replace
from typing import Literal
from uuid import UUID

from pydantic import Field

from asfound.job.bodies import Body, ExpectationOutcome, Name, Sha256, Short, Stage, StepTaken, Text, Tick
from asfound.job.job import FaultNow, Job, key
from asfound.job.minutes import step_minutes
from asfound.quantity import Reading
from asfound.teardown.fastener import FastenerGroup
from asfound.teardown.step import Step

# Words of the trade that a short serial may happen to be a part of, and that never hold one.
_NO_TEXT = frozenset({"thread", "what", "head", "drive", "unit", "action", "stage"})
FORMAT: Literal["asfound service notes"] = "asfound service notes"


class StepSeen(Body):
    """A step as it was on one camera; `freed_by` counts the steps of this camera from 0, null: nobody said.

    Where nobody said, all steps before it are assumed to have freed it, but for those in `not_by`.
    """

    part: Name
    action: Literal["off", "slackened", "spacer"] = "off"
    turns: float | None = Field(default=None, gt=0, lt=200)
    fasteners: tuple[FastenerGroup, ...] = ()
    held_by: Short = ""
    freed_by: tuple[int, ...] | None = None
    not_by: tuple[int, ...] = ()
    tool: Short = ""
    pose: Short = ""
    minutes: float | None = Field(default=None, ge=0)
    note: Text = ""


class ReadingSeen(Body):
    """A reading on one camera, with the state it was taken in."""

    quantity: Name
    place: Short = ""
    stage: Stage = "as found"
    reading: Reading


class FaultSeen(Body):
    """A fault of one camera: what was held to cause it, and whether it was proved gone."""

    fault: Name
    causes: tuple[Text, ...] = ()
    gone: bool = False


class PhotoSeen(Body):
    """A photograph, only where it was asked for; `content` is its file in base 64."""

    caption: Text = ""
    sha256: Sha256
    media_type: Name
    content: str = ""


class CameraSeen(Body):
    """One camera of the model; `camera` is an opaque name, the same whenever it is told of again."""

    camera: Sha256
    maker: Short = ""
    model: Name
    serial: Short = ""
    steps: tuple[StepSeen, ...] = ()
    readings: tuple[ReadingSeen, ...] = ()
    faults: tuple[FaultSeen, ...] = ()
    dead_ends_left_out: int = Field(default=0, ge=0)
    photos: tuple[PhotoSeen, ...] = ()


class NotesFile(Body):
    """The open file that service notes are exchanged in."""

    format: Literal["asfound service notes"] = FORMAT
    version: Literal[1] = 1
    model: Name
    cameras: tuple[CameraSeen, ...]


def camera_name(job: UUID) -> str:
    """Return the opaque name of a job's camera, from which the job cannot be told."""
    return hashlib.sha256(f"{FORMAT} {job}".encode()).hexdigest()


def observe(job: Job, *, serials: bool = False) -> CameraSeen:
    """Return what a job tells of its model; the camera's serial is blotted out of every text unless asked for.

    Dead ends, a part taken off in a wrong expectation and put back at once, stay in the job; only their number is
    told.
    """
    dead = dead_ends(job)
    steps = [step for step in job.steps if step.id not in dead]
    minutes = step_minutes(job)
    place = {step.id: n for n, step in enumerate(steps)}
    seen = CameraSeen(
        camera=camera_name(job.id),
        maker=job.camera.maker,
        model=job.camera.model,
        serial=job.camera.serial,
        steps=tuple(_step(step, place, minutes.get(step.id)) for step in steps),
        readings=tuple(
            ReadingSeen(
                quantity=kept.body.quantity, place=kept.body.place, stage=kept.body.stage, reading=_with_state(job, n)
            )
            for n, kept in enumerate(job.readings)
        ),
        faults=tuple(map(_fault, job.faults)),
        dead_ends_left_out=len(dead),
    )
    return seen if serials else without_serial(seen)


def _with_state(job: Job, n: int) -> Reading:
    kept = job.readings[n]
    return replace(kept.body.reading, state=kept.state)


def _step(step: Step, place: dict[UUID, int], minutes: float | None) -> StepSeen:
    freed = None if step.freed_by is None else tuple(sorted(place[id_] for id_ in step.freed_by if id_ in place))
    return StepSeen(
        part=step.part,
        action=step.action,
        turns=step.turns,
        fasteners=step.fasteners,
        held_by=step.held_by,
        freed_by=freed,
        not_by=tuple(sorted(place[id_] for id_ in step.not_by if id_ in place)),
        tool=step.tool,
        pose=step.pose,
        minutes=minutes,
        note=step.note,
    )


def _fault(fault: FaultNow) -> FaultSeen:
    """Return a fault with its cause: what was decided or worked on, else what was suspected."""
    for stages in (("work", "decision"), ("suspected",)):
        causes = tuple(dict.fromkeys(text for stage, text, _ in fault.said if stage in stages and text))
        if causes:
            return FaultSeen(fault=fault.name, causes=causes, gone=not fault.open)
    return FaultSeen(fault=fault.name, gone=not fault.open)


def dead_ends(job: Job) -> frozenset[UUID]:
    """Return the steps that led nowhere: an expectation failed before the part was put back, with no step between."""
    found: set[UUID] = set()
    open_step: UUID | None = None
    part, failed = "", False
    for entry in job.live:
        body = entry.body
        if isinstance(body, ExpectationOutcome):
            failed = failed or not body.held
        elif isinstance(body, StepTaken) and body.action != "back":
            open_step, part, failed = entry.id, key(body.part), False
        elif isinstance(body, Tick | StepTaken):
            same = body.step == open_step if isinstance(body, Tick) else key(body.part) == part
            if open_step is not None and same and failed:
                found.add(open_step)
            open_step = None
    return frozenset(found)


def without_serial(seen: CameraSeen) -> CameraSeen:
    """Return what was seen without the serial, neither in its place nor inside any text."""
    serial = seen.serial.strip()
    if not serial:
        return seen
    # A serial is seldom written elsewhere. As JSON writes it, it may begin after the letter of an escape.
    if len(serial) > 2 and serial.isalnum() and not _pattern(serial).search(seen.model_dump_json(exclude={"serial"})):
        return seen.model_copy(update={"serial": ""})
    data = _blot(seen.model_dump(mode="json", exclude={"camera", "photos", "serial"}), _pattern(serial))
    assert isinstance(data, dict)
    return CameraSeen.model_validate({**data, "camera": seen.camera, "photos": seen.photos})


def _pattern(serial: str) -> re.Pattern[str]:
    """Return what a serial is found by: anywhere; one or two characters only as a word or number of their own."""
    written = re.escape(serial)
    return re.compile(written if len(serial) > 2 else rf"(?<![\w.,]){written}(?!\w|[.,]\d)", re.IGNORECASE)


def _blot(value: object, serial: re.Pattern[str]) -> object:
    if isinstance(value, str):
        return serial.sub("…", value)
    if isinstance(value, list):
        return [_blot(item, serial) for item in value]
    if isinstance(value, dict):
        return {name: item if name in _NO_TEXT else _blot(item, serial) for name, item in value.items()}
    return value


def merged(cameras: Iterable[CameraSeen]) -> tuple[CameraSeen, ...]:
    """Return each camera once; told of twice, the fuller telling stays. The order told does not matter."""
    best: dict[str, CameraSeen] = {}
    for seen in cameras:
        other = best.get(seen.camera)
        if other is None or _fullness(seen) > _fullness(other):
            best[seen.camera] = seen
    return tuple(best[name] for name in sorted(best))


def _fullness(seen: CameraSeen) -> tuple[int, int, int, str]:
    return len(seen.steps), len(seen.readings), len(seen.faults), seen.model_dump_json()
