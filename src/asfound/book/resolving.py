"""From what somebody types to the one job that is meant."""

import difflib
import re
from collections.abc import Sequence
from uuid import UUID

from sqlalchemy.engine import Connection

from asfound.book import lists
from asfound.book.lists import JobLine
from asfound.problems import ConflictError, NotFoundError, Problem

SHORTEST_PREFIX = 4


def resolve(connection: Connection, name: str) -> UUID:
    """Return the job with this ticket, id, or beginning of an id (four characters or more).

    Raises
    ------
    NotFoundError
        If there is none; the nearest tickets are offered.
    ConflictError
        If there are several.
    """
    found = lists.with_ticket(connection, name) or _by_id(connection, name.strip().lower())
    if len(found) > 1:
        raise _several(name, found)
    if not found:
        raise _none(name, lists.tickets(connection))
    return found[0].id


def next_ticket(connection: Connection) -> str:
    """Return the number after the highest ticket that is a plain number."""
    numbers = [int(ticket) for ticket in lists.tickets(connection) if re.fullmatch(r"[0-9]{1,9}", ticket)]
    return str(max(numbers, default=0) + 1)


def _by_id(connection: Connection, name: str) -> Sequence[JobLine]:
    if len(name) < SHORTEST_PREFIX or not re.fullmatch(r"[0-9a-f-]{1,36}", name):
        return ()
    plain = name.replace("-", "")
    parts = (plain[:8], plain[8:12], plain[12:16], plain[16:20], plain[20:])
    return lists.with_id_prefix(connection, "-".join(part for part in parts if part))


def _several(name: str, found: Sequence[JobLine]) -> ConflictError:
    listed = ", ".join(f"{line.id} ({line.camera})" for line in found[:5])
    return ConflictError(Problem("job", f"{name!r} may be any of {listed}", "give the whole id"))


def _none(name: str, tickets: Sequence[str]) -> NotFoundError:
    near = difflib.get_close_matches(name, tickets, n=3, cutoff=0.5)
    if near:
        remedy = f"nearest: {', '.join(near)}"
    elif tickets:
        remedy = f"the last tickets are {', '.join(tickets[-3:])}"
    else:
        remedy = "the book is empty; open a job first"
    return NotFoundError(Problem("job", f"there is no job {name!r}", remedy))
