"""The routes of the shape room, together: the page of the light leaks stands before the room's form."""

from fastapi import APIRouter

from asfound.web.shape import leaks, tasks
from asfound.web.shape.photograph import target_router

router = APIRouter()
for part in (leaks.router, tasks.router, target_router):
    router.include_router(part)
