"""What can be searched for: the words of an entry, alike on every database."""

import unicodedata
from collections.abc import Iterator
from dataclasses import fields, is_dataclass

from pydantic import BaseModel

from asfound.job import Entry

# Names of fields whose text nobody would search for.
_SILENT = {"sha256", "media_type", "kind", "action", "stage"}


def entry_text(entry: Entry) -> str:
    """Return the text of an entry that a search looks through and shows."""
    return " · ".join(text for text in _texts(entry.body) if text)


def keepable(text: str) -> str:
    """Return a text as a column of either database can hold it; PostgreSQL refuses the null character."""
    return text.replace("\0", "\N{REPLACEMENT CHARACTER}")


def words(text: str) -> tuple[str, ...]:
    """Return the words of a text: letters and digits alone, small, without accents; each once."""
    spaced = "".join(c if c.isalnum() else " " for c in _plain(text))
    return tuple(dict.fromkeys(spaced.split()))


def _plain(text: str) -> str:
    """Return a text in small letters without accents or the letters' other forms.

    Folded twice, as Unicode's identifier caseless matching is (The Unicode Standard, D146, from memory): a letter's
    plain form may be a capital.
    """
    if text.isascii():
        return text.lower()
    for _ in range(2):
        text = unicodedata.normalize("NFKD", text).casefold()
    return "".join(c for c in unicodedata.normalize("NFKD", text) if unicodedata.category(c) != "Mn")


def _texts(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, tuple | list):
        for item in value:
            yield from _texts(item)
    else:
        for name in _field_names(value):
            if name not in _SILENT:
                yield from _texts(getattr(value, name))


def _field_names(value: object) -> tuple[str, ...]:
    if isinstance(value, BaseModel):
        return tuple(type(value).model_fields)
    if is_dataclass(value):
        return tuple(field.name for field in fields(value))
    return ()
