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
from asfound.book import Book, Location, locate, server_lock
from asfound.cli.network import is_workshop, own_names, workshop_address
from asfound.problems import ConflictError, Problem, StorageError, bad_input
from asfound.web.app import create_app
from asfound.web.codes import GOOD_FOR_S, Codes
from asfound.web.desk import Desk
from asfound.web.devices.qr import pairing_address, qr_lines
from asfound.web.settings import LOOPBACK, Settings
from asfound.web.warming import warm_up_aside

HOST = "127.0.0.1"
PORT = 8642
EVERYWHERE = ("0.0.0.0", "::")
SECRET_FILE = "web-secret"


@click.command()
@click.option(
    "--book", "book_place", metavar="PLACE", help="Folder or PostgreSQL URL of the book (or set ASFOUND_BOOK)."
)
@click.option("--port", type=click.IntRange(1, 65535), default=PORT, show_default=True, help="Port of the bench page.")
@click.option("--host", default=None, help=f"Address to listen on; also a name to answer to.  [default: {HOST}]")
@click.option("--lan", is_flag=True, help="Open it to the workshop's network as well, for devices that are paired.")
def bench(book_place: str | None, port: int, host: str | None, lan: bool) -> None:
    """Start the bench book: its page is opened in a browser on this machine.

    With --lan it is also open to the workshop's network, at this computer's address there or the one named by
    --host; a telephone or tablet is let in once it is paired by the code that is shown.
    """
    location = locate(book_place)
    own, outer = places(host, lan=lan)
    with contextlib.ExitStack() as opened:
        listeners = [opened.enter_context(listen(place, port)) for place in (own, outer) if place]
        opened.enter_context(server_lock(location))
        book = opened.enter_context(Book.open(location))
        pool = opened.enter_context(contextlib.closing(Pool()))
        settings = settings_for(location, own, outer, port)
        desk = Desk(book=book, pool=pool, settings=settings)
        click.echo(f"The bench book in {location} is open at {address_of(own or HOST, port)}")
        if settings.address:
            show_pairing(settings.address, desk.codes)
        click.echo("Ctrl+C closes it.")
        warm_up_aside()
        serve(create_app(desk), listeners)
    click.echo("The bench book is closed; everything written is kept.")


def places(host: str | None, *, lan: bool) -> tuple[str, str]:
    """Return the address for this computer and the one for the network, either of which may be empty.

    Raises
    ------
    BadInputError
        If an address that others reach is named without `lan`, or the other way round.
    ConflictError
        If this computer is on no network.
    """
    if not lan:
        if host is not None and is_workshop(host):
            what = f"others on the network reach {host}"
            raise bad_input("--host", what, "add --lan to open the book to them, once they are paired")
        return host or HOST, ""
    outer = workshop_address() if host is None else host
    if not is_workshop(outer):
        raise bad_input("--host", f"no other device reaches {outer}", "leave --host away, or name the address of --lan")
    # What listens everywhere listens for this computer too.
    return ("" if outer in EVERYWHERE else HOST), outer


def settings_for(location: Location, own: str, outer: str, port: int) -> Settings:
    """Return how the pages are served at these addresses."""
    secret = read_secret(location.folder)
    if not outer:
        return Settings(secret=secret, hosts=LOOPBACK | {own})
    known = workshop_address() if outer in EVERYWHERE else outer
    return Settings(secret=secret, hosts=LOOPBACK | {known, *own_names()}, address=address_of(known, port))


def address_of(host: str, port: int) -> str:
    """Return the address of the pages."""
    return f"http://[{host}]:{port}" if ":" in host else f"http://{host}:{port}"


def show_pairing(address: str, codes: Codes) -> None:
    """Print what a telephone needs to be let in, and what the network can see."""
    code = codes.make().text
    click.echo(f"It is also open to the workshop's network at {address}, for devices that are paired.")
    click.echo(f"Code for one device, for {GOOD_FOR_S / 60:.0f} minutes: {code}; later ones are on the page Devices.")
    click.echo(qr_lines(pairing_address(address, code)))
    click.echo("Pages go over that network as plain http, not encrypted: use a network that you trust.")


def serve(app: FastAPI, listeners: list[socket.socket]) -> None:
    """Serve until Ctrl+C or the system asks to end; both are a good end."""
    # The server raises a signal again once it has shut down: without this, SIGTERM would leave the workers behind.
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    config = uvicorn.Config(
        app,
        log_level="warning",
        access_log=False,
        server_header=False,
        timeout_graceful_shutdown=3,
        # Who asks decides who is let in: nobody but a program on this computer may speak for another.
        forwarded_allow_ips=[HOST],
    )
    with contextlib.suppress(KeyboardInterrupt):
        uvicorn.Server(config).run(sockets=listeners)


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
