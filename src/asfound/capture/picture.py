"""Photographs: what they are, when they were taken, and small ones for the page."""

import datetime
import math
import struct
import threading
import warnings
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from PIL import Image, ImageDraw, ImageFont, ImageOps, UnidentifiedImageError
from pillow_heif import register_heif_opener

from asfound.problems import bad_input

register_heif_opener()
# The file's content decides what it is, not its name. MPO is a JPEG with a second picture behind it, as many
# telephones write it.
MEDIA_TYPES = {
    "JPEG": "image/jpeg",
    "MPO": "image/jpeg",
    "PNG": "image/png",
    "WEBP": "image/webp",
    "GIF": "image/gif",
    "HEIF": "image/heic",
}
# An MPO is opened as the JPEG it begins with.
_READERS = tuple(kind for kind in MEDIA_TYPES if kind != "MPO")
# Four bytes to a pixel, and twice that while it is turned: more would not fit in a small computer's memory.
MOST_PIXELS = 100_000_000
# What a scanner writes: measured in, but not shown.
SCANNED = ("TIFF", "BMP")
LARGEST_PROFILE = 65_536
# Decoding takes memory: so many at a time, however many small pictures a page asks for at once.
_DECODING = threading.BoundedSemaphore(2)
# Exif 2.32 (CIPA DC-008), from memory.
_EXIF_IFD, _TAKEN, _TAKEN_OFFSET = 0x8769, 0x9003, 0x9011


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What a photograph says of itself.

    Attributes
    ----------
    media_type : str
    width, height : int
        In pixels, as stored.
    taken : datetime or None
        When it was taken, with its offset from UTC if the camera knew one; None where it does not say.
    """

    media_type: str
    width: int
    height: int
    taken: datetime.datetime | None


def identify(stream: BinaryIO, name: str) -> str:
    """Return the media type of a photograph, from its content; the stream is left at its beginning.

    Raises
    ------
    BadInputError
        As for `look_at`.
    """
    return look_at(stream, name).media_type


def look_at(stream: BinaryIO, name: str) -> Seen:
    """Return what a photograph says of itself, without decoding it; the stream is left at its beginning.

    Raises
    ------
    BadInputError
        If it is no photograph that a page can show, is damaged, or has more than 100 million pixels.
    """
    try:
        with opened(stream, name) as image:
            seen = Seen(
                media_type=MEDIA_TYPES[image.format or ""],
                width=image.width,
                height=image.height,
                taken=taken_at(image.info.get("exif", b"")),
            )
            image.verify()
    finally:
        stream.seek(0)
    return seen


@contextmanager
def opened(source: BinaryIO | Path, name: str, *, more: tuple[str, ...] = ()) -> Iterator[Image.Image]:
    """Open a photograph whose size is bearable; whatever is wrong with it inside the block is bad input.

    Parameters
    ----------
    source : file or path
    name : str
        What problems call it.
    more : tuple of str
        Formats read besides those that a page can show.

    Raises
    ------
    BadInputError
        If it is none, is damaged, or has more than 100 million pixels.
    """
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(source, formats=(*_READERS, *more)) as image:
                if image.width * image.height > MOST_PIXELS:
                    raise Image.DecompressionBombError(f"{image.width} by {image.height} pixels")
                yield image
    except UnidentifiedImageError:
        what = "this is no photograph that can be read"
        raise bad_input(name, what, "save it as JPEG, PNG, HEIC or WebP") from None
    except Image.DecompressionBombError as error:
        what = f"it unfolds to more than {MOST_PIXELS // 1_000_000} million pixels ({error})"
        raise bad_input(name, what, "save it smaller") from None
    except (OSError, SyntaxError, ValueError, EOFError, RuntimeError, KeyError, IndexError, TypeError) as error:
        # Pillow lets through whatever its readers stumble over.
        raise bad_input(name, f"the photograph is damaged ({type(error).__name__})", "save it again") from error


def taken_at(exif: bytes) -> datetime.datetime | None:
    """Return when a photograph was taken, as its Exif data say; None where they say nothing that can be read."""
    found = Image.Exif()
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            found.load(exif)
            fields = found.get_ifd(_EXIF_IFD)
        said = str(fields.get(_TAKEN, "")).strip("\0 ")
        taken = datetime.datetime.strptime(said, "%Y:%m:%d %H:%M:%S")
    except (OSError, SyntaxError, ValueError, KeyError, TypeError, IndexError, struct.error, OverflowError):
        return None
    return _with_offset(taken, str(fields.get(_TAKEN_OFFSET, "")).strip("\0 "))


def _with_offset(taken: datetime.datetime, offset: str) -> datetime.datetime:
    try:
        return taken.replace(tzinfo=datetime.datetime.strptime(offset, "%z").tzinfo)
    except ValueError:
        return taken


def write_thumbnail(source: Path, target: Path, *, width: int, called: str = "") -> None:
    """Write a JPEG at most `width` wide, turned the right way up, with none of the data that came with it.

    Where it was taken stays in the original alone; only the colour profile is carried over.

    Raises
    ------
    BadInputError
        If the photograph cannot be decoded.
    """
    with _DECODING, opened(source, called or source.name) as image:
        image.draft("RGB", (width, width))  # a JPEG is decoded no larger than needed, either way up
        image.thumbnail((width * 4, width * 4))  # on its side it may be the height that becomes the width
        profile = image.info.get("icc_profile", b"") if image.mode in ("RGB", "RGBA") else b""
        upright = _on_white(ImageOps.exif_transpose(image))
        upright.thumbnail((width, width * 4))
        upright.info = {}
        upright.save(target, "JPEG", quality=82, icc_profile=profile if len(profile) <= LARGEST_PROFILE else b"")


def _on_white(image: Image.Image) -> Image.Image:
    """Return the picture without transparency: a drawing's paper is white."""
    if not image.has_transparency_data:
        return image.convert("RGB")
    layer = image.convert("RGBA")
    paper = Image.new("RGB", layer.size, "white")
    paper.paste(layer, mask=layer.getchannel("A"))
    return paper


def draw_pins(path: Path, pins: Sequence[tuple[int, float, float, float | None, float | None]]) -> None:
    """Draw numbered pins onto a small picture, for print: number, place and, of an arrow, tip, in shares of its size.

    The picture is one that `write_thumbnail` made; it is written anew in its place.
    """
    with Image.open(path, formats=("JPEG",)) as image:
        profile = image.info.get("icc_profile", b"")
        drawn = image.convert("RGB")
    pen, size = ImageDraw.Draw(drawn), max(10.0, 0.024 * max(drawn.size))
    font = ImageFont.load_default(1.3 * size)
    for number, x, y, tip_x, tip_y in pins:
        at = x * drawn.width, y * drawn.height
        if tip_x is not None and tip_y is not None:
            _draw_arrow(pen, at, (tip_x * drawn.width, tip_y * drawn.height), size)
        pen.circle(at, size, fill=_PIN, outline="white", width=max(2, round(size / 7)))
        pen.text(at, str(number), fill="white", font=font, anchor="mm")
    drawn.save(path, "JPEG", quality=88, icc_profile=profile)


_PIN = "#b3261e"


def _draw_arrow(pen: ImageDraw.ImageDraw, tail: tuple[float, float], tip: tuple[float, float], size: float) -> None:
    turn = math.atan2(tip[1] - tail[1], tip[0] - tail[0])
    barbs = [
        (tip[0] - 1.3 * size * math.cos(turn + side), tip[1] - 1.3 * size * math.sin(turn + side))
        for side in (0.45, -0.45)
    ]
    for colour, width in (("white", 0.5), (_PIN, 0.22)):
        pen.line([tail, tip], fill=colour, width=max(2, round(width * size)))
    pen.polygon([tip, *barbs], fill=_PIN)
