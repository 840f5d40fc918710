"""Two pages: the devices let in, for this computer alone; and the pairing page, for everybody on the network."""

import secrets
from dataclasses import dataclass
from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Depends, Form, Request
from fastapi.responses import JSONResponse, RedirectResponse, Response

from asfound.book import Device
from asfound.book.store import wall_clock_ms
from asfound.problems import BadInputError, NotFoundError, Problem
from asfound.web.codes import FROM_ALL, WITHIN_S, WaitError
from asfound.web.desk import AtDesk, Desk
from asfound.web.devices.door import PAIRING, keep_let_in, pair, secret_in
from asfound.web.devices.qr import pairing_address, qr_inline
from asfound.web.errors import status_of
from asfound.web.moments import show_clock, show_day
from asfound.web.render import local_path, render
from asfound.web.security import RefusedError, address_of, at_the_bench, check_form_token

router = APIRouter()


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviceRow:
    """One device that is let in."""

    id: UUID
    name: str
    paired: str
    seen: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DevicesPage:
    """The devices, the code that is good now, and the wrong ones."""

    address: str
    port_said: str
    code: str
    qr: str
    until: str
    rows: tuple[DeviceRow, ...]
    wrong: tuple[tuple[str, int], ...]
    wrong_within: int
    shut: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PairPage:
    """What a device that is not let in sees."""

    code: str
    name: str
    to: str
    problem: Problem | None


def check_at_bench(request: Request) -> None:
    """Refuse what only this computer may ask for."""
    if not at_the_bench(request.scope):
        what = "devices are seen to on the bench computer alone"
        raise RefusedError(Problem("this page", what, "open it there, by the address the start printed"))


@router.get("/devices", dependencies=[Depends(check_at_bench)])
def devices_page(request: Request, desk: AtDesk) -> Response:
    """Show the devices that are let in, and the code for the next."""
    return render(request, "devices.html", devices_context(desk), title="Devices")


@router.get("/devices/now", dependencies=[Depends(check_at_bench)], include_in_schema=False)
def now(desk: AtDesk) -> Response:
    """Return what the page shows in two words, so that it can tell when it is out of date."""
    code = desk.codes.now()
    return JSONResponse({"code": code.text if code else "", "devices": len(desk.book.devices())})


@router.post("/devices/code", dependencies=[Depends(check_at_bench), Depends(check_form_token)])
def make_code(desk: AtDesk) -> Response:
    """Make a new code; the one before is good no longer."""
    if desk.settings.address:
        desk.codes.make()
    return RedirectResponse("/devices", status_code=303)


@router.post("/devices/{device_id}/remove", dependencies=[Depends(check_at_bench), Depends(check_form_token)])
def remove(desk: AtDesk, device_id: UUID) -> Response:
    """Let a device in no more."""
    if not desk.book.remove_device(device_id):
        raise NotFoundError(Problem("device", "it was removed before", "load the list of devices anew"))
    return RedirectResponse("/devices", status_code=303)


@router.get("/devices/code")
@router.get("/devices/{device_id}/remove")
def moved(device_id: str = "") -> Response:
    """Show the devices where a form that was refused is loaded again."""
    return RedirectResponse("/devices", status_code=303)


@router.get(PAIRING)
def pairing_page(request: Request, desk: AtDesk, code: str = "", to: str = "/") -> Response:
    """Show what pairs this device; the code is used up by the button, not by looking."""
    if at_the_bench(request.scope):
        return RedirectResponse("/devices", status_code=303)
    if desk.book.device_with(secret_in(request.headers.get("cookie", ""))) is not None:
        return RedirectResponse(local_path(to), status_code=303)
    page = PairPage(code=code[:40], name=_guess_name(request), to=local_path(to), problem=None)
    return render(request, "pair.html", page, title="Pair this device")


@router.post(PAIRING, dependencies=[Depends(check_form_token)])
def pair_device(
    request: Request,
    desk: AtDesk,
    code: Annotated[str, Form(max_length=200)] = "",
    name: Annotated[str, Form(max_length=200)] = "",
    to: Annotated[str, Form()] = "/",
) -> Response:
    """Let this device in, if it knows the code."""
    secret = secrets.token_urlsafe(32)
    try:
        pair(desk.book, desk.codes, code, name=name, address=address_of(request.scope), secret=secret)
    except (BadInputError, WaitError) as error:
        page = PairPage(code=code, name=name, to=local_path(to), problem=error.problems[0])
        return render(request, "pair.html", page, title="Pair this device", status=status_of(error))
    response = RedirectResponse(local_path(to), status_code=303)
    keep_let_in(response, secret)
    return response


def devices_context(desk: Desk) -> DevicesPage:
    """Return what the page of devices shows."""
    code, address, wrong = desk.codes.now(), desk.settings.address, desk.codes.wrong()
    return DevicesPage(
        address=address,
        port_said="" if desk.settings.address else "asfound bench --lan",
        code=code.text if code else "",
        qr=qr_inline(pairing_address(address, code.text)) if code and address else "",
        until=show_clock(wall_clock_ms() + round(code.left_s * 1000)) if code else "",
        rows=tuple(device_row(device) for device in desk.book.devices()),
        wrong=wrong,
        wrong_within=round(WITHIN_S / 60),
        shut=sum(count for _, count in wrong) >= FROM_ALL,
    )


def device_row(device: Device) -> DeviceRow:
    """Return a device's row in the list."""
    return DeviceRow(
        id=device.id,
        name=device.name,
        paired=f"{show_day(device.paired_ms)}, {show_clock(device.paired_ms)}",
        seen=f"{show_day(device.seen_ms)}, {show_clock(device.seen_ms)}",
    )


def _guess_name(request: Request) -> str:
    """Return a name to begin with, from the sort of device that the browser says it is on."""
    said = request.headers.get("user-agent", "")
    return "telephone" if "Mobile" in said else "tablet or computer"
