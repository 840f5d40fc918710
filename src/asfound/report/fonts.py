"""Letters that the report can print: what the fonts at hand cover, and a stand-in for what they do not."""

import functools
import unicodedata
from collections.abc import Iterable, Sequence
from pathlib import Path

# Set in the typesetter's own serif face; what that lacks comes from the drawing library's sans, which covers
# Latin, Greek, Cyrillic, Armenian, Hebrew, Arabic and Georgian and comes with every installation.
FAMILIES = ("Libertinus Serif", "DejaVu Sans")


def fallback_font() -> Path:
    """Return the file of the font that everything printed is checked against."""
    import matplotlib  # only here and below: it takes a second to load

    return Path(matplotlib.get_data_path()) / "fonts" / "ttf" / "DejaVuSans.ttf"


@functools.lru_cache(maxsize=64)
def covered_by(font: Path) -> frozenset[str]:
    """Return the characters that a font has a letter for."""
    from matplotlib.ft2font import FT2Font

    return frozenset(map(chr, FT2Font(str(font)).get_charmap()))


def missing(text: str, fonts: Sequence[Path]) -> tuple[str, ...]:
    """Return the characters of a text that none of the fonts has, each once, in order of code point."""
    have = frozenset[str]().union(*(covered_by(font) for font in fonts))
    return tuple(sorted({c for c in text if _is_control(c) or (c not in have and not _needs_no_letter(c))}))


def _is_control(character: str) -> bool:
    return unicodedata.category(character) == "Cc" and character not in "\n\r\t"


def _needs_no_letter(character: str) -> bool:
    return unicodedata.category(character) in ("Cc", "Cf", "Zs", "Zl", "Zp")


def fonts_on_this_computer(characters: Iterable[str]) -> tuple[Path, ...]:
    """Return installed fonts that have the characters, as few as it takes, always the same on the same computer."""
    from matplotlib import font_manager

    wanted = set(characters)
    chosen: list[Path] = []
    for name in sorted(font_manager.findSystemFonts()) if wanted else ():
        gained = wanted & _readable(Path(name))
        if gained:
            chosen.append(Path(name))
            wanted -= gained
        if not wanted:
            break
    return tuple(chosen)


def _readable(font: Path) -> frozenset[str]:
    try:
        return covered_by(font)
    except (OSError, RuntimeError, ValueError):
        return frozenset()


def family(font: Path) -> str:
    """Return the family that a font file calls itself."""
    from matplotlib.ft2font import FT2Font

    return FT2Font(str(font)).family_name


def stand_in(text: str, absent: Iterable[str]) -> str:
    """Return the text with every character that has no letter written as its number: ‹U+5C71›."""
    return text.translate({ord(c): f"‹U+{ord(c):04X}›" for c in absent})
