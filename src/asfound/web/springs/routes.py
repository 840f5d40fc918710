"""The tasks of the springs' room, in the order of their tabs."""

from asfound.web.room import room_router
from asfound.web.springs.lever import TASK as LEVER
from asfound.web.springs.need import TASK as NEED
from asfound.web.springs.torsion import TASK as TORSION

TASKS = (TORSION, LEVER, NEED)
router = room_router("springs", TASKS)
