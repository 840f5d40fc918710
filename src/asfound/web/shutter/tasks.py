"""The tasks of the shutter, in the order of their tabs."""

from asfound.job import Job
from asfound.web.room import Task, TaskLink, own_page, room_router, tabs
from asfound.web.shutter import stopped, sync, trim, why

DIAL = Task(path="", name="Dial", lead="Recordings, firings, and the dial.", work_out=own_page)
LIVE = Task(path="live", name="Fire live", lead="Each firing as it ends.", work_out=own_page)
TASKS = (DIAL, LIVE, why.TASK, trim.TASK, stopped.TASK, sync.TASK)
router = room_router("shutter", TASKS)


def task_tabs(job: Job, path: str) -> tuple[TaskLink, ...]:
    """Return the tabs of the room as a page shows them that is not made of the room's form."""
    return tabs(job, "shutter", TASKS, path)
