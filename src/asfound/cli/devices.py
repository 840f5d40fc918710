"""The devices that are let in from the network, from the command line."""

from datetime import UTC, datetime

import click

from asfound.book import Book, Device
from asfound.cli.book_option import with_book
from asfound.cli.output import columns, emit
from asfound.problems import ConflictError, NotFoundError, Problem


@click.group()
def devices() -> None:
    """See and remove the telephones and tablets that are paired."""


@devices.command("list")
@with_book
@click.option("--json", "as_json", is_flag=True, help="The same as JSON.")
def list_command(book: Book, as_json: bool) -> None:
    """List the devices that are let in, the first paired first."""
    found = book.devices()
    rows = [(str(device.id)[-8:], device.name, _when(device.paired_ms), _when(device.seen_ms)) for device in found]
    none = "no device is paired; run: asfound bench --lan"
    table = columns(("id", "name", "paired", "last seen"), rows) if rows else none
    emit({"devices": [_plain(device) for device in found]}, table, as_json=as_json)


@devices.command()
@with_book
@click.argument("device")
@click.option("--json", "as_json", is_flag=True, help="The same as JSON.")
def remove(book: Book, device: str, as_json: bool) -> None:
    """Let a DEVICE in no more, from its next request on; give its name, or the id that the list shows."""
    found = _found(book, device)
    book.remove_device(found.id)
    emit({"removed": _plain(found)}, f"{found.name} is let in no more", as_json=as_json)


def _found(book: Book, named: str) -> Device:
    known = book.devices()
    found = [one for one in known if one.name == named or (len(named) >= 4 and str(one.id).endswith(named.lower()))]
    if not found:
        names = ", ".join(one.name for one in known) or "none is paired"
        raise NotFoundError(Problem("device", f"there is no {named!r}", f"choose from: {names}"))
    if len(found) > 1:
        ids = ", ".join(str(one.id)[-8:] for one in found)
        raise ConflictError(Problem("device", f"{named!r} are {len(found)} devices", f"give an id: {ids}"))
    return found[0]


def _plain(device: Device) -> dict[str, object]:
    return {
        "id": str(device.id),
        "name": device.name,
        "paired": datetime.fromtimestamp(device.paired_ms / 1000, UTC).isoformat(),
        "seen": datetime.fromtimestamp(device.seen_ms / 1000, UTC).isoformat(),
    }


def _when(wall_ms: int) -> str:
    return f"{datetime.fromtimestamp(wall_ms / 1000).astimezone():%Y-%m-%d %H:%M}"
