"""A bench that writes entries in memory, and jobs of an invented scenario for the papers."""

import uuid
from collections.abc import Callable, Sequence

import pytest

from asfound.job import Job, fold
from asfound.job.bodies import (
    AdjusterMoved,
    Attached,
    Body,
    Camera,
    Fault,
    HandedOver,
    Instrument,
    Mark,
    Opened,
    PartArrived,
    PartCondition,
    PartOrdered,
    Photo,
    Proof,
    ReadingTaken,
    ShutterTable,
    SpacerFound,
    SpeedRow,
    StateChanged,
    StepTaken,
    Struck,
)
from asfound.job.clock import Stamp
from asfound.job.entry import Entry
from asfound.quantity import CameraState, Reading
from asfound.quantity.tolerance import Tolerance
from asfound.teardown.fastener import FastenerGroup

JOB = uuid.UUID(int=7)
CAMERA = Camera(
    maker="Example Works",
    model="Practice Six",
    serial="004711",
    film_format="6 × 6 on 120",
    focal_length_mm=75,
    largest_aperture=3.5,
    marked_speeds=("1", "1/2", "1/5", "1/10", "1/25", "1/50", "1/100", "1/250"),
    marked_apertures=(3.5, 5.6, 8, 11, 16, 22),
    shutter_kind="leaf, behind the front cells",
    focusing_kind="front cell",
)


def entry_id(sequence: int) -> uuid.UUID:
    """Return the identifier of the entry written as the so-manieth."""
    return uuid.uuid5(JOB, str(sequence))


def job_of(bodies: Sequence[Body]) -> Job:
    """Fold bodies, written a minute apart from 2026-11-02."""
    start = 1_793_610_000_000
    return fold(
        Entry(
            id=entry_id(n),
            origin="bench-a",
            sequence=n,
            previous=None,
            clock=Stamp(start + 60_000 * n),
            job=JOB,
            body=body,
        )
        for n, body in enumerate(bodies, start=1)
    )


def speed(marked: str, reference_s: float, error: float, u: float, verdict: str) -> SpeedRow:
    mean_s = reference_s * 2**error
    return SpeedRow(
        marked=marked,
        reference_s=reference_s,
        times_s=(mean_s * 0.97, mean_s, mean_s * 1.03),
        mean_s=mean_s,
        spread_stops=0.09,
        error_stops=error,
        u_error_stops=u,
        tolerance_stops=1 / 3,
        verdict=verdict,
    )


SPEEDS = (
    ("1", 1.0),
    ("1/2", 0.5),
    ("1/5", 0.2),
    ("1/10", 0.1),
    ("1/25", 0.04),
    ("1/50", 0.02),
    ("1/100", 0.01),
    ("1/250", 0.004),
)


def table(stage: str, errors: Sequence[float], verdicts: Sequence[str]) -> ShutterTable:
    rows = tuple(
        speed(marked, reference_s, error, 0.03, verdict)
        for (marked, reference_s), error, verdict in zip(SPEEDS, errors, verdicts, strict=True)
    )
    return ShutterTable(stage=stage, rows=rows, tolerance_source="a third of a stop, agreed with the owner")


def height(value: float, u: float, stage: str, *, restore: bool = False) -> ReadingTaken:
    return ReadingTaken(
        quantity="front standard height",
        place="top left",
        reading=Reading(value=value, unit="mm", standard_uncertainty=u, how="three tries"),
        instrument="depth gauge",
        stage=stage,
        depends_on=("front standard",),
        restore=restore,
        tolerance=Tolerance(unit="mm", lower=12.30, upper=12.40, source="as found, focus budget"),
    )


OPENED = Opened(ticket="T-014", camera=CAMERA, complaint="The slow speeds hang, and pictures are soft at infinity.")

# Twenty-five entries: everything that the report has a place for.
FULL: tuple[Body, ...] = (
    OPENED,
    Fault(fault="slow speeds", text="One second takes nearly three; the whirr stops half way."),
    Fault(fault="slow speeds", stage="suspected", text="Dried grease in the retard train."),
    StateChanged(state=CameraState(aperture=3.5, shutter="cocked", struts="locked")),
    table("as found", (1.4, 1.1, 0.9, 0.7, 0.5, 0.45, 0.3, 0.9), ("outside",) * 6 + ("cannot tell", "outside")),
    height(12.35, 0.010, "as found", restore=True),
    StepTaken(
        action="off",
        part="front name plate",
        fasteners=(FastenerGroup(count=3, thread="M1.4", length_mm=3.5, head="cheese"),),
        lies="tray cell 1",
    ),
    StepTaken(action="off", part="retard train", lies="tray cell 2", note="its spring is under load"),
    SpacerFound(
        name="shim",
        thickness=Reading(value=0.12, unit="mm", standard_uncertainty=0.005),
        between=("retard train", "shutter plate"),
        belongs_after=entry_id(8),
        late=True,
    ),
    Mark(part="front cell", text="red dot to the screw at two o'clock"),
    PartCondition(part="retard train", condition="soaking", using="naphtha"),
    PartCondition(part="retard train", condition="lubricated", using="watch oil on the pallet pivots"),
    PartOrdered(part="pallet spring", where="the spring maker in the next town"),
    PartArrived(part="pallet spring"),
    Fault(fault="slow speeds", stage="work", text="Retard train washed, dried, oiled at its pivots."),
    AdjusterMoved(
        adjuster="pallet engagement", direction="deeper", amount="1/8 turn", before="two dots", after="one dot"
    ),
    StepTaken(action="back", part="shim"),
    StepTaken(action="back", part="retard train"),
    StepTaken(action="back", part="front name plate"),
    StateChanged(state=CameraState(aperture=8)),
    table(
        "as left",
        (0.10, 0.05, -0.10, 0.15, 0.12, 0.20, 0.30, 0.45),
        ("within",) * 6 + ("cannot tell", "outside"),
    ),
    height(12.36, 0.010, "as left"),
    Proof(
        what="infinity focus",
        verdict="within",
        reading=Reading(value=0.02, unit="mm", standard_uncertainty=0.008),
        tolerance=Tolerance(unit="mm", lower=-0.09, upper=0.09, source="half the focus budget at f/3.5"),
        text="ground glass against the far church tower",
    ),
    Proof(what="flash sync", verdict="not applicable"),
    Fault(fault="slow speeds", stage="proof", text="Thirty firings at one second without a stop."),
    Instrument(name="depth gauge", sort="depth gauge", standard_uncertainty=0.01, unit="mm"),
    Photo(
        attachment=Attached(sha256="a" * 64, name="plate.jpg", media_type="image/jpeg", size=1),
        caption="The name plate before it came off",
        step=entry_id(7),
    ),
    Fault(fault="a slip of the pen", text="not this camera"),
    Struck(entry=entry_id(28)),
)  # fmt: skip


@pytest.fixture
def write() -> Callable[[Sequence[Body]], Job]:
    return job_of


@pytest.fixture
def full_job() -> Job:
    return job_of(FULL)


@pytest.fixture
def handed_over_job() -> Job:
    why = "The owner wants it for a journey and knows of the fastest speed."
    return job_of([*FULL, HandedOver(text="Fetched by the owner.", why_open=why)])


@pytest.fixture
def bare_job() -> Job:
    return job_of([Opened(ticket="T-015", camera=Camera(model="Practice Six"))])
