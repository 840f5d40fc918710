"""What the routes work with: the book, the pool, and what the pages remember between two requests."""

import time
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Annotated

from fastapi import Depends, Request
from starlette.datastructures import FormData

from asfound.bench.pool import Pool
from asfound.book import Book
from asfound.web.codes import Codes
from asfound.web.memory import Memory
from asfound.web.settings import Settings


@dataclass(frozen=True, slots=True, kw_only=True)
class Desk:
    """Handed to every route; one to a server."""

    book: Book
    pool: Pool
    settings: Settings
    memory: Memory = field(default_factory=Memory)
    codes: Codes = field(default_factory=Codes)
    clock: Callable[[], float] = time.time

    def now_ms(self) -> int:
        """Return what the clock of the bench says: milliseconds since 1970, UTC."""
        return round(self.clock() * 1000)


def desk_of(request: Request) -> Desk:
    """Return the desk of the application that answers."""
    desk = request.app.state.desk
    assert isinstance(desk, Desk)
    return desk


async def typed_form(request: Request) -> FormData:
    """Return the form of the request, as typed."""
    return await request.form()


AtDesk = Annotated[Desk, Depends(desk_of)]
TypedForm = Annotated[FormData, Depends(typed_form)]
