"""The door: this computer comes in, a paired device comes in, anybody else sees the pairing page and nothing more."""

import contextlib
import time
from collections.abc import Callable
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers
from starlette.responses import JSONResponse, PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from asfound.book import Book, Device
from asfound.book.store import wall_clock_ms
from asfound.problems import AsfoundError, StorageError
from asfound.web.codes import Codes
from asfound.web.desk import Desk
from asfound.web.render import local_path
from asfound.web.security import NOT_ALLOWED, at_the_bench

COOKIE = "asfound_device"
PAIRING = "/pair"
# A device is written down as seen no more often than this.
SEEN_EVERY_MS = 300_000
# A live connection is asked again this often whether its device is still let in.
ASKED_EVERY_S = 1.0


def admit(app: ASGIApp, desk: Desk, clock: Callable[[], float] = time.monotonic) -> ASGIApp:
    """Wrap an application: only this computer and paired devices reach it, all others the pairing page alone."""

    async def admitted(scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] not in ("http", "websocket") or at_the_bench(scope) or _open_to_all(scope):
            await app(scope, receive, send)
            return
        secret = secret_in(Headers(scope=scope).get("cookie", ""))
        try:
            device = await run_in_threadpool(_let_in, desk.book, secret)
        except AsfoundError as error:
            await _told(scope, receive, send, error)
            return
        if device is None:
            await _turned_away(scope, receive, send)
        elif scope["type"] == "websocket":
            await _watched(app, desk.book, secret, clock)(scope, receive, send)
        else:
            await app(scope, receive, send)

    return admitted


def secret_in(cookies: str) -> str:
    """Return the secret that a device shows; empty for none."""
    for pair in cookies.split(";"):
        name, _, value = pair.strip().partition("=")
        if name == COOKIE and len(value) < 200:
            return value
    return ""


def keep_let_in(response: Response, secret: str) -> None:
    """Give a device its secret: kept from scripts and from other sites' forms, for as long as browsers keep any."""
    response.set_cookie(COOKIE, secret, max_age=400 * 86_400, path="/", httponly=True, samesite="lax")


def pair(book: Book, codes: Codes, typed: str, *, name: str, address: str, secret: str) -> Device:
    """Let a device in that knows the code.

    Raises
    ------
    BadInputError, WaitError
    """
    codes.use(typed, address=address)
    return book.add_device(name=" ".join(name.split()) or "a device without a name", secret=secret)


def _open_to_all(scope: Scope) -> bool:
    path: str = scope["path"]
    return scope["type"] == "http" and (path == PAIRING or path.startswith("/static/"))


def _let_in(book: Book, secret: str) -> Device | None:
    device = book.device_with(secret) if secret else None
    if device is not None and wall_clock_ms() - device.seen_ms > SEEN_EVERY_MS:
        with contextlib.suppress(StorageError):  # a full disk keeps nobody from reading
            book.see_device(device.id)
    return device


def _watched(app: ASGIApp, book: Book, secret: str, clock: Callable[[], float]) -> ASGIApp:
    """Wrap a live connection: it ends once its device is removed."""

    async def watched(scope: Scope, receive: Receive, send: Send) -> None:
        asked, gone = clock(), False

        async def removed() -> bool:
            nonlocal asked, gone
            if not gone and clock() - asked >= ASKED_EVERY_S:
                asked = clock()
                gone = await run_in_threadpool(book.device_with, secret) is None
                if gone:
                    await send({"type": "websocket.close", "code": NOT_ALLOWED, "reason": "this device was removed"})
            return gone

        async def receive_watched() -> Message:
            message = await receive()
            return {"type": "websocket.disconnect", "code": NOT_ALLOWED} if await removed() else message

        async def send_watched(message: Message) -> None:
            if not await removed():
                await send(message)

        await app(scope, receive_watched, send_watched)

    return watched


async def _turned_away(scope: Scope, receive: Receive, send: Send) -> None:
    if scope["type"] == "websocket":
        await send({"type": "websocket.close", "code": NOT_ALLOWED, "reason": "this device is not paired"})
        return
    headers = Headers(scope=scope)
    if scope["path"].startswith("/api/") or "text/html" not in headers.get("accept", "text/html"):
        fault = {"where": "device", "what": "it is not paired with this bench", "remedy": f"open {PAIRING} on it"}
        response: Response = JSONResponse({"problems": [fault]}, status_code=401)
    else:
        wanted = local_path(scope["path"]) if scope["method"] == "GET" else "/"
        response = RedirectResponse(f"{PAIRING}?to={quote(wanted, safe='/')}", status_code=303)
    await response(scope, receive, send)


async def _told(scope: Scope, receive: Receive, send: Send, error: AsfoundError) -> None:
    if scope["type"] == "websocket":
        await send({"type": "websocket.close", "code": 1011, "reason": "the book refuses"})
        return
    await PlainTextResponse(f"{error}\n", status_code=507)(scope, receive, send)
