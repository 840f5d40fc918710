"""The bench page of a book, served by a process of its own: started, waited for until it answers, ended."""

import contextlib
import http.client
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

HOST = "127.0.0.1"
STARTS_WITHIN_S = 60
ENDS_WITHIN_S = 30


class NotServedError(RuntimeError):
    """The server has ended, or does not answer; what it said of it stands on the standard error."""


@contextlib.contextmanager
def served(folder: Path) -> Iterator[str]:
    """Serve the book in a folder while the block runs, and give the address.

    Raises
    ------
    NotServedError
        As `start` does; or if the server ended while the block ran, or does not end when asked to.
    """
    server, address = start(str(folder))
    try:
        yield address
        _must_run(server)
    finally:
        end(server)


def start(book: str, **environment: str) -> tuple[subprocess.Popen[bytes], str]:
    """Start the bench page of a book, a folder or a URL; return its process and its address once it answers.

    The process and its workers are a group of their own, so that they can be ended together.

    Raises
    ------
    NotServedError
        If the server ended before it answered (another one has the book open, say), answers that it cannot,
        or has not answered in time; it is gone by then.
    """
    port = free_port()
    command = [sys.executable, "-m", "asfound.cli", "bench", "--book", book, "--port", str(port)]
    named = os.environ | environment
    server = subprocess.Popen(command, stdout=subprocess.DEVNULL, start_new_session=True, env=named)
    try:
        _wait(server, port)
    except BaseException:
        kill(server)
        raise
    return server, f"http://{HOST}:{port}"


def free_port() -> int:
    """Return a port of this computer that nobody listens on."""
    with socket.create_server((HOST, 0)) as free:
        port: int = free.getsockname()[1]
    return port


def end(server: subprocess.Popen[bytes]) -> None:
    """Ask a server to end, and wait until it has.

    Raises
    ------
    NotServedError
        If it does not end in time; it is killed then.
    """
    server.terminate()
    try:
        server.wait(ENDS_WITHIN_S)
    except subprocess.TimeoutExpired:
        raise NotServedError(f"the server did not end within {ENDS_WITHIN_S} s") from None
    finally:
        kill(server)


def kill(server: subprocess.Popen[bytes]) -> None:
    """End a server and its workers at once, without a chance to tidy up."""
    if server.poll() is None:
        os.killpg(server.pid, signal.SIGKILL)
    server.wait()


def _wait(server: subprocess.Popen[bytes], port: int) -> None:
    until = time.monotonic() + STARTS_WITHIN_S
    while not _answers(port):
        _must_run(server)
        if time.monotonic() > until:
            raise NotServedError(f"the server did not answer within {STARTS_WITHIN_S} s")
        time.sleep(0.05)
    _must_run(server)


def _must_run(server: subprocess.Popen[bytes]) -> None:
    if server.poll() is not None:
        raise NotServedError(f"the server ended by itself, with status {server.returncode}")


def _answers(port: int) -> bool:
    """Tell whether a server answers; the port may be open some time before that."""
    asking = http.client.HTTPConnection(HOST, port, timeout=5)
    with contextlib.closing(asking):
        try:
            asking.request("GET", "/api/token")
            status = asking.getresponse().status
        except (OSError, http.client.HTTPException):
            return False
    if status != 200:
        raise NotServedError(f"the server answers with status {status}")
    return True
