"""The tasks of the focus, in the order of their tabs."""

from fastapi import APIRouter

from asfound.web.focus import photographs
from asfound.web.focus.aperture import TASK as APERTURE
from asfound.web.focus.budget import TASK as BUDGET
from asfound.web.focus.datum import TASK as DATUM
from asfound.web.focus.effort import TASK as EFFORT
from asfound.web.focus.front_cell import TASK as FRONT_CELL
from asfound.web.focus.infinity import TASK as INFINITY
from asfound.web.focus.photographs import TASK as PHOTOGRAPHS
from asfound.web.focus.rangefinder import TASK as RANGEFINDER
from asfound.web.focus.scale import TASK as SCALE
from asfound.web.focus.spacers import TASK as SPACERS
from asfound.web.focus.start import TASK as START
from asfound.web.room import room_router

TASKS = (
    BUDGET,
    SCALE,
    START,
    DATUM,
    SPACERS,
    INFINITY,
    PHOTOGRAPHS,
    EFFORT,
    FRONT_CELL,
    RANGEFINDER,
    APERTURE,
)
router = APIRouter()
# The photographs are uploaded, so their page is not made of the room's form; it stands before it.
router.include_router(photographs.router)
router.include_router(room_router("focus", TASKS))
