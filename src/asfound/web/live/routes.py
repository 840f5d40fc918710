"""The routes of live firing, together."""

from fastapi import APIRouter

from asfound.web.live import page, socket

router = APIRouter()
for part in (page, socket):
    router.include_router(part.router)
