"""Content and a template to PDF: offline, and the same bytes each time."""

import json
import tempfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from importlib import resources
from pathlib import Path
from typing import Any

import typst

from asfound.report.fonts import FAMILIES, fallback_font, family, fonts_on_this_computer, missing, stand_in

_LONGEST_WORD = 18


def typeset(
    template: str,
    data: Mapping[str, Any],
    *,
    pictures: Mapping[str, bytes] | None = None,
    fill: Callable[[Path], Mapping[str, Any]] | None = None,
    fonts: Sequence[Path] | None = None,
) -> bytes:
    """Return the PDF of a template of this room, given its data.

    Parameters
    ----------
    template : str
        File name in this room; it reads its words from ``data.json``, never from markup put together.
    data : mapping
        What JSON can hold. The names of the fonts are added as ``fonts``, and ``unprinted``: the characters for
        which no font has a letter, which were replaced by their numbers.
    pictures : mapping of str to bytes
        Files to lie beside the template.
    fill : callable
        Writes more files into the folder that it is given, and returns more data.
    fonts : sequence of Path
        Font files for letters that the program's own fonts lack. None: look for some on this computer.
    """
    with tempfile.TemporaryDirectory(prefix="asfound-") as name:
        folder = Path(name)
        for picture, content in (pictures or {}).items():
            (folder / picture).write_bytes(content)
        whole = {**data, **(fill(folder) if fill is not None else {})}
        letters = "".join(_strings(whole))
        used = _fonts(letters, fonts, folder / "fonts")
        absent = missing(letters, used)
        words = _printable(whole, absent) | {
            "fonts": [*FAMILIES, *map(family, used[1:])],
            "unprinted": [f"U+{ord(character):04X}" for character in absent],
        }
        (folder / "data.json").write_text(json.dumps(words, ensure_ascii=False), encoding="utf-8")
        (folder / template).write_bytes(resources.files("asfound.report").joinpath(template).read_bytes())
        return _compile(folder / template)


def _strings(value: Any) -> Iterator[str]:
    """Return every string in data."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping):
        for part in value.values():
            yield from _strings(part)
    elif isinstance(value, list | tuple):
        for part in value:
            yield from _strings(part)


def _fonts(text: str, more: Sequence[Path] | None, shelf: Path) -> tuple[Path, ...]:
    """Lay the fonts on a shelf of their own, and return those that the typesetter can read.

    The typesetter takes folders of fonts, not files, and passes over a font it cannot read without a word.
    """
    own = fallback_font()
    others = more if more is not None else fonts_on_this_computer(missing(text, (own,)))
    shelf.mkdir()
    for n, font in enumerate((own, *others)):
        (shelf / f"{n}{font.suffix}").write_bytes(font.read_bytes())
    read = typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(shelf)]).families()
    return (own, *(font for font in others if family(font) in read))


def _compile(template: Path) -> bytes:
    """Compile with the typesetter's own fonts and those on the shelf alone."""
    folder = template.parent
    pdf = typst.compile(
        str(template),
        root=str(folder),
        font_paths=[str(folder / "fonts")],
        ignore_system_fonts=True,
        timestamp=0,
        format="pdf",
    )
    assert isinstance(pdf, bytes)
    return pdf


def _printable(value: Any, absent: Sequence[str]) -> Any:
    """Return data with stand-ins for letters no font has, and long words that may be broken."""
    if isinstance(value, str):
        return _breakable(stand_in(value, absent))
    if isinstance(value, Mapping):
        return {name: _printable(part, absent) for name, part in value.items()}
    if isinstance(value, list | tuple):
        return [_printable(part, absent) for part in value]
    return value


def _breakable(text: str) -> str:
    """Let a word longer than a column be broken, by spaces of no width in it."""
    if max(map(len, text.split()), default=0) <= _LONGEST_WORD:
        return text
    words = text.split(" ")
    return " ".join(_broken(word) if len(word) > _LONGEST_WORD else word for word in words)


def _broken(word: str) -> str:
    if "‹U+" in word:
        return word.replace("›", "›\u200b")
    return "\u200b".join(word[n : n + 6] for n in range(0, len(word), 6))
