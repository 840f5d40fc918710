"""How soon after a firing's end its number is shown: sound at its own pace through a real server and a live connection.

The first number is held to 150 ms (95 of 100 firings); the final one, which waits until the light has stayed away, is
printed beside it. What the browser and its sound input add before a block is sent is not in it.
"""

import json
import tempfile
import threading
import time
import urllib.request
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from benchmarks._serving import served
from benchmarks._table import Figure
from websockets.sync.client import ClientConnection, connect

from asfound.book import Book, in_folder
from asfound.book.spool import SpooledBlock
from asfound.job.bodies import Camera
from asfound.shutter import SoundInput, Truth, exposure_lasting, simulate
from asfound.web.live.wire import write_block

RATE, BLOCK = 48_000, 512
MARKS = (1.0, 1 / 2, 1 / 5, 1 / 10, 1 / 25, 1 / 50, 1 / 100, 1 / 250)
SHOTS = 5
BOUND_MS = 150.0


def main(brief: bool = False) -> Sequence[Figure]:
    """Print the latencies of the first and of the final number."""
    line = SoundInput(sample_rate_hz=RATE, level=0.5, noise_rms=0.002, coupling_hz=(5.0,))
    exposures = [exposure_lasting(1.1 * t) for t in MARKS for _ in range(SHOTS)]
    samples, truths = simulate(exposures, line, gap_s=0.6, seed=1)
    with tempfile.TemporaryDirectory() as folder:
        with Book.open(in_folder(Path(folder))) as book:
            job = str(book.open_job(Camera(model="Six-Nine"))[0].job)
        with served(Path(folder)) as address:
            first, final = listen(address, job, np.asarray(samples, np.float32), truths)
    figures = []
    for name, seconds, bound in (("first", first, f"(bound {BOUND_MS:.0f} ms)"), ("final", final, "")):
        share = np.percentile(np.array(seconds) * 1e3, [50, 95, 100])
        print(f"   {name} number after the end of a firing, {len(seconds)} of {len(truths)} firings: "
              f"median {share[0]:.0f} ms, p95 {share[1]:.0f} ms {bound}, longest {share[2]:.0f} ms")  # fmt: skip
        figures.append(
            Figure(f"live, {name} number after the end of a firing, p95 through the socket", f"{share[1]:.0f} ms",
                   f"<= {BOUND_MS:.0f} ms" if bound else "", bool(share[1] <= BOUND_MS) if bound else None)
        )  # fmt: skip
    return figures


def listen(address: str, job: str, samples: np.ndarray, truths: Sequence[Truth]) -> tuple[list[float], list[float]]:
    """Send the samples at their own pace; return how long after each end its first and its final number came."""
    token, cookie = session_at(address)
    headers = {"Origin": address, "Cookie": cookie}
    live = f"{address.replace('http', 'ws', 1)}/job/{job}/shutter/live/socket"
    with connect(live, additional_headers=headers) as socket:
        typed = {"kind": "light", "marked": "1, 1/2, 1/5, 1/10, 1/25, 1/50, 1/100, 1/250", "each": str(SHOTS),
                 "tolerance": "1/3"}  # fmt: skip
        socket.send(json.dumps({"kind": "hello", "token": token, "rate": RATE, "typed": typed}))
        came: dict[tuple[int, bool], float] = {}
        hearing = threading.Thread(target=hear, args=(socket, came), daemon=True)
        hearing.start()
        begun = pace(socket, samples)
        time.sleep(1)
        socket.close()
    ends = [begun + truth.start_s + truth.total_open_s for truth in truths]
    return tuple(
        [came[n, sort] - end for n, end in enumerate(ends, start=1) if (n, sort) in came] for sort in (False, True)
    )  # type: ignore[return-value]


def pace(socket: ClientConnection, samples: np.ndarray) -> float:
    """Send each block when its last sample would have been taken; return when the first sample was."""
    begun = time.perf_counter()
    for at in range(0, samples.size, BLOCK):
        block = SpooledBlock(1, at, False, samples[at : at + BLOCK])
        time.sleep(max(0.0, begun + (at + BLOCK) / RATE - time.perf_counter()))
        socket.send(write_block(block))
    return begun


def hear(socket: ClientConnection, came: dict[tuple[int, bool], float]) -> None:
    """Note when each shot was first shown, and when for good."""
    for text in socket:
        now, message = time.perf_counter(), json.loads(text)
        if message["kind"] != "state":
            continue
        for shot in message["shots"]:
            came.setdefault((shot["number"], False), now)
            if shot["final"]:
                came.setdefault((shot["number"], True), now)


def session_at(address: str) -> tuple[str, str]:
    """Return the token and the cookie of a new session."""
    with urllib.request.urlopen(f"{address}/api/token", timeout=5) as answer:
        cookie = answer.headers["Set-Cookie"].partition(";")[0]
        return json.load(answer)["token"], cookie
