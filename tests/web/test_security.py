"""What every answer is held to. The headers' meaning: OWASP Secure Headers Project (from memory)."""

import re
from collections.abc import Iterator
from html.parser import HTMLParser
from typing import Any

import pytest
from benchmarks._page_list import OF_A_JOB
from fastapi import APIRouter, FastAPI, WebSocket
from fastapi.routing import APIRoute
from starlette.websockets import WebSocketDisconnect

from asfound.web.app import ROUTERS
from asfound.web.security import NOT_ALLOWED, check_form_token, check_header_token, guard, host_name, token_for
from asfound.web.settings import Settings, show_bytes


class Inline(HTMLParser):
    """Collects everything that the policy would refuse."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self.open = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = {name for name, _ in attrs}
        self.open = tag
        self.found += [f"{tag} {name}" for name in names if name == "style" or name.startswith("on")]
        outside = [value for name, value in attrs if name in ("src", "href") and re.match(r"(https?:)?//", value or "")]
        self.found += [f"{tag} {value}" for value in outside]
        if tag == "style":
            self.found.append(tag)

    def handle_endtag(self, tag: str) -> None:
        self.open = ""

    def handle_data(self, data: str) -> None:
        if self.open == "script" and data.strip():
            self.found.append(f"script {data[:40]}")


@pytest.mark.parametrize("page", OF_A_JOB)
def test_no_page_has_anything_inline_or_from_another_host(bench: Any, job_path: str, page: str) -> None:
    answer = bench.get(job_path + page)
    assert answer.status_code == 200
    seen = Inline()
    seen.feed(answer.text)
    assert seen.found == []


@pytest.mark.parametrize("path", ["/", "/nothing", "/api/jobs", "/static/0/style.css"])
def test_every_answer_carries_the_policy(bench: Any, path: str) -> None:
    headers = bench.get(path).headers
    assert headers["content-security-policy"].startswith("default-src 'none'; script-src 'self'; style-src 'self'")
    assert "unsafe" not in headers["content-security-policy"]
    assert headers["x-content-type-options"] == "nosniff"


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1.evil.example", "evil.example:8642", "", "["])
def test_another_host_name_is_refused(bench: Any, host: str) -> None:
    answer = bench.client.get("/", headers={"Host": host})
    assert answer.status_code == 421
    assert "127.0.0.1" in answer.text


@pytest.mark.parametrize("host", ["127.0.0.1", "localhost:8642", "LOCALHOST", "[::1]:8642"])
def test_the_names_of_this_machine_are_answered(bench: Any, host: str) -> None:
    assert bench.client.get("/", headers={"Host": host}).status_code == 200


def test_a_host_is_read_without_its_port() -> None:
    assert [host_name(h) for h in ("a:1", "[::1]:2", "a", "", "[")] == ["a", "::1", "a", "", ""]


def routes_of(router: APIRouter) -> Iterator[APIRoute]:
    """Give the routes of a router and of those within it."""
    for route in router.routes:
        if isinstance(route, APIRoute):
            yield route
        elif isinstance(within := getattr(route, "original_router", None), APIRouter):
            yield from routes_of(within)


def test_every_writing_route_checks_a_token(bench: Any) -> None:
    routes = [route for router in ROUTERS for route in routes_of(router)]
    writing = [route for route in routes if route.methods - {"GET", "HEAD"}]
    told = bench.get("/api/openapi.json").json()["paths"].values()
    assert len(writing) >= sum(method != "get" for methods in told for method in methods) > 10
    for route in writing:
        asked = {dependency.call for dependency in route.dependant.dependencies}
        wanted = check_header_token if route.path.startswith("/api") else check_form_token
        assert wanted in asked, route.path


def test_a_form_without_its_token_writes_nothing_and_keeps_what_was_typed(bench: Any, job_path: str) -> None:
    before = len(bench.get("/api" + job_path.replace("/job/", "/jobs/")).json()["entries"])
    answer = bench.client.post(job_path + "/line", data={"text": "note: an hour's work", "token": "no"})
    assert answer.status_code == 403
    assert "an hour&#39;s work" in answer.text
    assert len(bench.get("/api" + job_path.replace("/job/", "/jobs/")).json()["entries"]) == before


def test_a_token_of_another_session_is_refused(bench: Any, job_path: str, settings: Any) -> None:
    other = token_for("another-session-another-session-42", settings.secret)
    assert bench.client.post(job_path + "/line", data={"text": "note: x", "token": other}).status_code == 403


def test_a_form_from_another_site_is_refused_even_with_a_token(bench: Any, job_path: str) -> None:
    headers = {"Origin": "http://evil.example"}
    answer = bench.client.post(job_path + "/undo", data={"token": bench.token}, headers=headers)
    assert answer.status_code == 403
    assert "another site" in answer.text


def test_the_session_cookie_is_kept_from_scripts_and_other_sites(bench: Any) -> None:
    client = bench.anew(bench.client.app)
    cookie = client.get("/").headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=Lax" in cookie
    assert "set-cookie" not in client.get("/").headers


def test_a_form_that_is_too_long_is_refused_with_its_limit(bench: Any, job_path: str) -> None:
    answer = bench.post(job_path + "/line", text="x" * 1_100_000)
    assert answer.status_code == 413
    assert "1 MiB" in answer.text


def test_a_body_of_untold_length_is_counted_while_it_comes(bench: Any, job_path: str) -> None:
    def endless() -> Any:
        for _ in range(40):
            yield b"a" * 65_536

    headers = {"X-Asfound-Token": bench.token, "Content-Type": "application/json"}
    answer = bench.client.post(
        "/api" + job_path.replace("/job/", "/jobs/") + "/line", content=endless(), headers=headers
    )
    assert answer.status_code == 413
    assert answer.json()["problems"][0]["where"] == "this upload"


def test_only_files_of_the_pages_are_given_out(bench: Any) -> None:
    for name in ("../app.py", "..%2fapp.py", "nothing.css", "%2e%2e"):
        assert bench.get(f"/static/0/{name}").status_code == 404


@pytest.mark.parametrize(
    ("size", "said"), [(12, "12 bytes"), (2048, "2 KiB"), (64 << 20, "64 MiB"), (2 << 30, "2 GiB")]
)
def test_a_size_is_said_as_people_read_it(size: int, said: str) -> None:
    assert show_bytes(size) == said


def test_going_back_after_a_choice_never_leaves_this_server(bench: Any) -> None:
    for wanted in ("//evil.example", "http://evil.example/", "/\\evil.example", "javascript:1", ""):
        answer = bench.post("/theme", theme="dark", back=wanted)
        assert answer.headers["location"] == "/"
    assert bench.post("/theme", theme="dark", back="/job/1").headers["location"] == "/job/1"
    assert 'data-theme="dark"' in bench.get("/").text


SESSION = "a-session-of-this-browser-0123456789"
PAGE = {"Host": "127.0.0.1:8642", "Origin": "http://127.0.0.1:8642", "Cookie": f"asfound_session={SESSION}"}


@pytest.fixture
def live(bench: Any, settings: Settings) -> Any:
    """Give a client of an application that has nothing but a live connection, which tells its session."""
    app = FastAPI()

    @app.websocket("/live")
    async def tell(socket: WebSocket) -> None:
        await socket.accept()
        await socket.send_text(socket.scope["asfound.session"])
        await socket.close()

    return bench.anew(guard(app, settings))


def test_a_live_connection_from_a_page_of_this_server_is_let_in(live: Any) -> None:
    with live.websocket_connect("/live", headers=PAGE) as socket:
        assert socket.receive_text() == SESSION


@pytest.mark.parametrize(
    "other",
    [
        {"Origin": "http://evil.example"},
        {"Origin": "http://127.0.0.1:8643"},
        {"Origin": "null"},
        {"Origin": "http://["},
        {"Origin": ""},
        {"Host": "evil.example", "Origin": "http://evil.example"},
        {"Cookie": ""},
        {"Cookie": "asfound_session=short"},
    ],
    ids=["another site", "another port", "a sandbox", "no address", "none", "another name", "no session", "made up"],
)
def test_a_live_connection_from_elsewhere_is_refused_before_it_is_made(live: Any, other: dict[str, str]) -> None:
    with pytest.raises(WebSocketDisconnect) as refused, live.websocket_connect("/live", headers=PAGE | other):
        pass
    assert refused.value.code == NOT_ALLOWED


def test_a_form_from_an_origin_that_is_no_address_is_refused(bench: Any, job_path: str) -> None:
    answer = bench.client.post(job_path + "/undo", data={"token": bench.token}, headers={"Origin": "http://["})
    assert answer.status_code == 403
