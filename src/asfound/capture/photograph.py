"""A photograph as an array of light, for measuring in it."""

from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import ImageOps

from asfound.capture.picture import SCANNED, opened

Light = NDArray[np.float32]


def read_light(path: Path) -> Light:
    """Return the light of a photograph, row by row from the top, black 0 and white 1.

    Grey values are taken as sRGB and made proportional to light, so that an edge blurred evenly is half way
    between dark and light where it was (IEC 61966-2-1, from memory). JPEG, PNG, HEIC, WebP and TIFF; turned the
    right way up.

    Raises
    ------
    BadInputError
        If the file cannot be read as a photograph, or has more than 100 million pixels.
    """
    with opened(path, path.name, more=SCANNED) as image:
        image.draft("L", image.size)
        grey = np.asarray(ImageOps.exif_transpose(image.convert("L")))
    return np.asarray(_SRGB[grey])


def _srgb_light() -> Light:
    value = np.arange(256) / 255
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4).astype(np.float32)


_SRGB = _srgb_light()
