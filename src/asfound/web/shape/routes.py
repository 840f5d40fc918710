"""The tasks of the shape room, in the order of their tabs."""

from fastapi import APIRouter

from asfound.web.room import room_router
from asfound.web.shape import leaks
from asfound.web.shape.fit import TASK as FIT
from asfound.web.shape.gap import TASK as GAP
from asfound.web.shape.leaks import TASK as LEAKS
from asfound.web.shape.opened import TASK as OPENED
from asfound.web.shape.photograph import TASK as PHOTOGRAPH
from asfound.web.shape.photograph import target_router
from asfound.web.shape.ring import TASK as RING
from asfound.web.shape.standard import TASK as STANDARD
from asfound.web.shape.stations import TASK as STATIONS

TASKS = (GAP, STATIONS, RING, PHOTOGRAPH, STANDARD, OPENED, FIT, LEAKS)
router = APIRouter()
# The leaks are searched in the pool, so their page is not made of the room's form; it stands before it.
router.include_router(leaks.router)
router.include_router(room_router("shape", TASKS))
router.include_router(target_router)
