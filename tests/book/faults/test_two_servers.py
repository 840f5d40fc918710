"""Two servers on one book in a database, written to at once: no entry lost, none doubled."""

import io
import threading
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import httpx
import pytest
from PIL import Image

from asfound.book import Book, on_postgresql
from asfound.job.bodies import Note, Photo

LINES = 12


def picture(name: str, number: int) -> bytes:
    kept = io.BytesIO()
    Image.new("RGB", (8 + number, 8 + len(name)), "white").save(kept, "PNG")
    return kept.getvalue()


class Writer:
    """Somebody at one of the servers."""

    def __init__(self, address: str, name: str) -> None:
        self.client = httpx.Client(base_url=address, timeout=60)
        self.token = self.client.get("/api/token").json()["token"]
        self.client.headers["X-Asfound-Token"] = self.token
        self.name = name
        self.entries: list[str] = []
        self.wrong: list[str] = []

    def open_job(self) -> str:
        answer = self.client.post("/jobs", data={"token": self.token, "model": f"Otter of {self.name}"})
        assert answer.status_code == 303, answer.text
        return str(answer.headers["location"]).split("/")[-1]

    def work(self, shared: str) -> None:
        """Write lines and photographs to a job that all write to, and open jobs meanwhile."""
        for number in range(LINES):
            if number % 6 == 5:
                file = (f"{self.name}.png", picture(self.name, number))
                answer = self.client.post(f"/api/jobs/{shared}/photos", files={"file": file})
                said = [answer.json().get("entry")]
            else:
                line = {"text": f"{self.name} saw {number}", "as_note": True}
                answer = self.client.post(f"/api/jobs/{shared}/line", json=line)
                said = answer.json().get("entries")
            if answer.status_code != 200:
                self.wrong.append(answer.text)
                return
            self.entries += said
            if number % 4 == 0:
                self.open_job()


@pytest.mark.postgresql
def test_two_servers_on_one_database_lose_and_double_nothing(
    start: Callable[..., Any], empty_database: str, tmp_path: Path
) -> None:
    attachments = str(tmp_path / "attachments")
    writers = []
    for name in ("home", "counter"):
        place = {"XDG_DATA_HOME": str(tmp_path / name), "ASFOUND_ATTACHMENTS": attachments}
        _, address = start(empty_database, **place)
        writers += [Writer(address, f"{name} {number}") for number in (1, 2)]
    shared = writers[0].open_job()
    threads = [threading.Thread(target=writer.work, args=(shared,)) for writer in writers]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(300)
        assert not thread.is_alive()
    for writer in writers:
        writer.client.close()
    assert [wrong for writer in writers for wrong in writer.wrong] == []
    place = on_postgresql(empty_database, folder=tmp_path / "looker", attachments=Path(attachments))
    with Book.open(place) as book:
        assert book.check().problems == ()
        lines = book.jobs()
        assert sorted(int(line.ticket) for line in lines) == list(range(1, 1 + 1 + 3 * len(writers)))
        shared_entries = next(book.entries(line.id) for line in lines if str(line.id) == shared)
        every = [entry for line in lines for entry in book.entries(line.id)]
    held = Counter(str(entry.id) for entry in shared_entries)
    acknowledged = [entry for writer in writers for entry in writer.entries]
    assert held == Counter([*acknowledged, str(shared_entries[0].id)])
    texts = Counter(entry.body.text for entry in shared_entries if isinstance(entry.body, Note))
    assert set(texts.values()) == {1}
    assert sum(isinstance(entry.body, Photo) for entry in shared_entries) == len(writers) * LINES // 6
    benches = {entry.origin for entry in every}
    assert len(benches) == 2
    for bench in benches:
        numbers = sorted(entry.sequence for entry in every if entry.origin == bench)
        assert numbers == list(range(1, len(numbers) + 1))
