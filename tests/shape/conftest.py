"""Synthetic leak photographs: clean ones of many kinds, known spots laid on them, and JPEG."""

import io
from types import SimpleNamespace

import numpy as np
import pytest
from PIL import Image
from scipy import ndimage

from asfound.shape.leaks import coded, linear

ROWS, COLUMNS = 240, 320
Y, X = np.mgrid[:ROWS, :COLUMNS].astype(float)


def through_jpeg(grey: np.ndarray, quality: int | None) -> np.ndarray:
    """Return grey values of 0 to 255 as light, after JPEG of a quality (None: rounded to eight bits only)."""
    whole = np.clip(np.round(grey), 0, 255).astype(np.uint8)
    if quality is not None:
        kept = io.BytesIO()
        Image.fromarray(whole).save(kept, "JPEG", quality=quality)
        whole = np.asarray(Image.open(kept).convert("L"))
    return linear(whole.astype(np.float32) / 255)


def clean(kind: str, random: np.random.Generator) -> np.ndarray:
    """Return a photograph without any spot, 0 to 255, with noise."""
    noise = random.standard_normal((ROWS, COLUMNS))
    turn, period = random.uniform(0, np.pi), random.uniform(16, 50)
    along = np.cos(turn) * X + np.sin(turn) * Y
    across = np.cos(turn) * Y - np.sin(turn) * X
    even = (along - along.min()) / np.ptp(along)
    middle = (X - COLUMNS / 2) ** 2 + (Y - ROWS / 2) ** 2
    match kind:
        case "dark":
            return 4 + 3 * noise
        case "cut off at black":
            return 2 * noise
        case "half lit":
            return np.where(even < 0.5, 1 + 2 * noise, 80 + 6 * noise)
        case "gradient":
            return 20 + 120 * even + 2 * noise
        case "vignette":
            return 150 * np.exp(-middle / 2 / 180**2) + 3 * noise
        case "soft folds":
            return 40 + 35 * ndimage.gaussian_filter(2 * np.abs(along / period % 1 - 0.5), 1) + 3 * noise
        case "sharp folds":
            return 30 + 60 * (along / period % 1) + 15 * (along / period % 1 > 0.9) + 3 * noise
        case "zigzag folds":
            bend = np.abs(X / 80 % 2 - 1)
            return 30 + 50 * ((Y + 20 * bend) / period % 1 > 0.5) * (0.6 + 0.4 * bend) + 3 * noise
        case "cloth":
            thread = random.uniform(3, 7)
            weave = np.sin(2 * np.pi * along / thread) * np.sin(2 * np.pi * across / thread)
            return 60 + 15 * weave * (1 + 3 * ndimage.gaussian_filter(noise, 3)) + 4 * noise
        case "grain":
            grain = ndimage.gaussian_filter(noise, random.uniform(0.6, 2.5))
            return 70 + 12 * grain / grain.std()
        case "mottle":
            patches = ndimage.gaussian_filter(noise, 8)
            return 50 + 10 * patches / patches.std() + 2 * random.standard_normal(noise.shape)
        case "few photons":
            return random.poisson(2 + 20 * np.exp(-middle / 2 / 120**2)) * 2.0
        case "without noise":
            return 10 + 30 * even
        case _:
            return 40 + 50 * np.exp(-((along - along.mean()) ** 2) / 2 / 1.2**2) + 2 * noise


def with_spots(grey: np.ndarray, places: np.ndarray, widths: np.ndarray, heights: np.ndarray) -> np.ndarray:
    """Return a photograph with round spots of a width at half height laid on it, added as light."""
    light = linear((np.clip(grey, 0, 255) / 255).astype(np.float32)).astype(float)
    for (x, y), width, height in zip(places, widths, heights, strict=True):
        light += height * np.exp(-((X - x) ** 2 + (Y - y) ** 2) * 4 * np.log(2) / width**2)
    return 255 * coded(light.astype(np.float32))


def some_places(random: np.random.Generator, count: int) -> np.ndarray:
    """Return places well within the photograph and 40 pixels apart."""
    places: list[np.ndarray] = []
    while len(places) < count:
        place = random.uniform((30, 30), (COLUMNS - 30, ROWS - 30))
        if all(np.hypot(*(place - other)) > 40 for other in places):
            places.append(place)
    return np.array(places)


@pytest.fixture(scope="session")
def scenes() -> SimpleNamespace:
    """Give the makers of synthetic leak photographs."""
    return SimpleNamespace(
        through_jpeg=through_jpeg,
        clean=clean,
        with_spots=with_spots,
        some_places=some_places,
        rows=ROWS,
        columns=COLUMNS,
    )
