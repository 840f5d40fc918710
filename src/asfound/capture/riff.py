"""How many bytes of sound a WAV file says it holds, to notice one that was cut short."""

import struct
from pathlib import Path

# A recorder that was switched off, or that wrote to a pipe, leaves the length at one of these.
_UNSAID = (0, 0xFFFF_FFFF)


def missing_bytes(path: Path) -> tuple[int, int]:
    """Return how many bytes of sound the file lacks and how many it says it holds; (0, 0) if not known.

    Only plain RIFF WAVE files are looked at.
    """
    size = path.stat().st_size
    with path.open("rb") as file:
        head = file.read(12)
        if len(head) < 12 or head[:4] != b"RIFF" or head[8:] != b"WAVE":
            return 0, 0
        while len(chunk := file.read(8)) == 8:
            name, length = struct.unpack("<4sI", chunk)
            if name == b"data":
                there = size - file.tell()
                return (0, 0) if length in _UNSAID else (max(0, length - there), length)
            file.seek(length + length % 2, 1)
    return 0, 0
