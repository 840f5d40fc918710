"""Files out of the book, with types that can do no harm; photographs into it; the pages' own files."""

from pathlib import Path
from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Depends, Form, UploadFile
from fastapi.responses import FileResponse, RedirectResponse, Response

from asfound.bench.jobs import load_job
from asfound.bench.photographs import add_photos, thumbnail
from asfound.plots import PALETTE, palette_css
from asfound.problems import NotFoundError, Problem, bad_input
from asfound.web.desk import AtDesk
from asfound.web.render import STATIC
from asfound.web.security import check_form_token

router = APIRouter()
MOST_AT_ONCE = 40
FOR_GOOD = {"Cache-Control": "private, max-age=31536000, immutable"}
# A file from outside runs nothing and loads nothing, whatever is in it.
HARMLESS = {"Content-Security-Policy": "default-src 'none'; sandbox"}
# What a browser may show itself; everything else is handed out as a file to be kept.
SHOWN = frozenset({"image/jpeg", "image/png", "image/webp", "image/gif"})
HANDED_OUT = SHOWN | {
    "image/heic",
    "image/heif",
    "audio/wav",
    "audio/x-wav",
    "audio/flac",
    "audio/mp4",
    "audio/mpeg",
    "audio/ogg",
    "video/mp4",
    "video/quicktime",
    "video/webm",
}
_STATIC_TYPES = {".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".svg": "image/svg+xml"}


@router.get("/static/{version}/plots.css")
def plots_css(version: str) -> Response:
    """Return the colours of the pictures, in the light and in the dark."""
    return Response(picture_rules(), media_type="text/css", headers=FOR_GOOD)


def picture_rules() -> str:
    """Return the rules of `palette_css`, and those of the theme as switched."""
    switched = "".join(
        f':root[data-theme="{theme}"]{{' + "".join(f"--plot-{name}:{value};" for name, value in colours) + "}\n"
        for theme, colours in (
            ("light", [(name, colour.light) for name, colour in PALETTE.items()]),
            ("dark", [(name, colour.dark) for name, colour in PALETTE.items()]),
        )
    )
    return palette_css() + switched


@router.get("/static/{version}/{name}")
def static(version: str, name: str) -> Response:
    """Return a file of the pages; the version in its address lets the browser keep it."""
    path = STATIC / name
    if path.parent != STATIC or not path.is_file() or path.suffix not in _STATIC_TYPES:
        raise NotFoundError(Problem("address", f"there is no {name}", "load the page anew"))
    return FileResponse(path, media_type=_STATIC_TYPES[path.suffix], headers=FOR_GOOD)


@router.get("/photo/{sha256}/{width}")
def photo(desk: AtDesk, sha256: str, width: int) -> Response:
    """Return a photograph, made small."""
    path = thumbnail(desk.book, sha256, width=width)
    return FileResponse(path, media_type="image/jpeg", headers=FOR_GOOD | HARMLESS)


@router.get("/job/{job_id}/file/{entry_id}")
def attachment(desk: AtDesk, job_id: UUID, entry_id: UUID) -> Response:
    """Return the file that an entry cites, as it was kept."""
    job = load_job(desk.book, job_id)
    entry = next((e for e in job.entries if e.id == entry_id), None)
    kept = getattr(entry.body, "attachment", None) if entry is not None else None
    if kept is None:
        raise NotFoundError(Problem("file", "no entry of this job cites it", "look at the job's page"))
    return file_answer(desk.book.attachment_path(kept.sha256), kept.name, kept.media_type)


def file_answer(path: Path, name: str, media_type: str) -> Response:
    """Return a file under its own name; shown only where a browser can do so without harm."""
    return FileResponse(
        path,
        filename=name,
        media_type=media_type if media_type in HANDED_OUT else "application/octet-stream",
        content_disposition_type="inline" if media_type in SHOWN else "attachment",
        headers=HARMLESS,
    )


@router.post("/job/{job_id}/photos", dependencies=[Depends(check_form_token)])
def upload_photos(
    desk: AtDesk,
    job_id: UUID,
    file: list[UploadFile] | None = None,
    caption: Annotated[str, Form()] = "",
    step: Annotated[str, Form()] = "",
) -> Response:
    """Keep photographs, each with its step."""
    entries = keep_photos(desk, job_id, file or [], caption, step)
    return RedirectResponse(wrote(job_id, entries), status_code=303)


def keep_photos(desk: AtDesk, job_id: UUID, files: list[UploadFile], caption: str, step: str) -> tuple[UUID, ...]:
    """Keep photographs, all of them or none, and return their entries."""
    given = [(one.file, one.filename) for one in files if one.filename]
    if not given:
        raise bad_input("photograph", "no file was chosen", "choose a JPEG, HEIC, PNG or WebP file")
    if len(given) > MOST_AT_ONCE:
        raise bad_input("photographs", f"{len(given)} are too many at once", f"send {MOST_AT_ONCE} or fewer")
    return tuple(one.id for one in add_photos(desk.book, job_id, given, caption=caption, step=read_step(step)))


def wrote(job_id: UUID, entries: tuple[UUID, ...]) -> str:
    """Return the address of the job's page that tells what was written."""
    return f"/job/{job_id}?wrote={','.join(map(str, entries))}"


def read_step(typed: str) -> UUID | None:
    """Return the step as chosen; None for the latest."""
    try:
        return UUID(typed) if typed else None
    except ValueError:
        raise bad_input("step", f"{typed!r} is no step", "choose one from the list") from None
