"""The routes of the drawer: look, put in, take out."""

from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Form, Request
from fastapi.responses import RedirectResponse, Response

from asfound.bench.stock import kind_called, put, take
from asfound.problems import BadInputError, bad_input
from asfound.web.desk import AtDesk, TypedForm
from asfound.web.drawer.page import DrawerPage, cells_of, drawer_context, say_stock
from asfound.web.errors import status_of
from asfound.web.render import render
from asfound.web.security import check_form_token

router = APIRouter(prefix="/drawer")
Checked = [Depends(check_form_token)]


@router.get("")
def drawer_page(request: Request, desk: AtDesk, told: str = "") -> Response:
    """Show the drawer; with a thread in the address, what of it would do."""
    return _show(request, drawer_context(desk.book, told=told[:300], asked=dict(request.query_params)))


@router.get("/put")
@router.get("/take")
def moved() -> Response:
    """Show the drawer where a form that was refused is loaded again."""
    return RedirectResponse("/drawer", status_code=303)


@router.post("/put", dependencies=Checked)
def put_in(request: Request, desk: AtDesk, typed: TypedForm) -> Response:
    """Put something in; what cannot be kept comes back as typed."""
    given = {name: str(value) for name, value in typed.items()}
    kind = kind_called(given.get("kind", ""))
    try:
        item = put(desk.book, kind.name, cells_of(kind, given))
    except BadInputError as error:
        page = drawer_context(desk.book, refused=kind.name, typed=given, problems=error.problems)
        return _show(request, page, status=status_of(error))
    return _to(f"In: {say_stock(item)}", kind.name)


@router.post("/take", dependencies=Checked)
def take_out(
    request: Request,
    desk: AtDesk,
    kind: Annotated[str, Form()] = "",
    number: Annotated[int, Form()] = 0,
    text: Annotated[str, Form()] = "",
    count: Annotated[str, Form()] = "",
) -> Response:
    """Take a line out, or so many of its screws."""
    try:
        row = take(desk.book, kind, number, count=_count(count), text=text)
    except BadInputError as error:
        return _show(request, drawer_context(desk.book, problems=error.problems), status=status_of(error))
    said = row.text if row.item is None else say_stock(row.item)
    return _to(f"Out: {f'{count.strip()} × ' if count.strip() else ''}{said}", kind)


def _count(text: str) -> int | None:
    plain = text.strip()
    if plain and not (plain.isdecimal() and len(plain) < 7):
        raise bad_input("count", f"{plain!r} is no count", "write digits alone, such as 2")
    return int(plain) if plain else None


def _to(told: str, kind: str) -> Response:
    return RedirectResponse(f"/drawer?{urlencode({'told': told[:300]})}#{kind}", status_code=303)


def _show(request: Request, page: DrawerPage, *, status: int = 200) -> Response:
    return render(request, "drawer.html", page, title="The drawer", status=status)
