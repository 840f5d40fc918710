"""The routes of the shutter, together: the page of the dial stands before the room's form, and is found first."""

from fastapi import APIRouter

from asfound.web.shutter import page, tasks, work

router = APIRouter()
for part in (page, work, tasks):
    router.include_router(part.router)
