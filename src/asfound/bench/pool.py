"""Heavy work in other processes, with its progress and a way to stop it."""

import contextlib
import multiprocessing
import secrets
import threading
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import CancelledError, Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from multiprocessing.sharedctypes import SynchronizedArray
from typing import Any, Literal

from asfound.problems import AsfoundError, NotFoundError, Problem, StoppedError

_SLOTS = 256
_KEPT_TASKS = 100

State = Literal["waiting", "running", "done", "failed", "stopped"]


@dataclass(frozen=True, slots=True)
class Task:
    """A piece of work as it stands: `share` of it done, and its result or problems once ended."""

    id: str
    state: State
    share: float
    result: Any = None
    problems: tuple[Problem, ...] = ()


class Pool:
    """Runs functions in worker processes.

    Each function is given two keyword arguments: `progress`, to be called with the share done (0 to 1), and
    `cancelled`, which says whether to stop. Workers start with the first task, not with the server.
    """

    def __init__(self, workers: int = 2) -> None:
        self._workers = workers
        self._context = multiprocessing.get_context("spawn")
        # Two numbers a slot: share done, and 1 where it is to stop.
        self._board: Any = self._context.Array("d", 2 * _SLOTS, lock=False)
        self._executor: ProcessPoolExecutor | None = None
        self._tasks: OrderedDict[str, tuple[int, Future[Any]]] = OrderedDict()
        self._next_slot = 0
        self._lock = threading.Lock()

    def submit(self, function: Callable[..., Any], *args: Any, **kwargs: Any) -> str:
        """Start `function` and return the task's identifier."""
        with self._lock:
            slot, self._next_slot = self._next_slot, (self._next_slot + 1) % _SLOTS
            self._board[2 * slot] = self._board[2 * slot + 1] = 0.0
            future = self._submit(slot, function, args, kwargs)
            task_id = secrets.token_urlsafe(12)
            self._tasks[task_id] = (slot, future)
            while len(self._tasks) > _KEPT_TASKS:
                self._tasks.popitem(last=False)
        return task_id

    def _submit(
        self, slot: int, function: Callable[..., Any], args: tuple[Any, ...], kwargs: dict[str, Any]
    ) -> Future[Any]:
        try:
            return self._running().submit(_run, slot, function, args, kwargs)
        except BrokenProcessPool:
            self._executor = None  # a worker was killed: start anew
            return self._running().submit(_run, slot, function, args, kwargs)

    def _running(self) -> ProcessPoolExecutor:
        if self._executor is None:
            self._executor = ProcessPoolExecutor(
                self._workers, mp_context=self._context, initializer=_adopt_board, initargs=(self._board,)
            )
        return self._executor

    def look(self, task_id: str) -> Task:
        """Return a task as it stands.

        Raises
        ------
        NotFoundError
            If there is no such task, or it ended long ago.
        """
        slot, future = self._find(task_id)
        if not future.done():
            return Task(task_id, "running" if future.running() else "waiting", float(self._board[2 * slot]))
        try:
            return Task(task_id, "done", 1.0, future.result())
        except (StoppedError, CancelledError):
            return Task(task_id, "stopped", float(self._board[2 * slot]))
        except AsfoundError as error:
            return Task(task_id, "failed", 1.0, problems=error.problems)
        except BrokenProcessPool:
            problem = Problem("work", "the worker process ended before it was done", "try again")
            return Task(task_id, "failed", 1.0, problems=(problem,))

    def stop(self, task_id: str) -> None:
        """Ask a task to stop; a waiting one never starts."""
        slot, future = self._find(task_id)
        self._board[2 * slot + 1] = 1.0
        future.cancel()

    def wait(self, task_id: str, timeout_s: float | None = None) -> Task:
        """Wait for a task to end and return it."""
        _, future = self._find(task_id)
        with contextlib.suppress(CancelledError, TimeoutError):
            future.exception(timeout_s)
        return self.look(task_id)

    def close(self) -> None:
        """Stop every task and end the workers."""
        with self._lock:
            for slot, _ in self._tasks.values():
                self._board[2 * slot + 1] = 1.0
            if self._executor is not None:
                self._executor.shutdown(wait=True, cancel_futures=True)
                self._executor = None

    def _find(self, task_id: str) -> tuple[int, Future[Any]]:
        try:
            return self._tasks[task_id]
        except KeyError:
            raise NotFoundError(Problem("work", "there is no such piece of work", "start it again")) from None


_board: "SynchronizedArray[float] | None" = None


def _adopt_board(board: "SynchronizedArray[float]") -> None:
    global _board
    _board = board


def _run(slot: int, function: Callable[..., Any], args: tuple[Any, ...], kwargs: dict[str, Any]) -> Any:
    """Run in the worker: hand the function its progress board."""
    board = _board
    assert board is not None

    def progress(share: float) -> None:
        board[2 * slot] = share

    def cancelled() -> bool:
        return board[2 * slot + 1] != 0.0

    return function(*args, progress=progress, cancelled=cancelled, **kwargs)
