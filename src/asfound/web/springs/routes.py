"""The tasks of the springs' room, in the order of their tabs."""

from asfound.web.room import room_router
from asfound.web.springs.drawer import TASK as DRAWER
from asfound.web.springs.lever import TASK as LEVER
from asfound.web.springs.need import TASK as NEED
from asfound.web.springs.remedies import TASK as REMEDIES
from asfound.web.springs.straight import TASKS as STRAIGHT
from asfound.web.springs.torsion import TASK as TORSION
from asfound.web.springs.winding import TASK as WINDING
from asfound.web.springs.winding import router as winding_router

TASKS = (TORSION, LEVER, NEED, REMEDIES, WINDING, DRAWER, *STRAIGHT)
router = room_router("springs", TASKS)
router.include_router(winding_router)
