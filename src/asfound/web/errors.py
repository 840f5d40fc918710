"""Every error becomes a status and a message here, and nowhere else."""

import logging

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, Response
from pydantic import ValidationError
from pydantic_core import ErrorDetails
from starlette.exceptions import HTTPException

from asfound.problems import AsfoundError, BadInputError, ConflictError, NotFoundError, Problem, StorageError
from asfound.web.codes import WaitError
from asfound.web.render import ErrorPage, render
from asfound.web.security import TOO_LARGE, RefusedError, TooLargeError, dress, too_large

STATUS: dict[type[AsfoundError], int] = {
    BadInputError: 422,
    NotFoundError: 404,
    ConflictError: 409,
    RefusedError: 403,
    TooLargeError: 413,
    WaitError: 429,
    StorageError: 507,
}
_TITLES = {
    403: "Not sent",
    404: "Not in the book",
    405: "Not here",
    409: "That does not fit",
    413: "Too large",
    422: "Not understood",
    429: "Wait a little",
    507: "The book refuses",
}
_LOG = logging.getLogger("asfound.web")


def status_of(error: AsfoundError) -> int:
    """Return the HTTP status of an error."""
    return next((STATUS[kind] for kind in type(error).__mro__ if kind in STATUS), 500)


def map_errors(app: FastAPI) -> None:
    """Let every error of the application be answered from here."""
    app.add_exception_handler(AsfoundError, _expected)
    app.add_exception_handler(HTTPException, _http)
    app.add_exception_handler(RequestValidationError, _invalid)
    app.add_exception_handler(ValidationError, _too_long)
    app.add_exception_handler(Exception, _unexpected)


async def _expected(request: Request, error: Exception) -> Response:
    assert isinstance(error, AsfoundError)
    return await answer(request, status_of(error), error.problems)


async def _http(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    if request.scope.get(TOO_LARGE):
        return await _expected(request, too_large(request.url.path, request.app.state.desk.settings))
    remedy = "go back to the list of jobs"
    if error.status_code == 404:
        problem = Problem("address", f"nothing is kept at {request.url.path}", remedy)
    else:
        problem = Problem("address", str(error.detail), remedy)
    return await answer(request, error.status_code, (problem,))


async def _invalid(request: Request, error: Exception) -> Response:
    assert isinstance(error, RequestValidationError)
    if request.scope.get(TOO_LARGE):
        return await _expected(request, too_large(request.url.path, request.app.state.desk.settings))
    if any(fault["loc"][0] == "path" for fault in error.errors()):
        problem = Problem("address", f"nothing is kept at {request.url.path}", "go back to the list of jobs")
        return await answer(request, 404, (problem,))
    faults = [
        Problem(str(fault["loc"][-1]), str(fault["msg"]).lower(), "give it as the page's form does")
        for fault in error.errors()
    ]
    return await answer(request, 422, tuple(faults))


async def _too_long(request: Request, error: Exception) -> Response:
    """Answer for a text that is longer than an entry takes, or has what no entry can hold."""
    assert isinstance(error, ValidationError)
    return await answer(request, 422, problems_of(error))


def problems_of(error: ValidationError) -> tuple[Problem, ...]:
    """Return what an entry's model refused, each at the name of its field."""
    return tuple(
        Problem(str(fault["loc"][-1] if fault["loc"] else "entry"), _what(fault), "shorten or correct it")
        for fault in error.errors()
    )


def _what(fault: ErrorDetails) -> str:
    if fault["type"] in ("too_long", "string_too_long"):
        return f"it is longer than the {fault['ctx']['max_length']} characters that an entry keeps"
    return fault["msg"].lower()


async def _unexpected(request: Request, error: Exception) -> Response:
    _LOG.error("unexpected error at %s", request.url.path, exc_info=error)
    what = f"something went wrong inside asfound ({type(error).__name__})"
    remedy = "the book is as it was; try again, and if it stays so, see the server's window for what to report"
    response = await answer(request, 500, (Problem("asfound", what, remedy),))
    dress(response.headers)
    return response


async def answer(request: Request, status: int, problems: tuple[Problem, ...]) -> Response:
    """Return the problems as a page, or as JSON where JSON was asked."""
    if wants_json(request):
        faults = [{"where": p.where, "what": p.what, "remedy": p.remedy} for p in problems]
        return JSONResponse({"problems": faults}, status_code=status)
    title = _TITLES.get(status, "Something went wrong")
    page = ErrorPage(problems=problems, typed=await _typed(request), back=_back(request))
    return render(request, "error.html", page, title=title, status=status)


def wants_json(request: Request) -> bool:
    """Tell whether the answer goes to a program."""
    return request.url.path.startswith("/api/") or request.headers.get("accept", "").startswith("application/json")


async def _typed(request: Request) -> tuple[tuple[str, str], ...]:
    """Return what was typed into the form that was refused, so that it can be copied."""
    form = getattr(request, "_form", None)
    if form is None:
        return ()
    return tuple(
        (name, text) for name, text in form.multi_items() if name != "token" and isinstance(text, str) and text
    )


def _back(request: Request) -> str:
    """Return the page that a refused form came from, as a path of this server."""
    parts = request.url.path.split("/")
    return "/".join(parts[:3]) if len(parts) > 3 and parts[1] == "job" else "/"
