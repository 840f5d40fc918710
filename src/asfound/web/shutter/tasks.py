"""The tasks of the shutter, in the order of their tabs."""

from asfound.job import Job
from asfound.web.room import Asked, Section, Task, TaskLink, room_router
from asfound.web.shutter import stopped, sync, trim, why


def _nothing(_asked: Asked) -> tuple[Section, ...]:
    """Return no section: the dial and live firing have pages of their own."""
    return ()


DIAL = Task(path="", name="Dial", lead="Recordings, firings, and the dial.", work_out=_nothing)
LIVE = Task(path="live", name="Fire live", lead="Each firing as it ends.", work_out=_nothing)
TASKS = (DIAL, LIVE, why.TASK, trim.TASK, stopped.TASK, sync.TASK)
router = room_router("shutter", TASKS)


def task_tabs(job: Job, path: str) -> tuple[TaskLink, ...]:
    """Return the tabs of the room as a page shows them that is not made of the room's form."""
    href = f"/job/{job.id}/shutter"
    return tuple(TaskLink(f"{href}/{one.path}".rstrip("/"), one.name, one.path == path) for one in TASKS)
