"""The tasks of the focus, in the order of their tabs."""

from asfound.job import Job
from asfound.web.focus.aperture import TASK as APERTURE
from asfound.web.focus.budget import TASK as BUDGET
from asfound.web.focus.datum import TASK as DATUM
from asfound.web.focus.effort import TASK as EFFORT
from asfound.web.focus.front_cell import TASK as FRONT_CELL
from asfound.web.focus.infinity import TASK as INFINITY
from asfound.web.focus.rangefinder import TASK as RANGEFINDER
from asfound.web.focus.scale import TASK as SCALE
from asfound.web.focus.spacers import TASK as SPACERS
from asfound.web.focus.start import TASK as START
from asfound.web.room import Task, TaskLink, own_page, room_router, tabs

PHOTOGRAPHS = Task(path="photos", name="Photographs", lead="Photographs of the ground glass.", work_out=own_page)
TASKS = (
    BUDGET,
    SCALE,
    START,
    DATUM,
    SPACERS,
    INFINITY,
    PHOTOGRAPHS,
    EFFORT,
    FRONT_CELL,
    RANGEFINDER,
    APERTURE,
)
router = room_router("focus", TASKS)


def task_tabs(job: Job, path: str) -> tuple[TaskLink, ...]:
    """Return the tabs of the room as a page shows them that is not made of the room's form."""
    return tabs(job, "focus", TASKS, path)
