"""The tasks of the shutter, in the order of their tabs."""

from asfound.job import Job
from asfound.web.room import Asked, Section, Task, TaskLink, room_router
from asfound.web.shutter import stopped, sync, trim, why


def _nothing(_asked: Asked) -> tuple[Section, ...]:
    """Return no section: the page of the recordings and the dial is not made of the room's form."""
    return ()


DIAL = Task(path="", name="Dial", lead="Recordings, firings, and the dial.", work_out=_nothing)
TASKS = (DIAL, why.TASK, trim.TASK, stopped.TASK, sync.TASK)
router = room_router("shutter", TASKS)


def dial_tabs(job: Job) -> tuple[TaskLink, ...]:
    """Return the tabs of the room as the page of the dial shows them."""
    href = f"/job/{job.id}/shutter"
    return tuple(TaskLink(f"{href}/{one.path}".rstrip("/"), one.name, one is DIAL) for one in TASKS)
