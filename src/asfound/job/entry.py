"""The envelope of an entry, and the bytes that are stored and hashed."""

import hashlib
import json
from typing import Annotated, Any
from uuid import UUID

from pydantic import (
    BaseModel,
    ConfigDict,
    Field,
    ValidationError,
    WithJsonSchema,
    field_serializer,
    field_validator,
)

from asfound.job.bodies import AnyBody
from asfound.job.clock import Stamp
from asfound.problems import AsfoundError, Problem

SCHEMA_VERSION = 1
CLOCK_SCHEMA = {"type": "string", "pattern": "^[0-9]{13,}-[0-9]{6,}$"}


class Entry(BaseModel):
    """A dated, typed, append-only record.

    Attributes
    ----------
    id : UUID
        Version 7.
    origin : str
        The bench that wrote it.
    sequence : int
        Its place among everything that this origin wrote, from 1, without gaps.
    previous : str or None
        Hash of the entry before it of the same origin and job.
    clock : Stamp
        Hybrid logical clock: entries fold in the order (clock, origin, sequence).
    """

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True)

    id: UUID
    origin: str = Field(min_length=1, max_length=64)
    sequence: int = Field(ge=1)
    previous: str | None = None
    clock: Annotated[Stamp, WithJsonSchema(CLOCK_SCHEMA)]
    schema_version: int = SCHEMA_VERSION
    job: UUID
    body: AnyBody

    @field_validator("clock", mode="before")
    @classmethod
    def _read_clock(cls, value: object) -> object:
        return Stamp.read(value) if isinstance(value, str) else value

    @field_serializer("clock")
    def _print_clock(self, value: Stamp) -> str:
        return str(value)

    @property
    def kind(self) -> str:
        """The kind of its body."""
        return self.body.kind

    @property
    def order(self) -> tuple[Stamp, str, int]:
        """The key by which entries fold."""
        return self.clock, self.origin, self.sequence


def canonical_bytes(entry: Entry) -> bytes:
    """Return the bytes stored and hashed: JSON, sorted names, no spaces, UTF-8, nothing that is null."""
    data = entry.model_dump(mode="json", exclude_none=True)
    return json.dumps(data, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()


def entry_hash(stored: bytes) -> str:
    """Return the SHA-256 of stored bytes, in hexadecimal."""
    return hashlib.sha256(stored).hexdigest()


def read_entry(stored: bytes) -> Entry:
    """Return the entry in stored bytes, raised to today's schema; the bytes themselves are never rewritten.

    Raises
    ------
    AsfoundError
        If the bytes are no entry, or were written by a newer program.
    """
    try:
        raw = json.loads(stored)
        version = raw["schema_version"]
        if version > SCHEMA_VERSION:
            what = f"entry {raw.get('id')} has schema {version}, this program knows {SCHEMA_VERSION}"
            raise AsfoundError(Problem("book", what, "open the book with a newer asfound"))
        return Entry.model_validate(_upcast(raw, version))
    except (ValueError, KeyError, TypeError, ValidationError, RecursionError) as error:
        what = f"an entry cannot be read ({type(error).__name__})"
        raise AsfoundError(Problem("book", what, "restore the book from its last backup")) from error


def _upcast(raw: dict[str, Any], version: int) -> dict[str, Any]:
    """Raise an older entry step by step; there is one schema so far."""
    return {**raw, "schema_version": SCHEMA_VERSION} if version < SCHEMA_VERSION else raw
