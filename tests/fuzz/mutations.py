"""Damage done to good files: flipped, cut, repeated, moved, and numbers no measurement ever gave."""

import io
import random
import re
import zipfile

STRANGE = (
    b"",
    b"-1",
    b"0",
    b"1e999",
    b"nan",
    b"-inf",
    b"9" * 400,
    b"1e-320",
    b"\xff\xfe",
    b"\x00",
    "٣".encode(),
    b'"',
    b",,,",
)
WIDE = (b"\x00" * 4, b"\xff" * 4, b"\x7f\xff\xff\xff", b"\x80\x00\x00\x00", b"\xff\xff\xff\x7f", b"\x01\x00\x00\x00")


def damaged(content: bytes, draw: random.Random) -> bytes:
    """Return a file with one to four faults, most of them near its beginning, where its sizes are told."""
    for _ in range(draw.choice((1, 1, 2, 4))):
        content = draw.choice((flipped, flipped, widened, cut, repeated, moved))(content, draw)
    return content


def flipped(content: bytes, draw: random.Random) -> bytes:
    """Flip a bit here and there."""
    kept = bytearray(content)
    for _ in range(draw.choice((1, 3, 20))):
        if kept:
            kept[place(kept, draw)] ^= 1 << draw.randrange(8)
    return bytes(kept)


def widened(content: bytes, draw: random.Random) -> bytes:
    """Write a number at the edge of its range over four bytes."""
    at = place(content, draw)
    return content[:at] + draw.choice(WIDE) + content[at + 4 :]


def cut(content: bytes, draw: random.Random) -> bytes:
    """Cut the file off."""
    return content[: draw.randrange(len(content) + 1)]


def repeated(content: bytes, draw: random.Random) -> bytes:
    """Put a piece in twice."""
    a, b = sorted((place(content, draw), place(content, draw)))
    return content[:b] + content[a : min(b, a + 4096)] + content[b:]


def moved(content: bytes, draw: random.Random) -> bytes:
    """Take a piece out."""
    a = place(content, draw)
    return content[:a] + content[a + draw.choice((1, 4, 64)) :]


def place(content: bytes | bytearray, draw: random.Random) -> int:
    """Return a place in the file: as often in its first hundred bytes as anywhere."""
    return draw.randrange(max(1, min(len(content), 100) if draw.random() < 0.5 else len(content)))


def reworded(content: bytes, draw: random.Random) -> bytes:
    """Return a text of which a few numbers or words are others."""
    for _ in range(draw.choice((1, 2, 5))):
        words = [m.span() for m in re.finditer(rb"[^\s,;:{}\[\]\"]+", content)]
        if not words:
            break
        a, b = draw.choice(words)
        content = content[:a] + draw.choice(STRANGE) + content[b:]
    return content if draw.random() < 0.7 else damaged(content, draw)


def repacked(content: bytes, draw: random.Random) -> bytes:
    """Return a zip of which a member is damaged, renamed or lost, with all its own sums right again."""
    if draw.random() < 0.4:
        return damaged(content, draw)
    kept = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as whole, zipfile.ZipFile(kept, "w", zipfile.ZIP_DEFLATED) as made:
        names = whole.namelist()
        hurt = draw.choice(names)
        for name in names:
            member = whole.read(name)
            if name != hurt:
                made.writestr(name, member)
            elif draw.random() < 0.7:
                made.writestr(name, reworded(member, draw))
            elif draw.random() < 0.7:
                made.writestr(draw.choice(("../" + name, "/etc/x", name.upper(), "a" * 300, "C:\\x")), member)
    return kept.getvalue()
