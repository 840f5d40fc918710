"""The tasks of the focus, in the order of their tabs."""

from asfound.web.focus.budget import TASK as BUDGET
from asfound.web.focus.datum import TASK as DATUM
from asfound.web.focus.effort import TASK as EFFORT
from asfound.web.focus.infinity import TASK as INFINITY
from asfound.web.focus.scale import TASK as SCALE
from asfound.web.focus.spacers import TASK as SPACERS
from asfound.web.focus.start import TASK as START
from asfound.web.room import room_router

TASKS = (BUDGET, SCALE, START, DATUM, SPACERS, INFINITY, EFFORT)
router = room_router("focus", TASKS)
