"""The bench page from the command line."""

import contextlib
import errno
import os
import secrets
import signal
import socket
from pathlib import Path

import click
import uvicorn
from fastapi import FastAPI

from asfound.bench.pool import Pool
from asfound.book import Book, locate, server_lock
from asfound.problems import ConflictError, Problem, StorageError
from asfound.web.app import create_app
from asfound.web.desk import Desk
from asfound.web.settings import LOOPBACK, Settings
from asfound.web.warming import warm_up_aside

HOST = "127.0.0.1"
PORT = 8642
SECRET_FILE = "web-secret"


@click.command()
@click.option(
    "--book", "book_place", metavar="PLACE", help="Folder or PostgreSQL URL of the book (or set ASFOUND_BOOK)."
)
@click.option("--port", type=click.IntRange(1, 65535), default=PORT, show_default=True, help="Port of the bench page.")
@click.option("--host", default=HOST, show_default=True, help="Address to listen on; also a name to answer to.")
def bench(book_place: str | None, port: int, host: str) -> None:
    """Start the bench book: its page is opened in a browser on this machine."""
    location = locate(book_place)
    listener = listen(host, port)
    with listener, server_lock(location), Book.open(location) as book, contextlib.closing(Pool()) as pool:
        settings = Settings(secret=read_secret(location.folder), hosts=LOOPBACK | {host})
        app = create_app(Desk(book=book, pool=pool, settings=settings))
        shown = f"[{host}]" if ":" in host else host
        click.echo(f"The bench book in {location} is open at http://{shown}:{port}")
        click.echo("Ctrl+C closes it.")
        warm_up_aside()
        serve(app, listener)
    click.echo("The bench book is closed; everything written is kept.")


def serve(app: FastAPI, listener: socket.socket) -> None:
    """Serve until Ctrl+C or the system asks to end; both are a good end."""
    # The server raises a signal again once it has shut down: without this, SIGTERM would leave the workers behind.
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    config = uvicorn.Config(
        app, log_level="warning", access_log=False, server_header=False, timeout_graceful_shutdown=3
    )
    with contextlib.suppress(KeyboardInterrupt):
        uvicorn.Server(config).run(sockets=[listener])


def listen(host: str, port: int) -> socket.socket:
    """Return a socket that listens on an address.

    Raises
    ------
    ConflictError
        If the port is taken, or the address is not this machine's.
    """
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    listener = socket.socket(family, socket.SOCK_STREAM)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((host, port))
        listener.listen(128)
    except OSError as error:
        listener.close()
        raise ConflictError(_why_not(host, port, error)) from error
    return listener


def _why_not(host: str, port: int, error: OSError) -> Problem:
    if error.errno == errno.EADDRINUSE:
        remedy = f"open http://{host}:{port} if that is the bench book, or start with --port {port % 65535 + 1}"
        return Problem("--port", f"port {port} is taken by another program", remedy)
    if error.errno == errno.EACCES:
        return Problem("--port", f"port {port} needs more rights than you have", "choose one above 1023")
    return Problem("--host", f"{host} cannot be listened on ({error.strerror or error})", f"use --host {HOST}")


def read_secret(folder: Path) -> bytes:
    """Return the secret that signs the pages' forms, made the first time and kept beside the book.

    Raises
    ------
    StorageError
        If it can be neither read nor written.
    """
    path = folder / SECRET_FILE
    try:
        folder.mkdir(parents=True, exist_ok=True)
        try:
            handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        except FileExistsError:
            kept = path.read_bytes()
            if len(kept) >= 32:
                return kept
            handle = os.open(path, os.O_WRONLY | os.O_TRUNC, 0o600)
        secret = secrets.token_bytes(32)
        with os.fdopen(handle, "wb") as file:
            file.write(secret)
    except OSError as error:
        problem = Problem(str(path), f"it cannot be kept ({error.strerror})", "see to the folder's rights")
        raise StorageError(problem) from error
    return secret
