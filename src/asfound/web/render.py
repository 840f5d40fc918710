"""Templates and what they are given: a frame common to all pages, and one frozen page each."""

import hashlib
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

import jinja2
from fastapi import Request
from fastapi.responses import HTMLResponse

from asfound.problems import Problem
from asfound.web.lengths import LENGTHS, PREFERRED, preferred, preferred_cell, preferred_head
from asfound.web.security import at_the_bench, token_of

FOLDER = Path(__file__).parent
STATIC = FOLDER / "static"
THEMES = ("auto", "light", "dark")


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """What every page shows around itself."""

    title: str
    token: str
    theme: str
    here: str
    lengths: str
    version: str
    at_bench: bool
    on_network: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ErrorPage:
    """What went wrong, and what was typed, to be copied."""

    problems: tuple[Problem, ...]
    typed: tuple[tuple[str, str], ...]
    back: str


def environment() -> jinja2.Environment:
    """Return the environment of the templates: everything escaped, nothing undefined."""
    made = jinja2.Environment(
        loader=jinja2.FileSystemLoader(FOLDER / "templates"),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters.update(preferred=preferred, preferred_cell=preferred_cell, preferred_head=preferred_head)
    return made


_ENVIRONMENT = environment()


def warm_templates() -> None:
    """Compile every template, so that the first to look need not wait for it."""
    for name in _ENVIRONMENT.list_templates():
        _ENVIRONMENT.get_template(name)


def render(request: Request, template: str, page: object, *, title: str, status: int = 200) -> HTMLResponse:
    """Return a page: its template with its own frozen dataclass."""
    frame = frame_of(request, title)
    before = PREFERRED.set(frame.lengths)
    try:
        html = _ENVIRONMENT.get_template(template).render(frame=frame, page=page)
    finally:
        PREFERRED.reset(before)
    return HTMLResponse(html, status_code=status)


def frame_of(request: Request, title: str) -> Frame:
    """Return what surrounds a page."""
    theme = request.cookies.get("asfound_theme", "auto")
    lengths = request.cookies.get("asfound_lengths", "mm")
    return Frame(
        title=title,
        token=token_of(request),
        theme=theme if theme in THEMES else "auto",
        lengths=lengths if lengths in LENGTHS else "mm",
        here=request.url.path if request.method == "GET" else "/",
        version=str(request.app.state.static_version),
        at_bench=at_the_bench(request.scope),
        on_network=bool(request.app.state.desk.settings.address),
    )


def local_path(address: str) -> str:
    """Return the path of an address of this server, or "/": never another site."""
    parts = urlsplit(address)
    safe = not parts.scheme and not parts.netloc and parts.path.startswith("/") and not parts.path.startswith("//")
    return parts.path if safe and "\\" not in address else "/"


def static_version() -> str:
    """Return a mark that changes with the static files, so that a browser may keep them for good."""
    digest = hashlib.sha256()
    for path in sorted(STATIC.iterdir()):
        digest.update(path.read_bytes())
    return digest.hexdigest()[:12]
