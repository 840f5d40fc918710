"""The tasks of the focus, in the order of their tabs."""

from asfound.web.focus.budget import TASK as BUDGET
from asfound.web.room import room_router

TASKS = (BUDGET,)
router = room_router("focus", TASKS)
