"""Where the book is: a folder of this machine, or a PostgreSQL database with a folder for its attachments."""

import hashlib
import os
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

import platformdirs
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError

from asfound.problems import bad_input

BOOK_FILE = "book.sqlite"
SETTINGS_FILE = "settings.toml"


@dataclass(frozen=True, slots=True, kw_only=True)
class Location:
    """Everything that must be known to open a book.

    Attributes
    ----------
    url : str
        Database URL; may hold a password, so it is left out of the printed form.
    folder : Path
        Folder of this machine with the bench's identity and the locks (and the book itself for SQLite).
    attachments : Path
        Folder of the attachments.
    """

    url: str = field(repr=False)
    folder: Path
    attachments: Path

    @property
    def is_file(self) -> bool:
        """Whether the book is a SQLite file in `folder`."""
        return self.url.startswith("sqlite")

    def __str__(self) -> str:
        return str(self.folder) if self.is_file else make_url(self.url).render_as_string(hide_password=True)


def locate(named: str | None = None, *, environment: Mapping[str, str] | None = None) -> Location:
    """Return where the book is.

    Parameters
    ----------
    named : str, optional
        A folder or a PostgreSQL URL, as given with `--book`; otherwise the variable ASFOUND_BOOK,
        otherwise the user's data folder.
    environment : mapping, optional
        Instead of the process's own.

    Raises
    ------
    BadInputError
        If the URL cannot be read, is of another sort of database, or its attachments have no folder.
    """
    environment = os.environ if environment is None else environment
    where = "--book" if named else "ASFOUND_BOOK"
    wanted = named or environment.get("ASFOUND_BOOK", "")
    if "://" in wanted:
        return _on_postgresql(wanted, where, environment)
    return in_folder(Path(wanted).expanduser() if wanted else user_folder())


def in_folder(folder: Path) -> Location:
    """Return the location of a SQLite book in `folder`."""
    folder = folder.absolute()
    url = URL.create("sqlite", database=str(folder / BOOK_FILE)).render_as_string()
    return Location(url=url, folder=folder, attachments=folder / "attachments")


def on_postgresql(url: str, *, folder: Path, attachments: Path) -> Location:
    """Return the location of a book on PostgreSQL, with its local folder and that of its attachments."""
    parsed = make_url(url).set(drivername="postgresql+psycopg")
    text = parsed.render_as_string(hide_password=False)
    return Location(url=text, folder=folder.absolute(), attachments=attachments.absolute())


def user_folder() -> Path:
    """Return the user's data folder."""
    return Path(platformdirs.user_data_path("asfound", appauthor=False))


def _on_postgresql(wanted: str, where: str, environment: Mapping[str, str]) -> Location:
    try:
        url = make_url(wanted)
    except (ArgumentError, ValueError) as error:
        remedy = "write it as postgresql://user@host/database"
        raise bad_input(where, "the book's URL cannot be read", remedy) from error
    if url.drivername not in ("postgresql", "postgres", "postgresql+psycopg"):
        remedy = "name a folder, or a URL that begins with postgresql://"
        raise bad_input(where, f"a book cannot be kept on {url.drivername!r}", remedy)
    attachments = environment.get("ASFOUND_ATTACHMENTS") or _settings().get("attachments")
    if not attachments:
        what = "a book on PostgreSQL needs a folder for its attachments, and none is named"
        remedy = f'set ASFOUND_ATTACHMENTS, or write attachments = "FOLDER" in {user_folder() / SETTINGS_FILE}'
        raise bad_input(where, what, remedy)
    # One local folder to a database: the bench's place in each book is its own.
    plain = url.set(drivername="postgresql", password=None).render_as_string()
    folder = user_folder() / "benches" / hashlib.sha256(plain.encode()).hexdigest()[:16]
    full = url.set(drivername="postgresql").render_as_string(hide_password=False)
    return on_postgresql(full, folder=folder, attachments=Path(attachments).expanduser())


def _settings() -> dict[str, str]:
    path = user_folder() / SETTINGS_FILE
    try:
        return {name: str(value) for name, value in tomllib.loads(path.read_text("utf-8")).items()}
    except FileNotFoundError:
        return {}
    except (OSError, ValueError) as error:
        raise bad_input(str(path), f"the settings cannot be read: {error}", "mend or remove the file") from error
