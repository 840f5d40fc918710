"""Which address of this computer the workshop's network knows."""

import ipaddress
import socket

from asfound.problems import ConflictError, Problem

# RFC 5737: addresses kept for documentation. Nothing is sent there; the system only says which way it would go.
_SOMEWHERE = ("192.0.2.1", 9)


def workshop_address() -> str:
    """Return the address by which other devices on the network reach this computer.

    Raises
    ------
    ConflictError
        If it is on no network.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        try:
            asking.connect(_SOMEWHERE)
            found = str(asking.getsockname()[0])
        except OSError:
            found = ""
    if not found or not is_workshop(found):
        what = "this computer is on no network, or its address was not found"
        raise ConflictError(Problem("--lan", what, "connect it, or name its address with --host"))
    return found


def is_workshop(host: str) -> bool:
    """Tell whether others can reach an address: it is not this computer's own loopback."""
    try:
        return not ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host.lower() != "localhost"


def own_names() -> frozenset[str]:
    """Return the names by which the network may know this computer."""
    name = socket.gethostname().lower().rstrip(".")
    short = name.partition(".")[0]
    return frozenset({name, f"{short}.local"}) if name and name != "localhost" else frozenset()
