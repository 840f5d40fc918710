"""A pairing address as a QR code: for the page, and for the terminal."""

import io
from urllib.parse import quote

import segno


def pairing_address(address: str, code: str) -> str:
    """Return what the QR code says: the pairing page, with the code filled in."""
    return f"{address}/pair?code={quote(code)}"


def qr_inline(text: str) -> str:
    """Return a QR code as SVG for a page: dark on light in either theme, without styles of its own."""
    code = segno.make(text, error="m", micro=False)
    return code.svg_inline(svgclass="qr", lineclass=None, dark="#000", light="#fff", border=4, omitsize=True)


def qr_lines(text: str) -> str:
    """Return a QR code for a terminal, two rows of it in one line of text."""
    held = io.StringIO()
    segno.make(text, error="l", micro=False).terminal(held, compact=True, border=2)
    return held.getvalue()
