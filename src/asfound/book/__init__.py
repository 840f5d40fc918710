"""The store: entries, attachments, projections, search, backup."""

from asfound.book.appending import Stored
from asfound.book.backup import Backup, verify
from asfound.book.bundling import Bundle, TakenIn, is_bundle, take_in, verify_bundle, write_bundle
from asfound.book.checking import Checked
from asfound.book.devices import Device
from asfound.book.lists import JobLine
from asfound.book.location import Location, in_folder, locate, on_postgresql
from asfound.book.lock import server_lock
from asfound.book.merging import Merged
from asfound.book.restoring import restore
from asfound.book.search import Hit
from asfound.book.store import Book

__all__ = [
    "Backup",
    "Book",
    "Bundle",
    "Checked",
    "Device",
    "Hit",
    "JobLine",
    "Location",
    "Merged",
    "Stored",
    "TakenIn",
    "in_folder",
    "is_bundle",
    "locate",
    "on_postgresql",
    "restore",
    "server_lock",
    "take_in",
    "verify",
    "verify_bundle",
    "write_bundle",
]
