"""Devices let in from the network: the only rows of the book that are ever removed.

A device keeps a secret; the book keeps the secret's hash alone, so that who reads the book cannot pass for a device.
Devices are no part of a backup: whoever restores a book pairs anew.
"""

import hashlib
from dataclasses import dataclass
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Row
from uuid_utils.compat import uuid7

from asfound.book.tables import DEVICE

LONGEST_NAME = 80


@dataclass(frozen=True, slots=True, kw_only=True)
class Device:
    """A telephone, tablet or computer that may open the pages.

    Attributes
    ----------
    id : UUID
    name : str
        As the one who paired it called it.
    paired_ms, seen_ms : int
        When it was paired, and about when it last asked for anything; milliseconds since 1970 UTC.
    """

    id: UUID
    name: str
    paired_ms: int
    seen_ms: int


def secret_hash(secret: str) -> str:
    """Return what is kept of a device's secret; it is long and random, so that a plain hash is enough."""
    return hashlib.sha256(secret.encode()).hexdigest()


def add(connection: Connection, *, name: str, secret: str, now_ms: int) -> Device:
    """Add a device."""
    device = Device(id=uuid7(), name=name[:LONGEST_NAME], paired_ms=now_ms, seen_ms=now_ms)
    values = {"name": device.name, "secret_hash": secret_hash(secret), "paired_ms": now_ms, "seen_ms": now_ms}
    connection.execute(DEVICE.insert().values(id=str(device.id), **values))
    return device


def listed(connection: Connection) -> tuple[Device, ...]:
    """Return all devices, the first paired first."""
    query = sa.select(DEVICE).order_by(DEVICE.c.paired_ms, DEVICE.c.id)
    return tuple(_device(row) for row in connection.execute(query))


def with_secret(connection: Connection, secret: str) -> Device | None:
    """Return the device that holds this secret."""
    row = connection.execute(sa.select(DEVICE).where(DEVICE.c.secret_hash == secret_hash(secret))).first()
    return None if row is None else _device(row)


def see(connection: Connection, device_id: UUID, *, now_ms: int) -> None:
    """Note that a device asked for something."""
    connection.execute(DEVICE.update().where(DEVICE.c.id == str(device_id)).values(seen_ms=now_ms))


def remove(connection: Connection, device_id: UUID) -> bool:
    """Remove a device; return whether there was one."""
    return connection.execute(DEVICE.delete().where(DEVICE.c.id == str(device_id))).rowcount > 0


def _device(row: Row[tuple[object, ...]]) -> Device:
    return Device(id=UUID(row.id), name=row.name, paired_ms=row.paired_ms, seen_ms=row.seen_ms)
