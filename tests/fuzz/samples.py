"""Small good files of every kind, to be damaged."""

import io
import math
from fractions import Fraction

import av
import numpy as np
import pillow_heif
import soundfile
from PIL import Image

from asfound.shutter import SoundInput, exposure_lasting, simulate

RATE = 48_000


def firings() -> np.ndarray:
    """Return two firings of light."""
    line = SoundInput(sample_rate_hz=RATE, level=0.5, noise_rms=0.002)
    return np.asarray(simulate([exposure_lasting(1 / 50), exposure_lasting(1 / 100)], line, seed=3)[0], np.float32)


def recordings() -> dict[str, bytes]:
    """Return recordings by the ending of their names."""
    sound = firings()
    kept = {
        ".wav": written(sound, "WAV", "PCM_16"),
        ".f.wav": written(sound, "WAV", "FLOAT"),
        ".flac": written(sound, "FLAC", "PCM_16"),
        ".ogg": written(sound, "OGG", "VORBIS"),
        ".mp3": written(sound, "MP3", "MPEG_LAYER_III"),
        ".m4a": packed("mp4", "aac", sound),
    }
    return kept | {".mp4": filmed("mp4", "mpeg4"), ".webm": filmed("webm", "libvpx")}


def written(sound: np.ndarray, form: str, subtype: str) -> bytes:
    """Return sound as a file."""
    file = io.BytesIO()
    soundfile.write(file, sound, RATE, format=form, subtype=subtype)
    return file.getvalue()


def packed(form: str, codec: str, sound: np.ndarray) -> bytes:
    """Return sound as a telephone keeps it."""
    file = io.BytesIO()
    with av.open(file, "w", format=form) as whole:
        stream = whole.add_stream(codec, rate=RATE)
        for start in range(0, len(sound) - 1024, 1024):
            frame = av.AudioFrame.from_ndarray(sound[None, start : start + 1024].copy(), format="fltp", layout="mono")
            frame.sample_rate, frame.pts, frame.time_base = RATE, start, Fraction(1, RATE)
            whole.mux(stream.encode(frame))
        whole.mux(stream.encode(None))
    return file.getvalue()


def filmed(form: str, codec: str) -> bytes:
    """Return a film of a shutter that opens twice, at 240 frames a second."""
    file = io.BytesIO()
    with av.open(file, "w", format=form) as whole:
        stream = whole.add_stream(codec, rate=240)
        stream.width, stream.height, stream.pix_fmt = 64, 48, "yuv420p"
        for n in range(120):
            light = 230 if 20 <= n < 32 or 70 <= n < 100 else 16
            picture = np.full((48, 64, 3), 16, np.uint8)
            picture[12:36, 16:48] = light
            frame = av.VideoFrame.from_ndarray(picture, format="rgb24")
            frame.pts = n
            whole.mux(stream.encode(frame))
        whole.mux(stream.encode(None))
    return file.getvalue()


def photographs() -> dict[str, bytes]:
    """Return photographs by the ending of their names."""
    y, x = np.mgrid[:180, :240]
    grey = (128 + 100 * np.sin(x / 17) * np.cos(y / 11) * np.exp(-((x - 120) ** 2) / 1e4)).astype(np.uint8)
    picture = Image.fromarray(np.stack([grey, grey[::-1], grey], axis=2))
    kept = {}
    for ending, form in ((".jpg", "JPEG"), (".png", "PNG"), (".webp", "WEBP"), (".gif", "GIF")):
        file = io.BytesIO()
        exif = Image.Exif()
        exif[0x0112], exif[0x0132] = 6, "2026:03:01 10:00:00"
        picture.save(file, form, **({"exif": exif} if form in ("JPEG", "PNG", "WEBP") else {}))
        kept[ending] = file.getvalue()
    file = io.BytesIO()
    pillow_heif.from_pillow(picture).save(file, quality=60)
    return kept | {".heic": file.getvalue()}


def tables() -> dict[str, bytes]:
    """Return tables as text, by the command that reads them."""
    turns = [2 * math.pi * n / 24 for n in range(24)]
    ring = "x_mm,y_mm\n" + "".join(f"{20 * math.cos(t):.3f},{20.05 * math.sin(t):.3f}\n" for t in turns)
    places = [(x, y) for x in (0, 20, 40) for y in (0, 30, 60)]
    plane = "x_mm,y_mm,z_mm\n" + "".join(f"{x},{y},{0.01 * x - 0.02 * y:.3f}\n" for x, y in places)
    at = [(n, ring, 0.5 + 0.2 * (ring == "on")) for ring in ("on", "off") for n in range(8)]
    effort = "position,surface,ring,way,force\n" + "".join(f"{n},dry,{ring},out,{f:.2f}\n" for n, ring, f in at)
    times = "1: 1.6, 1.62, 1.58\n1/2: 0.81, 0.8, 0.79\n1/25: 40, 41, 39 ms\n1/250: 4, 4.1, 3.9 ms\n"
    drawer = (
        "name,wire,outside diameter,turns,leg 1,leg 2,hand,material,from\n"
        "strut,0.6,6.2,5.9,10,12,right,music wire,a donor\nlatch,0.5,5,4,8,8,left,,\n"
    )
    texts = {"ring": ring, "plane": plane, "effort": effort, "why": times, "drawer": drawer}
    return {name: text.encode() for name, text in texts.items()}
