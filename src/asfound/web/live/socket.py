"""The connection of a live page: blocks of sound come in, acknowledged once on the disk; what is heard goes back."""

import asyncio
import contextlib
import hmac
import json
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field
from typing import Any, TypeAlias
from uuid import UUID

import anyio
from anyio.to_thread import run_sync as run_aside
from fastapi import APIRouter, WebSocket
from starlette.websockets import WebSocketDisconnect, WebSocketState

from asfound.bench.jobs import load_job
from asfound.bench.live import Session
from asfound.problems import AsfoundError, Problem, StorageError, bad_input
from asfound.web.desk import Desk
from asfound.web.live.setup import aim_of, read_hello, read_plan_typed
from asfound.web.live.view import state_of
from asfound.web.live.wire import read_block
from asfound.web.security import token_for
from asfound.web.shutter.measuring import recording_of, start_measuring

router = APIRouter(prefix="/job/{job_id}/shutter/live")
SYNC_EVERY_S = 0.1
# Close codes of our own: RFC 6455, section 7.4.2, leaves 4000 to 4999 to applications (from memory).
ENDED, REFUSED, ELSEWHERE = 4000, 4001, 4002


@dataclass(slots=True)
class Connection:
    """One page at one session."""

    socket: WebSocket
    session: Session
    arrived: asyncio.Event = field(default_factory=asyncio.Event)
    sending: anyio.Lock = field(default_factory=anyio.Lock)
    serving: anyio.CancelScope = field(default_factory=anyio.CancelScope)

    async def send(self, message: dict[str, Any]) -> None:
        """Send a message, unless the page is gone."""
        async with self.sending:
            if WebSocketState.DISCONNECTED not in (self.socket.application_state, self.socket.client_state):
                await self.socket.send_text(json.dumps(message))


@router.websocket("/socket")
async def live(socket: WebSocket, job_id: UUID) -> None:
    """Serve one page at one session, until it goes or the session ends."""
    desk: Desk = socket.app.state.desk
    await socket.accept()
    try:
        hello = await _hello(socket, desk)
        session = await run_aside(_session, desk, job_id, hello)
    except (WebSocketDisconnect, KeyError):
        return
    except AsfoundError as error:
        await _refuse(socket, error)
        return
    connection = Connection(socket, session)
    await _take_over(desk, connection)
    try:
        await _greet(connection)
        await _serve(desk, connection)
    finally:
        if desk.memory.pages.get(session.plan.session) is connection:
            del desk.memory.pages[session.plan.session]


Part: TypeAlias = Callable[[Desk, Connection], Awaitable[None]]


async def _hello(socket: WebSocket, desk: Desk) -> dict[str, Any]:
    try:
        hello = json.loads(await socket.receive_text())
    except ValueError:
        hello = None
    token = str(hello.get("token", "")) if isinstance(hello, dict) else ""
    wanted = token_for(socket.scope["asfound.session"], desk.settings.secret)
    if not isinstance(hello, dict) or not hmac.compare_digest(wanted.encode(), token.encode()):
        raise bad_input("this page", "it is too old to be served", "load it anew")
    return hello


def _session(desk: Desk, job_id: UUID, hello: dict[str, Any]) -> Session:
    """Return the session that a page asks for, or a new one."""
    job = load_job(desk.book, job_id)
    rate, typed = read_hello(hello)
    if hello.get("session"):
        session = desk.memory.live.find(desk.book, job_id, str(hello["session"]))
        if session.plan.sample_rate_hz != rate:
            before = session.plan.sample_rate_hz
            what = f"the session was begun at {before:g} Hz, this input gives {rate:g} Hz"
            raise bad_input("sound input", what, "end the session, and begin another")
        return session
    plan = read_plan_typed(job, typed, sample_rate_hz=rate, aim=aim_of(job))
    return desk.memory.live.begin(desk.book, plan)


async def _refuse(socket: WebSocket, error: AsfoundError) -> None:
    problems = [{"where": one.where, "what": one.what, "remedy": one.remedy} for one in error.problems]
    with contextlib.suppress(WebSocketDisconnect, RuntimeError):
        await socket.send_text(json.dumps({"kind": "refused", "problems": problems}))
        await socket.close(REFUSED)


async def _take_over(desk: Desk, connection: Connection) -> None:
    """Serve the latest page that asks for a session; one before it is told so."""
    name = connection.session.plan.session
    before = desk.memory.pages.get(name)
    desk.memory.pages[name] = connection
    if isinstance(before, Connection):
        before.serving.cancel()  # or it would take what is meant for the other
        with contextlib.suppress(WebSocketDisconnect, RuntimeError):
            await before.socket.close(ELSEWHERE)


async def _greet(connection: Connection) -> None:
    session = connection.session
    epoch, frame = session.kept or (0, 0)
    await connection.send(
        {
            "kind": "welcome",
            "session": session.plan.session,
            "epoch": epoch,
            "frame": frame,
            "rate": session.plan.sample_rate_hz,
        }
    )
    await connection.send(await run_aside(state_of, session))


async def _serve(desk: Desk, connection: Connection) -> None:
    """Receive, listen and sync side by side; the first to end ends the others."""
    with connection.serving:
        async with anyio.create_task_group() as group:
            for part in (_receive, _listen, _sync):
                group.start_soon(_until_over, part, desk, connection)


async def _until_over(part: Part, desk: Desk, connection: Connection) -> None:
    try:
        await part(desk, connection)
    except AsfoundError as error:
        await _refuse(connection.socket, error)
    except WebSocketDisconnect:
        pass
    finally:
        connection.serving.cancel()


async def _receive(desk: Desk, connection: Connection) -> None:
    session = connection.session
    while True:
        message = await connection.socket.receive()
        if message["type"] == "websocket.disconnect":
            return
        if message.get("bytes") is not None:
            session.receive(read_block(message["bytes"]))
            connection.arrived.set()
        elif await _told(desk, connection, message.get("text") or ""):
            return


async def _told(desk: Desk, connection: Connection, text: str) -> bool:
    """Do what the page asks; true once the session is over."""
    try:
        asked = json.loads(text)
        kind = asked["kind"]
    except (ValueError, TypeError, KeyError):
        raise bad_input("this page", "it asks for what is not understood", "load it anew") from None
    session = connection.session
    if kind == "end":
        await _end(desk, connection)
        return True
    if kind == "strike":
        place = asked.get("number")
        await run_aside(session.strike, place - 1 if isinstance(place, int) else None)
    elif kind == "pick":
        await run_aside(session.pick, str(asked.get("mark")))
    elif kind == "step":
        await run_aside(session.step, 1 if asked.get("step") == 1 else -1)
    await connection.send(await run_aside(state_of, session))
    return False


async def _listen(_desk: Desk, connection: Connection) -> None:
    session = connection.session
    while True:
        await connection.arrived.wait()
        connection.arrived.clear()
        lost = len(session.stream.gaps)
        news = await run_aside(session.listen)
        if news or len(session.stream.gaps) != lost:
            await connection.send(await run_aside(state_of, session))


async def _sync(desk: Desk, connection: Connection) -> None:
    session = connection.session
    while True:
        await anyio.sleep(SYNC_EVERY_S)
        kept = await run_aside(session.sync)
        if kept is not None:
            await connection.send({"kind": "ack", "epoch": kept[0], "frame": kept[1]})
        if session.spool.size > desk.settings.recording_bytes:
            problem = Problem("live session", "it is as long as one may be", "end it, and begin another")
            raise StorageError(problem)


async def _end(desk: Desk, connection: Connection) -> None:
    """Seal the session and show its recording."""
    href = await run_aside(keep_session, desk, connection.session.plan.job, connection.session.plan.session)
    await connection.send({"kind": "ended", "href": href})
    with contextlib.suppress(WebSocketDisconnect, RuntimeError):
        await connection.socket.close(ENDED)


def keep_session(desk: Desk, job_id: UUID, name: str) -> str:
    """Seal a session into a recording, start measuring it, and return the address where it is shown."""
    entry, _ = desk.memory.live.end(desk.book, job_id, name)
    chosen = recording_of(load_job(desk.book, job_id), entry.id)
    assert chosen is not None
    start_measuring(desk, *chosen)
    return f"/job/{job_id}/shutter?recording={entry.id}"
