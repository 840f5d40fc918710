"""Photographs: what they are, and small ones for the page."""

import warnings
from pathlib import Path
from typing import BinaryIO

from PIL import Image, ImageOps, UnidentifiedImageError

from asfound.problems import bad_input

# What a browser shows without help; the file's content decides, not its name.
MEDIA_TYPES = {"JPEG": "image/jpeg", "PNG": "image/png", "WEBP": "image/webp", "GIF": "image/gif"}
MOST_PIXELS = 200_000_000


def identify(stream: BinaryIO, name: str) -> str:
    """Return the media type of a photograph, from its content; the stream is left at its beginning.

    Raises
    ------
    BadInputError
        If it is no photograph that a page can show, is damaged, or has more than 200 million pixels.
    """
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            with Image.open(stream, formats=tuple(MEDIA_TYPES)) as image:
                width, height, kind = image.width, image.height, image.format
                image.verify()
    except UnidentifiedImageError:
        raise bad_input(name, "this is no photograph that can be shown", "save it as JPEG or PNG") from None
    except (OSError, SyntaxError, ValueError, Image.DecompressionBombError) as error:
        raise bad_input(name, f"the photograph is damaged ({type(error).__name__})", "save it again") from error
    finally:
        stream.seek(0)
    if width * height > MOST_PIXELS:
        raise bad_input(name, f"{width} by {height} pixels are too many", "save it smaller")
    assert kind is not None
    return MEDIA_TYPES[kind]


def write_thumbnail(source: Path, target: Path, *, width: int) -> None:
    """Write a JPEG at most `width` wide, turned the right way up.

    Raises
    ------
    BadInputError
        If the photograph cannot be decoded.
    """
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            with Image.open(source, formats=tuple(MEDIA_TYPES)) as image:
                image.draft("RGB", (width, width))  # a JPEG is decoded no larger than needed, either way up
                upright = ImageOps.exif_transpose(image).convert("RGB")
    except (OSError, SyntaxError, ValueError, Image.DecompressionBombError) as error:
        raise bad_input(
            source.name, f"the photograph cannot be read ({type(error).__name__})", "save it again"
        ) from error
    upright.thumbnail((width, width * 4))
    upright.save(target, "JPEG", quality=82)
