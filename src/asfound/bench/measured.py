"""How a recording was made, and what was found in it: kept in a cache beside the book, so that it is measured once."""

import contextlib
import hashlib
import json
import secrets
from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields, replace
from pathlib import Path
from typing import Any

from asfound import __version__
from asfound.book import Book
from asfound.capture import ClickOffset, Recording, Region
from asfound.capture.recording import Kind
from asfound.problems import Problem
from asfound.shutter import Arrangement, Firing, Flag

USUAL_U_CLICK_OFFSET_S = 3e-4
# What the readers say in the words of the command line, and how a page says it.
_PAGE_WORDS = (
    ("; say --kind if it is not.", "; choose another kind if it is not."),
    ("; say --kind if the sound is meant.", "; choose sound as its kind if the sound is meant."),
    ("or say --kind sound", "or choose another kind"),
    ("or name the region", "or give the region"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class How:
    """How a recording was made; None where nobody said.

    Attributes
    ----------
    kind : {"light", "sound", "video"} or None
    channel : int or None
        From 0.
    aperture : float or None
        f-number in use.
    whole_pupil, diffuse, agrees_when_dimmed : bool or None
    sensor_mm, distance_mm, response_s : float or None
    click_offset_s, u_click_offset_s : float or None
        What to add to the interval between clicks, as once measured against light.
    slow_motion : float
    region : tuple of four floats or None
        Left, top, right, bottom, in shares of the picture.
    """

    kind: Kind | None = None
    channel: int | None = None
    aperture: float | None = None
    whole_pupil: bool | None = None
    diffuse: bool | None = None
    agrees_when_dimmed: bool | None = None
    sensor_mm: float | None = None
    distance_mm: float | None = None
    response_s: float | None = None
    click_offset_s: float | None = None
    u_click_offset_s: float | None = None
    slow_motion: float = 1.0
    region: tuple[float, float, float, float] | None = None

    @property
    def arrangement(self) -> Arrangement:
        """Where the sensor stood and what it is."""
        return Arrangement(**{field.name: getattr(self, field.name) for field in fields(Arrangement)})

    def as_asked(self) -> dict[str, Any]:
        """Return what `read_recording` is to be asked."""
        offset = None
        if self.click_offset_s is not None:
            u = USUAL_U_CLICK_OFFSET_S if self.u_click_offset_s is None else self.u_click_offset_s
            offset = ClickOffset(offset_s=self.click_offset_s, u_offset_s=u)
        return {
            "kind": self.kind,
            "channel": self.channel,
            "aperture": self.aperture,
            "arrangement": self.arrangement,
            "click_offset": offset,
            "slow_motion": self.slow_motion,
            "region": None if self.region is None else Region(*self.region),
        }

    def sentence(self) -> str:
        """Return what goes with every time out of this recording: the aperture, and what the sensor sees."""
        aperture = "Aperture in use not said" if self.aperture is None else f"Shot at f/{self.aperture:g}"
        if self.whole_pupil is None:
            return f"{aperture}."
        return f"{aperture}; the sensor sees {'the whole' if self.whole_pupil else 'part of the'} pupil."


def page_words(problem: Problem) -> Problem:
    """Return a problem without the command line's words."""
    return replace(problem, remedy=without_options(problem.remedy), what=without_options(problem.what))


def without_options(text: str) -> str:
    """Return a note or remedy in the words of a page."""
    for said, shown in _PAGE_WORDS:
        text = text.replace(said, shown)
    return text


def kept_at(book: Book, sha256: str, how: How) -> Path:
    """Return the file of what was found in a recording made so; it may be deleted at any time."""
    plain = {name: float(value) if type(value) is int else value for name, value in asdict(how).items()}
    said = hashlib.sha256(json.dumps(plain, sort_keys=True).encode()).hexdigest()
    return book.location.folder / "measured" / f"{sha256}-{said[:16]}.json"


def keep_found(path: Path, found: Recording) -> None:
    """Keep what was found in a recording; a disk that refuses only costs time later."""
    plain = {"made_by": __version__, "recording": asdict(found)}
    text = json.dumps(plain, default=float)
    outer = json.dumps({"sha256": hashlib.sha256(text.encode()).hexdigest(), "kept": text})
    beside = path.with_name(f"{path.name}.{secrets.token_hex(4)}")
    with contextlib.suppress(OSError):
        path.parent.mkdir(parents=True, exist_ok=True)
        beside.write_text(outer, "utf-8")
        beside.replace(path)


def found_in(book: Book, sha256: str, how: How) -> Recording | None:
    """Return what was found in a recording made so by this version; None where it must be measured (again)."""
    kept = _read(kept_at(book, sha256, how))
    if kept.get("made_by") != __version__:
        return None
    plain = kept["recording"]
    firings = tuple(_firing(one) for one in plain["firings"])
    return Recording(**{**plain, "firings": firings, "notes": tuple(plain["notes"])})


def _firing(plain: Mapping[str, Any]) -> Firing:
    flags = tuple(Flag(word) for word in plain["flags"])
    return Firing(
        **{**plain, "flags": flags, "coupling_hz": tuple(plain["coupling_hz"]), "shapes": tuple(plain["shapes"])}
    )


def _read(path: Path) -> dict[str, Any]:
    """Return what is kept; nothing where it is missing or damaged, as it can be made again."""
    try:
        outer = json.loads(path.read_text("utf-8"))
        text = outer["kept"]
        if hashlib.sha256(text.encode()).hexdigest() == outer["sha256"]:
            kept: dict[str, Any] = json.loads(text)
            return kept
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        pass
    return {}
