"""The routes of the focus, together: the page of the photographs stands before the room's form, and is found first."""

from fastapi import APIRouter

from asfound.web.focus import photographs, tasks

router = APIRouter()
for part in (photographs, tasks):
    router.include_router(part.router)
