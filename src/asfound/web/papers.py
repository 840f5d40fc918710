"""Papers handed to the browser: under a name that every system keeps, to be looked at or to be kept."""

import re
from pathlib import PurePath

from fastapi.responses import Response

_TYPES = {".pdf": "application/pdf", ".json": "application/json"}


def paper_name(what: str, of: str, *, otherwise: str = "job", kind: str = "pdf") -> str:
    """Return a paper's file name: what it is and of which ticket or model, in plain letters."""
    return f"{what}-{re.sub(r'[^A-Za-z0-9]+', '-', of).strip('-') or otherwise}.{kind}"


def paper(content: bytes | str, name: str, *, shown: bool = False) -> Response:
    """Return a paper as an answer: shown by the browser, or kept as a file."""
    headers = {"Content-Disposition": f'{"inline" if shown else "attachment"}; filename="{name}"'}
    return Response(content, media_type=_TYPES[PurePath(name).suffix], headers=headers)
