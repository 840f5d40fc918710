"""The blocks of sound as a page sends them: a head of six numbers, then the samples.

All are little-endian: epoch and marks (unsigned, 32 bits each), number of the first frame (float, 64 bits), count of
samples and nothing (unsigned, 32 bits each); then so many floats of 32 bits.
"""

import struct

import numpy as np

from asfound.book.spool import SpooledBlock
from asfound.problems import bad_input

HEAD = struct.Struct("<IIdII")
DOUBTFUL = 1
MOST_SAMPLES = 1 << 16


def read_block(message: bytes) -> SpooledBlock:
    """Return the block in a message.

    Raises
    ------
    BadInputError
        If it is none.
    """
    if len(message) < HEAD.size:
        raise _broken()
    epoch, marks, frame, count, _ = HEAD.unpack_from(message)
    if not 0 < count <= MOST_SAMPLES or len(message) != HEAD.size + 4 * count or not 0 <= frame < 2**53:
        raise _broken()
    samples = np.frombuffer(message, "<f4", offset=HEAD.size).astype(np.float32)
    clean = np.nan_to_num(samples, nan=0.0, posinf=1.0, neginf=-1.0)
    return SpooledBlock(epoch, int(frame), bool(marks & DOUBTFUL), np.clip(clean, -8, 8))


def write_block(block: SpooledBlock) -> bytes:
    """Return a block as a page would send it."""
    marks = DOUBTFUL if block.doubtful else 0
    head = HEAD.pack(block.epoch, marks, float(block.frame), block.samples.size, 0)
    return head + block.samples.astype("<f4").tobytes()


def _broken() -> Exception:
    return bad_input("live sound", "a block of it cannot be read", "load the page anew")
