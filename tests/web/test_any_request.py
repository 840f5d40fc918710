"""Whatever a program sends to a route, as its own description allows or forbids it: an answer, never a failure."""

from typing import Any
from urllib.parse import quote

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from schemathesis.generation import GenerationMode

from asfound.book import Book
from asfound.web.app import create_app
from asfound.web.desk import Desk
from asfound.web.settings import Settings

SETTINGS = Settings(secret=b"only for the tests" * 2)


def description() -> dict[str, Any]:
    """Return what the application says of its routes; no desk stands behind it."""
    return create_app(Desk(book=None, pool=None, settings=SETTINGS)).openapi()  # type: ignore[arg-type]


SCHEMA = schemathesis.openapi.from_dict(description())
OPERATIONS = {f"{found.ok().method} {found.ok().path}": found.ok() for found in SCHEMA.get_all_operations()}
TYPED = sorted(name for name in OPERATIONS if " /api" in name)
# The practice job takes seconds to write, whoever asks for it; it has tests of its own.
PAGES = sorted(name for name in OPERATIONS if " /api" not in name and not name.endswith("/practice"))


@pytest.fixture
def known(practice_book: Book) -> dict[str, str]:
    """Give identifiers that lead somewhere."""
    job = practice_book.job(practice_book.jobs()[0].id)
    return {
        "job_id": str(job.id),
        "entry_id": str(job.entries[5].id),
        "recording_id": str(job.recordings[0][0]),
        "recording": str(job.recordings[0][0]),
        "sha256": job.photos[0][1].attachment.sha256,
        "width": "320",
        "number": "0",
    }


def ask(bench: Any, case: Any, known: dict[str, str], *, found: bool) -> Any:
    """Send a case: to what is there and with the session's token, or as it was drawn."""
    drawn = dict(case.path_parameters)
    places = drawn | {name: known[name] for name in drawn.keys() & known.keys()} if found else drawn
    path = case.path.format(**{name: quote(str(value), safe="") or "-" for name, value in places.items()})
    headers = {name: value for name, value in dict(case.headers or {}).items() if sendable(value)}
    if found:
        headers["X-Asfound-Token"] = bench.token
    body = body_of(case, bench.token)
    return bench.client.request(case.method, path, params=dict(case.query or {}), headers=headers, **body)


def body_of(case: Any, token: str) -> dict[str, Any]:
    """Return the body as it is to be sent: as JSON, or as a form of this session."""
    if case.media_type is None or "json" in case.media_type:
        return {"json": case.body} if isinstance(case.body, dict | list | str | int | float | None) else {}
    fields = case.body if isinstance(case.body, dict) else {}
    return {"data": {**{name: str(value) for name, value in fields.items()}, "token": token}}


def sendable(value: Any) -> bool:
    return isinstance(value, str) and value.isascii() and value.isprintable()


def never_fails(bench: Any, known: dict[str, str], name: str, examples: int) -> set[int]:
    """Send so many cases to a route; return the statuses it answered with."""
    seen: set[int] = set()
    operation = OPERATIONS[name]
    drawn = st.one_of(*(operation.as_strategy(generation_mode=mode) for mode in GenerationMode))

    @settings(
        max_examples=examples, deadline=None, derandomize=True, database=None, phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    @given(case=drawn, found=st.booleans())
    def send(case: Any, found: bool) -> None:
        answer = ask(bench, case, known, found=found)
        seen.add(answer.status_code)
        assert answer.status_code < 500 or answer.status_code == 507, f"{name}: {answer.text[:500]}"

    send()
    return seen


@pytest.mark.parametrize("some", range(4))
def test_typed_routes_never_fail(bench: Any, known: dict[str, str], some: int) -> None:
    for name in TYPED[some::4]:
        never_fails(bench, known, name, 40)


@pytest.mark.parametrize("some", range(4))
def test_pages_never_fail(bench: Any, known: dict[str, str], some: int) -> None:
    for name in PAGES[some::4]:
        never_fails(bench, known, name, 6)


def test_the_routes_are_reached(bench: Any, known: dict[str, str]) -> None:
    seen = never_fails(bench, known, "post /api/jobs/{job_id}/line", 40)
    assert {200, 422} <= seen, seen
    assert never_fails(bench, known, "get /job/{job_id}/shape/ring", 10) & {200, 422}
