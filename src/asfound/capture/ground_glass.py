"""Photographs of the ground glass, or of an opening, into grey arrays."""

from collections.abc import Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageOps

from asfound.capture.picture import SCANNED, opened
from asfound.focus.sharpness import sharpness_of
from asfound.problems import bad_input


def read_grey(path: Path) -> NDArray[np.float32]:
    """Return a photograph as grey values from 0 to 1, turned the right way up.

    Sixteen-bit and floating-point files are divided by their own brightest value.

    Raises
    ------
    BadInputError
        If the file is missing, no photograph that can be read, or too large.
    """
    if not path.is_file():
        raise bad_input(str(path), "there is no such file", "check the name")
    with opened(path, str(path), more=SCANNED) as image:
        return _grey(ImageOps.exif_transpose(image))


def _grey(image: Image.Image) -> NDArray[np.float32]:
    if image.mode in ("I", "F") or image.mode.startswith("I;16"):
        # Converting these to eight bits would cut off everything above 255.
        values = np.asarray(image, dtype=np.float32)
        return values / np.float32(max(float(values.max()), 1.0))
    return np.asarray(image.convert("L"), dtype=np.float32) / np.float32(255)


def middle(grey: NDArray[np.float32], *, share: float) -> NDArray[np.float32]:
    """Return the middle of a photograph: a rectangle of `share` of each side.

    Raises
    ------
    BadInputError
        If the share is not above zero and at most one.
    """
    if not 0 < share <= 1:
        raise bad_input("region", f"{share:g} is not a share of the side", "give more than 0, at most 1")
    rows, columns = (max(1, round(side * share)) for side in grey.shape)
    top, left = (grey.shape[0] - rows) // 2, (grey.shape[1] - columns) // 2
    return grey[top : top + rows, left : left + columns]


def series_sharpness(paths: Sequence[Path], *, share: float = 0.5) -> tuple[float, ...]:
    """Return the sharpness of each photograph of a series, over the same middle rectangle.

    Read one at a time: a series of telephone photographs does not fit a small computer's memory.

    Raises
    ------
    BadInputError
        If one cannot be read, or they are of different sizes (the measure depends on the scale).
    """
    found: list[float] = []
    size: tuple[int, ...] | None = None
    for path in paths:
        grey = read_grey(path)
        if size is not None and grey.shape != size:
            what = f"it is {grey.shape[1]} x {grey.shape[0]} pixels, the first {size[1]} x {size[0]}"
            raise bad_input(str(path), what, "take all with the same telephone, zoom and orientation")
        size = grey.shape
        found.append(sharpness_of(middle(grey, share=share)))
    return tuple(found)
