"""What every answer and every writing request is held to: headers, host name, session, form token, size."""

import hashlib
import hmac
import ipaddress
import re
import secrets
from typing import Annotated
from urllib.parse import urlsplit

from fastapi import Form, Header, Request
from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from asfound.problems import AsfoundError, Problem
from asfound.web.settings import Settings, show_bytes

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self'",
        "connect-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=(self)",
}
COOKIE = "asfound_session"
TOO_LARGE = "asfound.too_large"
# "Policy violation" (RFC 6455, section 7.4.1, from memory); before the handshake it becomes the answer 403.
NOT_ALLOWED = 1008
_SESSION = re.compile(r"[A-Za-z0-9_-]{32,64}")


class RefusedError(AsfoundError):
    """A request that may not be meant by the one at the bench (HTTP 403)."""


class TooLargeError(AsfoundError):
    """A body larger than its route takes (HTTP 413)."""


def token_for(session: str, secret: bytes) -> str:
    """Return the token that forms of this session carry."""
    return hmac.new(secret, session.encode(), hashlib.sha256).hexdigest()


def token_of(request: Request) -> str:
    """Return the token for the forms of the page that answers this request."""
    settings: Settings = request.app.state.desk.settings
    return token_for(request.scope["asfound.session"], settings.secret)


def guard(app: ASGIApp, settings: Settings) -> ASGIApp:
    """Wrap an application: refuse foreign host names, keep a session cookie, add the headers to every answer.

    A live connection (WebSocket) is let in only from a page of this server: the browser's rules for other sites'
    answers do not hold for it, so that the page's origin and the session are all that tells.
    """

    async def guarded(scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "websocket" and not may_connect(scope, settings):
            await send({"type": "websocket.close", "code": NOT_ALLOWED, "reason": "not a page of this server"})
            return
        if scope["type"] != "http":
            await app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        if host_name(headers.get("host", "")) not in settings.hosts:
            await _misdirected(send, settings)
            return
        known = _session_in(headers.get("cookie", ""))
        scope["asfound.session"] = known or secrets.token_urlsafe(32)

        async def send_guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                dress(MutableHeaders(scope=message), "" if known else scope["asfound.session"])
            await send(message)

        await app(scope, receive, send_guarded)

    return guarded


def may_connect(scope: Scope, settings: Settings) -> bool:
    """Tell whether a live connection comes from a page of this server; its session is put into the scope."""
    headers = Headers(scope=scope)
    session = _session_in(headers.get("cookie", ""))
    scope["asfound.session"] = session
    host = headers.get("host", "")
    return bool(session) and host_name(host) in settings.hosts and origin_is(headers.get("origin", ""), host)


def at_the_bench(scope: Scope) -> bool:
    """Tell whether a request comes from this computer itself."""
    try:
        peer = ipaddress.ip_address(address_of(scope))
    except ValueError:
        return False
    mapped = peer.ipv4_mapped if isinstance(peer, ipaddress.IPv6Address) else None
    return (mapped or peer).is_loopback


def address_of(scope: Scope) -> str:
    """Return the address a request comes from; empty where it is not known."""
    client = scope.get("client")
    return str(client[0]) if client else ""


def limit_body(app: ASGIApp, settings: Settings) -> ASGIApp:
    """Wrap an application: reading a body larger than its route takes is an error, told length or not."""

    async def limited(scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await app(scope, receive, send)
            return
        largest = settings.largest_body(scope["path"])
        told = Headers(scope=scope).get("content-length", "0")
        scope[TOO_LARGE] = told.isdecimal() and int(told) > largest
        taken = 0

        async def receive_limited() -> Message:
            nonlocal taken
            message = await receive()
            taken += len(message.get("body", b""))
            scope[TOO_LARGE] = scope[TOO_LARGE] or taken > largest
            if scope[TOO_LARGE]:
                raise too_large(scope["path"], settings)
            return message

        await app(scope, receive_limited, send)

    return limited


def too_large(path: str, settings: Settings) -> TooLargeError:
    """Return the error for a body that a path does not take."""
    most = show_bytes(settings.largest_body(path))
    what = f"it is larger than the {most} that are taken here"
    return TooLargeError(Problem("this upload", what, "send a shorter recording or a smaller file"))


def host_name(host: str) -> str:
    """Return the name in a Host header, without its port; empty where it is no host."""
    try:
        return urlsplit(f"//{host}").hostname or ""
    except ValueError:
        return ""


def origin_is(origin: str, host: str) -> bool:
    """Tell whether a page of this host asks: its origin is the host's, port and all."""
    try:
        parts = urlsplit(origin)
    except ValueError:
        return False
    return parts.scheme in ("http", "https") and parts.netloc == host and bool(host)


def check_form_token(request: Request, token: Annotated[str, Form()] = "") -> None:
    """Refuse a form that no page of this server made for this session."""
    _check(request, token)


def check_header_token(request: Request, x_asfound_token: Annotated[str, Header()] = "") -> None:
    """Refuse a writing JSON request without the token that `GET /api/token` gives."""
    _check(request, x_asfound_token)


def dress(headers: MutableHeaders, new_session: str = "") -> None:
    """Add the headers that every answer carries; a route may have set its own, stricter ones."""
    for name, value in HEADERS.items():
        headers.setdefault(name, value)
    headers.setdefault("Cache-Control", "no-store")
    if new_session and headers.get("content-type", "").startswith(("text/html", "application/json")):
        headers.append("Set-Cookie", f"{COOKIE}={new_session}; Path=/; HttpOnly; SameSite=Lax; Max-Age=31536000")


def _session_in(cookies: str) -> str:
    for pair in cookies.split(";"):
        name, _, value = pair.strip().partition("=")
        if name == COOKIE and _SESSION.fullmatch(value):
            return value
    return ""


async def _misdirected(send: Send, settings: Settings) -> None:
    names = ", ".join(sorted(settings.hosts))
    text = f"asfound answers to these names only: {names}. Open the address that the start printed.\n"
    start = [(b"content-type", b"text/plain; charset=utf-8"), (b"x-content-type-options", b"nosniff")]
    await send({"type": "http.response.start", "status": 421, "headers": start})
    await send({"type": "http.response.body", "body": text.encode()})


def _check(request: Request, token: str) -> None:
    origin = request.headers.get("origin")
    if origin is not None and not origin_is(origin, request.headers.get("host", "")):
        raise _refused("it comes from another site's page", "open the bench page itself and write there")
    if not hmac.compare_digest(token_of(request).encode(), token.encode()):
        raise _refused("the page it was sent from is too old", "copy what you typed, load the page anew, send again")


def _refused(what: str, remedy: str) -> RefusedError:
    return RefusedError(Problem("this form", what, remedy))
