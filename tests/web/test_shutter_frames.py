"""The strip of frames by which blades are watched."""

import io
import subprocess
import time
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image


def settled(bench: Any, address: str) -> str:
    """Return the page once the measuring is done."""
    for _ in range(600):
        page: str = bench.get(address).text
        if "Stop measuring" not in page:
            return page
        time.sleep(0.05)
    raise TimeoutError


def test_the_frames_run_from_dark_through_light_to_dark(bench: Any, job_path: str, tmp_path: Path) -> None:
    out = tmp_path / "blades.mp4"
    light = (
        "color=black:s=320x240:r=60:d=2,drawbox=x=100:y=80:w=120:h=80:color=white:t=fill:enable='between(t,0.8,1.3)'"
    )
    subprocess.run(["ffmpeg", "-loglevel", "error", "-f", "lavfi", "-i", light, "-pix_fmt", "yuv420p", out], check=True)
    answer = bench.post(f"{job_path}/recordings", files={"file": (out.name, out.read_bytes(), "video/mp4")})
    address = answer.headers["location"]
    entry = address.split("recording=")[1]
    strip = f"{job_path}/shutter/frames/{entry}/1"
    assert f'src="{strip}"' in settled(bench, address)
    given = bench.get(strip)
    assert given.headers["content-type"] == "image/png"
    picture = np.asarray(Image.open(io.BytesIO(given.content)))
    assert picture.shape == (120, 8 * 160 + 7 * 4)  # every second pixel of eight frames, and what parts them
    bright = [float(picture[40:80, 164 * n + 50 : 164 * n + 110].mean()) for n in range(8)]
    assert max(bright[0], bright[-1]) < 40
    assert max(bright) > 200
    assert bench.get(f"{job_path}/shutter/frames/{entry}/2").status_code == 404
