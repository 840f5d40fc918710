"""The tasks of the shape room, in the order of their tabs."""

from asfound.job import Job
from asfound.web.room import Task, TaskLink, own_page, room_router, tabs
from asfound.web.shape.fit import TASK as FIT
from asfound.web.shape.gap import TASK as GAP
from asfound.web.shape.opened import TASK as OPENED
from asfound.web.shape.photograph import TASK as PHOTOGRAPH
from asfound.web.shape.ring import TASK as RING
from asfound.web.shape.standard import TASK as STANDARD
from asfound.web.shape.stations import TASK as STATIONS

LEAKS = Task(path="leaks", name="Light leaks", lead="Spots of light through bellows or back.", work_out=own_page)
TASKS = (GAP, STATIONS, RING, PHOTOGRAPH, STANDARD, OPENED, FIT, LEAKS)
router = room_router("shape", TASKS)


def task_tabs(job: Job, path: str) -> tuple[TaskLink, ...]:
    """Return the tabs of the room as a page shows them that is not made of the room's form."""
    return tabs(job, "shape", TASKS, path)
