"""Names and texts in double quotes: exactly what stands between them."""

import re

_ESCAPE = re.compile(r"\\(u[0-9a-fA-F]{4}|.)", re.DOTALL)
_SPECIAL = re.compile(r'[\\"\x00-\x1f\x7f-\x9f\u2028\u2029]')
_LETTERS = {"n": "\n", "t": "\t", "r": "\r"}


def quote(text: str) -> str:
    """Return `text` in double quotes on one line."""
    return '"' + _SPECIAL.sub(_escape, text) + '"'


def unquote(quoted: str) -> str:
    """Return what stands between the quotes; a backslash takes the next character as it is."""
    return _ESCAPE.sub(_unescape, quoted[1:-1])


def _escape(match: re.Match[str]) -> str:
    character = match[0]
    return f"\\{character}" if character in '\\"' else f"\\u{ord(character):04x}"


def _unescape(match: re.Match[str]) -> str:
    code = match[1]
    if len(code) == 5:
        number = int(code[1:], 16)
        return "�" if 0xD800 <= number < 0xE000 else chr(number)
    return _LETTERS.get(code, code)
