"""The routes of live firing, together; when the server ends, the sessions under way are closed and stay on the disk."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from fastapi import APIRouter, FastAPI

from asfound.web.live import page, socket


@asynccontextmanager
async def _close_at_the_end(app: FastAPI) -> AsyncIterator[None]:
    yield
    app.state.desk.memory.live.close()


router = APIRouter(lifespan=_close_at_the_end)
for part in (page, socket):
    router.include_router(part.router)
