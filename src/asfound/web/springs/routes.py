"""The tasks of the springs' room, in the order of their tabs."""

from asfound.web.room import room_router
from asfound.web.springs.torsion import TASK as TORSION

TASKS = (TORSION,)
router = room_router("springs", TASKS)
