"""A photograph as an array of light, for measuring in it."""

import warnings
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageOps, UnidentifiedImageError
from pillow_heif import register_heif_opener

from asfound.problems import bad_input

Light = NDArray[np.float32]
MOST_PIXELS = 200_000_000

register_heif_opener()


def read_light(path: Path) -> Light:
    """Return the light of a photograph, row by row from the top, black 0 and white 1.

    Grey values are taken as sRGB and made proportional to light, so that an edge blurred evenly is half way
    between dark and light where it was (IEC 61966-2-1, from memory). JPEG, PNG, HEIC and whatever else
    Pillow reads; turned the right way up.

    Raises
    ------
    BadInputError
        If the file cannot be read as a photograph, or has more than 200 million pixels.
    """
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            with Image.open(path) as image:
                if image.width * image.height > MOST_PIXELS:
                    what = f"{image.width} by {image.height} pixels are too many"
                    raise bad_input(path.name, what, "save it smaller")
                grey = np.asarray(ImageOps.exif_transpose(image).convert("L"))
    except UnidentifiedImageError:
        raise bad_input(path.name, "is no photograph", "give a JPEG, PNG or HEIC file") from None
    except (OSError, SyntaxError, ValueError, Image.DecompressionBombError) as error:
        what = f"the photograph cannot be read ({type(error).__name__})"
        raise bad_input(path.name, what, "save it again") from error
    return np.asarray(_SRGB[grey])


def _srgb_light() -> Light:
    value = np.arange(256) / 255
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4).astype(np.float32)


_SRGB = _srgb_light()
