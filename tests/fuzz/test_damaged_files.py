"""Whatever a file is like, it is taken in or refused with a reason: no traceback, no hang, no flood of memory."""

import queue
import subprocess
import sys
import threading
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

WORKER = Path(__file__).with_name("worker.py")
KINDS = ("recordings", "photographs", "bundles", "tables")
FEW, MANY = 500, 10_000
LONGEST_S = 10.0
# Beside the cap on what it may ask for (1 GiB of data) what a worker really had in memory is looked at.
MOST_MIB = 1024


class Worker:
    """A worker process and the lines it answers."""

    def __init__(self, kind: str) -> None:
        self.process = subprocess.Popen(
            [sys.executable, str(WORKER), kind],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True, bufsize=1,
        )  # fmt: skip
        self.lines: queue.Queue[str] = queue.Queue()
        threading.Thread(target=self._listen, daemon=True).start()

    def _listen(self) -> None:
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self.lines.put(line.rstrip("\n"))
        self.lines.put("fault: the process ended\t0")

    def start(self) -> None:
        assert self.lines.get(timeout=120) == "ready"

    def ask(self, case: int) -> str:
        assert self.process.stdin is not None
        self.process.stdin.write(f"{case}\n")
        try:
            said, memory = self.lines.get(timeout=LONGEST_S).rsplit("\t", 1)
        except queue.Empty:
            return f"fault: no answer within {LONGEST_S:g} s"
        return said if int(memory) <= MOST_MIB else f"fault: {memory} MiB"

    def stop(self) -> None:
        self.process.kill()
        self.process.wait()
        for stream in (self.process.stdin, self.process.stdout):
            assert stream is not None
            stream.close()


@pytest.fixture
def worker(request: pytest.FixtureRequest) -> Iterator[Worker]:
    worker = Worker(request.param)
    yield worker
    worker.stop()


def all_answered(worker: Worker, cases: range) -> None:
    worker.start()
    said = Counter[str]()
    for case in cases:
        answer = worker.ask(case)
        assert answer in ("taken", "refused"), f"case {case}: {answer}"
        said[answer] += 1
    # Damage that always, or never, is refused would show that the cases do not reach what they are for.
    assert min(said["taken"], said["refused"]) > len(cases) // 100, said


@pytest.mark.parametrize("worker", KINDS, indirect=True)
def test_damaged_files_are_taken_or_refused(worker: Worker) -> None:
    all_answered(worker, range(FEW))


@pytest.mark.soak
@pytest.mark.parametrize("worker", KINDS, indirect=True)
def test_many_damaged_files_are_taken_or_refused(worker: Worker) -> None:
    all_answered(worker, range(FEW, FEW + MANY))
