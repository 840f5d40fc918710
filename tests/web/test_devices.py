"""Who gets in: this computer, and devices on the network that were paired; nobody else sees more than the door."""

import contextlib
import re
from collections.abc import Callable
from typing import Any

import pytest
from fastapi import FastAPI, WebSocket
from fastapi.routing import APIRoute
from starlette.websockets import WebSocketDisconnect

from asfound.bench.pool import Pool
from asfound.book import Book
from asfound.web.app import ROUTERS, create_app
from asfound.web.desk import Desk
from asfound.web.devices.door import COOKIE, admit
from asfound.web.security import at_the_bench, guard
from asfound.web.settings import LOOPBACK, Settings

# RFC 5737: addresses kept for documentation.
SERVER, PHONE, OTHER = "192.0.2.7", "192.0.2.33", "192.0.2.44"
ADDRESS = f"http://{SERVER}:8642"
MOBILE = "Mozilla/5.0 (Linux; Android) Mobile"


@pytest.fixture
def desk(practice_book: Book, pool: Pool) -> Desk:
    settings = Settings(secret=b"only for the tests" * 2, hosts=LOOPBACK | {SERVER}, address=ADDRESS)
    return Desk(book=practice_book, pool=pool, settings=settings)


@pytest.fixture
def client_at(desk: Desk) -> Callable[..., Any]:
    """Give a function that returns a browser at an address of the network."""
    from fastapi.testclient import TestClient

    app = create_app(desk)

    def at(address: str = PHONE, base: str = ADDRESS) -> Any:
        headers = {"User-Agent": MOBILE, "Accept": "text/html,*/*"}
        return TestClient(app, base_url=base, client=(address, 40_000), headers=headers, follow_redirects=False)

    return at


@pytest.fixture
def at_bench(client_at: Callable[..., Any]) -> Any:
    return client_at("127.0.0.1", "http://127.0.0.1:8642")


def token_in(answer: Any) -> str:
    found = re.search(r'name="token" value="([0-9a-f]+)"', answer.text)
    assert found is not None
    return found[1]


def try_code(client: Any, code: str, name: str = "telephone", to: str = "/") -> Any:
    token = token_in(client.get("/pair"))
    return client.post("/pair", data={"token": token, "code": code, "name": name, "to": to})


@pytest.fixture
def paired(client_at: Callable[..., Any], desk: Desk) -> Any:
    """Give a telephone that was let in."""
    phone = client_at()
    assert try_code(phone, desk.codes.make().text).status_code == 303
    return phone


def test_a_device_that_is_not_paired_is_led_to_the_pairing_page_and_shown_nothing_else(
    client_at: Callable[..., Any], job_path: str
) -> None:
    answer = client_at().get(job_path)
    assert answer.status_code == 303
    assert answer.headers["location"] == f"/pair?to={job_path}"
    assert "Tarnbeck" not in client_at().get("/pair").text


def test_no_route_but_the_door_answers_a_device_that_is_not_paired(client_at: Callable[..., Any]) -> None:
    stranger = client_at()
    routes = [route for router in ROUTERS for route in router.routes if isinstance(route, APIRoute)]
    assert len(routes) > 60
    for route in routes:
        path = re.sub(r"\{[^}]*\}", "0", route.path)
        if path == "/pair" or path.startswith("/static/"):
            continue
        for method in sorted(route.methods):
            answer = stranger.request(method, path)
            led_away = answer.status_code == 303 and answer.headers["location"].startswith("/pair?to=")
            assert led_away or answer.status_code == 401, f"{method} {path}: {answer.status_code}"


@pytest.mark.parametrize("path", ["/static/../job/1", "/static/%2e%2e/api/jobs", "/pair/", "//pair", "/pair/../"])
def test_no_roundabout_address_leads_past_the_door(client_at: Callable[..., Any], path: str) -> None:
    answer = client_at().get(path)
    assert answer.status_code in (303, 307, 404)
    assert "Tarnbeck" not in answer.text


def test_a_program_that_is_not_paired_is_told_in_json(client_at: Callable[..., Any]) -> None:
    answer = client_at().get("/api/jobs")
    assert answer.status_code == 401
    assert "/pair" in answer.json()["problems"][0]["remedy"]


def test_nothing_is_written_for_a_device_that_is_not_paired(
    client_at: Callable[..., Any], job_path: str, practice_book: Book
) -> None:
    stranger = client_at()
    token = token_in(stranger.get("/pair"))
    before = practice_book.jobs()[0].entries
    answer = stranger.post(job_path + "/line", data={"token": token, "text": "note: let me in"})
    assert answer.status_code == 303
    assert practice_book.jobs()[0].entries == before


def test_the_pages_of_this_computer_need_no_pairing(at_bench: Any) -> None:
    assert "Tarnbeck" in at_bench.get("/").text


@pytest.mark.parametrize(
    ("address", "is_here"),
    [
        ("127.0.0.1", True),
        ("127.8.9.1", True),
        ("::1", True),
        ("::ffff:127.0.0.1", True),
        (PHONE, False),
        ("fe80::1", False),
        ("::ffff:192.0.2.33", False),
        ("0.0.0.0", False),
        ("localhost", False),
        ("", False),
    ],
)
def test_this_computer_is_told_by_the_address_a_request_comes_from(address: str, is_here: bool) -> None:
    assert at_the_bench({"client": (address, 1)}) is is_here


def test_a_request_that_only_says_it_comes_from_this_computer_does_not(client_at: Callable[..., Any]) -> None:
    stranger = client_at()
    for headers in ({"Host": "127.0.0.1:8642"}, {"X-Forwarded-For": "127.0.0.1"}, {"Forwarded": "for=127.0.0.1"}):
        assert stranger.get("/api/jobs", headers=headers).status_code == 401
    assert not at_the_bench({"client": None})


def test_the_code_lets_a_device_in_and_its_cookie_keeps_it_in(
    client_at: Callable[..., Any], desk: Desk, job_path: str
) -> None:
    phone = client_at()
    answer = try_code(phone, desk.codes.make().text, name="  my\n telephone ", to=job_path)
    assert answer.status_code == 303
    assert answer.headers["location"] == job_path
    cookie = next(value for value in answer.headers.get_list("set-cookie") if value.startswith(COOKIE))
    assert "HttpOnly" in cookie
    assert "SameSite=lax" in cookie
    assert "Max-Age=34560000" in cookie
    assert phone.get(job_path).status_code == 200
    assert [device.name for device in desk.book.devices()] == ["my telephone"]


def test_looking_at_the_pairing_page_uses_no_code_up(client_at: Callable[..., Any], desk: Desk) -> None:
    code = desk.codes.make().text
    # What a telephone does to show where a QR code leads.
    assert code in client_at(OTHER).get(f"/pair?code={code}").text
    assert try_code(client_at(), code).status_code == 303


def test_the_secret_is_not_in_the_book(paired: Any, practice_book: Book) -> None:
    secret = paired.cookies[COOKIE].encode()
    folder = practice_book.location.folder
    assert len(secret) >= 43
    assert not any(secret in file.read_bytes() for file in folder.glob("book.sqlite*"))


def test_a_wrong_code_is_told_beside_its_field_and_stays_there(client_at: Callable[..., Any]) -> None:
    answer = try_code(client_at(), "WRNG-CODE", name="bench <b>tablet</b>")
    assert answer.status_code == 422
    assert "this is not the code that is good now" in answer.text
    assert 'value="WRNG-CODE"' in answer.text
    assert "<b>tablet" not in answer.text


def test_guessing_is_answered_with_a_wait_that_is_told_on_both_sides(
    client_at: Callable[..., Any], desk: Desk, at_bench: Any
) -> None:
    phone = client_at()
    for _ in range(5):
        assert try_code(phone, "WRNG-CODE").status_code == 422
    answer = try_code(phone, desk.codes.make().text)
    assert answer.status_code == 429
    assert "Wait 10 minutes" in answer.text
    assert f"5 from {PHONE}" in re.sub(r"\s+", " ", at_bench.get("/devices").text)


def test_a_pairing_form_without_the_pages_token_is_refused(client_at: Callable[..., Any], desk: Desk) -> None:
    code = desk.codes.make().text
    assert client_at().post("/pair", data={"code": code, "token": "no"}).status_code == 403
    assert desk.book.devices() == ()


def test_after_pairing_nobody_is_led_to_another_site(client_at: Callable[..., Any], desk: Desk) -> None:
    answer = try_code(client_at(), desk.codes.make().text, to="//evil.example/")
    assert answer.headers["location"] == "/"


def test_a_removed_device_is_let_in_no_more_from_its_next_request_on(
    paired: Any, at_bench: Any, practice_book: Book
) -> None:
    assert paired.get("/").status_code == 200
    shown = at_bench.get("/devices")
    [device] = practice_book.devices()
    assert device.name in shown.text
    answer = at_bench.post(f"/devices/{device.id}/remove", data={"token": token_in(shown)})
    assert answer.status_code == 303
    assert paired.get("/").headers["location"] == "/pair?to=/"
    assert at_bench.post(f"/devices/{device.id}/remove", data={"token": token_in(shown)}).status_code == 404


def test_devices_are_seen_to_on_this_computer_alone(paired: Any, practice_book: Book) -> None:
    token = token_in(paired.get("/"))
    [device] = practice_book.devices()
    assert paired.get("/devices").status_code == 403
    assert paired.post("/devices/code", data={"token": token}).status_code == 403
    assert paired.post(f"/devices/{device.id}/remove", data={"token": token}).status_code == 403
    assert practice_book.devices() == (device,)
    assert 'href="/devices"' not in paired.get("/").text


def test_a_paired_device_writes_as_this_computer_does(paired: Any, job_path: str, practice_book: Book) -> None:
    before = practice_book.jobs()[0].entries
    answer = paired.post(job_path + "/line", data={"token": token_in(paired.get(job_path)), "text": "note: from here"})
    assert answer.status_code == 303
    assert practice_book.jobs()[0].entries == before + 1


def test_a_paired_device_that_opens_the_pairing_page_again_is_sent_on(paired: Any) -> None:
    assert paired.get("/pair?code=ABCD-EFGH").headers["location"] == "/"


def test_the_page_of_devices_shows_the_code_and_where_to_type_it(at_bench: Any, desk: Desk) -> None:
    shown = at_bench.get("/devices")
    assert "Make a code" in shown.text
    assert at_bench.post("/devices/code", data={"token": token_in(shown)}).status_code == 303
    code = desk.codes.now()
    assert code is not None
    text = at_bench.get("/devices").text
    assert code.text in text
    assert ADDRESS in text
    assert re.search(r'<svg [^>]*class="qr"', text)
    assert "style=" not in text
    assert "not encrypted" in text


def test_closed_to_the_network_the_page_says_how_to_open_it_and_makes_no_code(
    practice_book: Book, pool: Pool, settings: Settings
) -> None:
    from fastapi.testclient import TestClient

    desk = Desk(book=practice_book, pool=pool, settings=settings)
    client = TestClient(create_app(desk), base_url="http://127.0.0.1:8642", client=("127.0.0.1", 1))
    shown = client.get("/devices")
    assert "asfound bench --lan" in shown.text
    client.post("/devices/code", data={"token": token_in(shown)})
    assert desk.codes.now() is None


@pytest.fixture
def live(desk: Desk) -> Callable[..., Any]:
    """Give a function that returns a browser before a live connection that repeats what it hears."""
    from fastapi.testclient import TestClient

    app = FastAPI()

    @app.websocket("/live")
    async def repeat(socket: WebSocket) -> None:
        await socket.accept()
        with contextlib.suppress(WebSocketDisconnect):
            while True:
                await socket.send_text(await socket.receive_text())

    moments = iter(range(0, 100_000, 10))
    guarded = guard(admit(app, desk, clock=lambda: float(next(moments))), desk.settings)
    return lambda address: TestClient(guarded, base_url=ADDRESS, client=(address, 40_000))


def headers_of(cookies: str) -> dict[str, str]:
    session = "asfound_session=a-session-of-this-browser-0123456789"
    return {"Host": f"{SERVER}:8642", "Origin": ADDRESS, "Cookie": f"{session}; {cookies}"}


def test_a_live_connection_of_a_device_that_is_not_paired_is_refused(live: Callable[..., Any]) -> None:
    headers = headers_of(f"{COOKIE}=made-up")
    with pytest.raises(WebSocketDisconnect), live(PHONE).websocket_connect("/live", headers=headers):
        pass


def test_a_live_connection_ends_when_its_device_is_removed(
    live: Callable[..., Any], paired: Any, practice_book: Book
) -> None:
    headers = headers_of(f"{COOKIE}={paired.cookies[COOKIE]}")
    with live(PHONE).websocket_connect("/live", headers=headers) as socket:
        socket.send_text("heard")
        assert socket.receive_text() == "heard"
        practice_book.remove_device(practice_book.devices()[0].id)
        socket.send_text("still heard?")
        with pytest.raises(WebSocketDisconnect) as ended:
            socket.receive_text()
        assert ended.value.code == 1008
