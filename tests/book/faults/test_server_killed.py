"""The whole server killed while a browser writes: everything that was answered is there at the next start."""

import hashlib
import io
import random
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import httpx
import numpy as np
import pytest
import soundfile
from PIL import Image

from asfound.book import Book, in_folder

ANSWERS_WITHIN_S = 60


def picture(number: int) -> bytes:
    kept = io.BytesIO()
    Image.new("RGB", (16 + number, 12), "white").save(kept, "PNG")
    return kept.getvalue()


def sound(number: int) -> bytes:
    kept = io.BytesIO()
    soundfile.write(kept, np.full(4_800 + number, 0.01, np.float32), 48_000, format="WAV")
    return kept.getvalue()


class Writer:
    """Somebody at the bench page, who remembers what was answered."""

    def __init__(self) -> None:
        self.entries: set[str] = set()
        self.files: set[str] = set()
        self.job = ""
        self.number = 0
        self.answered = threading.Semaphore(0)

    def write_until_killed(self, address: str) -> None:
        with httpx.Client(base_url=address, timeout=30) as client:
            try:
                token = client.get("/api/token").json()["token"]
                client.headers["X-Asfound-Token"] = token
                if not self.job:
                    form = {"token": token, "model": "Otter"}
                    self.job = self._sound(client.post("/jobs", data=form)).headers["location"].split("/")[-1]
                while True:
                    self._deed(client)
                    self.answered.release()
            except httpx.TransportError:
                pass

    def _deed(self, client: httpx.Client) -> None:
        self.number += 1
        path, kind = f"/api/jobs/{self.job}", self.number % 4
        if kind in (0, 2):
            self._remember(client.post(f"{path}/line", json={"text": f"seen {self.number}", "as_note": True}))
        elif kind == 1:
            self._upload(client, f"{path}/photos", "ring.png", picture(self.number % 400))
        elif self.number % 8 == 3:
            self._upload(client, f"{path}/recordings", "firing.wav", sound(self.number))
        else:
            self._remember(client.post(f"{path}/undo"))

    def _upload(self, client: httpx.Client, path: str, name: str, content: bytes) -> None:
        answer = self._sound(client.post(path, files={"file": (name, content)}))
        self.entries.add(answer.json()["entry"])
        self.files.add(hashlib.sha256(content).hexdigest())

    def _remember(self, answer: httpx.Response) -> None:
        self.entries.update(self._sound(answer).json()["entries"])

    @staticmethod
    def _sound(answer: httpx.Response) -> httpx.Response:
        assert answer.status_code in (200, 303), answer.text
        return answer


def killed_again_and_again(
    start: Callable[..., Any], kill: Callable[[Any], None], folder: Path, seed: int, kills: int
) -> None:
    chance, writer = random.Random(seed), Writer()
    for _ in range(kills):
        server, address = start(str(folder))
        writing = threading.Thread(target=writer.write_until_killed, args=(address,))
        writing.start()
        for _ in range(chance.randint(1, 12)):
            assert writer.answered.acquire(timeout=ANSWERS_WITHIN_S), "nothing was answered"
        time.sleep(chance.uniform(0, 0.03))
        kill(server)
        writing.join(ANSWERS_WITHIN_S)
        with Book.open(in_folder(folder)) as book:
            assert book.check().problems == ()
            held = {str(entry.id) for line in book.jobs() for entry in book.entries(line.id)}
            assert writer.entries <= held
            assert all(book.attachment_path(sha256).is_file() for sha256 in writer.files)


def test_a_server_killed_while_a_browser_writes_keeps_all_that_it_answered(
    start: Callable[..., Any], kill: Callable[[Any], None], tmp_path: Path
) -> None:
    killed_again_and_again(start, kill, tmp_path / "book", seed=11, kills=2)


@pytest.mark.soak
def test_for_long_a_server_killed_while_a_browser_writes_keeps_all_that_it_answered(
    start: Callable[..., Any], kill: Callable[[Any], None], tmp_path: Path
) -> None:
    killed_again_and_again(start, kill, tmp_path / "book", seed=12, kills=18)
