"""The tasks of the teardown room, in the order of their tabs."""

from asfound.web.room import room_router
from asfound.web.teardown.access import TASK as ACCESS
from asfound.web.teardown.drivers import TASK as DRIVERS
from asfound.web.teardown.freed import TASK as FREED
from asfound.web.teardown.ledger import TASK as LEDGER
from asfound.web.teardown.notes import TASK as NOTES
from asfound.web.teardown.notes import files_router
from asfound.web.teardown.reach import TASK as REACH
from asfound.web.teardown.screw import TASK as SCREW

TASKS = (NOTES, ACCESS, LEDGER, FREED, SCREW, REACH, DRIVERS)
router = room_router("teardown", TASKS)
router.include_router(files_router)
