"""A session fired live, as a sound file: FLAC, with what else is known of it in the file's own comment."""

import json
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path

import numpy as np
import soundfile

from asfound.shutter.timing.block import Samples
from asfound.shutter.timing.firing import Firing, Flag

_MARK = "asfound live"
# Sound inputs of 16 bits come to a page divided by one of these (from memory).
_GRIDS = (32_768, 32_767)
_FINE_SCALE = 1 << 23


@dataclass(frozen=True, slots=True)
class Gap:
    """Where samples were lost on the way.

    Attributes
    ----------
    at : int
        Sample of the file before which they are missing.
    filled : int
        How many samples stand there in their place, all alike.
    missing : int or None
        How many were lost; None where that is not known.
    """

    at: int
    filled: int
    missing: int | None


@dataclass(frozen=True, slots=True)
class ToldShot:
    """What was said of a firing while it was fired: its first light (or click), speed, and whether it was struck."""

    start_s: float
    marked: str | None
    struck: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LiveTold:
    """What a sound file of a live session tells beside its sound.

    Attributes
    ----------
    session : str
    marks : tuple of str
        Speeds in the order walked.
    shots : tuple of ToldShot
    gaps : tuple of Gap
    """

    session: str
    marks: tuple[str, ...]
    shots: tuple[ToldShot, ...]
    gaps: tuple[Gap, ...]


def step_of(samples: Samples) -> float:
    """Return the smallest step of samples: that of 16 bits if all lie on such steps, else of 24."""
    return 2.0**-15 if any(_is_on(samples, scale) for scale in _GRIDS) else 2.0**-23


def _is_on(samples: Samples, scale: int) -> bool:
    scaled = samples.astype(np.float64) * scale
    return bool(np.all(np.abs(scaled - np.rint(scaled)) < 2e-3))


def write_live(path: Path, pieces: Iterable[Samples], *, sample_rate_hz: float, step: float, told: LiveTold) -> None:
    """Write a session as FLAC.

    Parameters
    ----------
    path : Path
    pieces : iterable of ndarray of float32
        The samples in order, full scale 1.
    sample_rate_hz : float
        A whole number.
    step : float
        As `step_of` gives it for all of them.
    told : LiveTold
    """
    coarse = step > 2.0**-20
    with soundfile.SoundFile(
        path, "w", round(sample_rate_hz), 1, subtype="PCM_16" if coarse else "PCM_24", format="FLAC"
    ) as file:
        file.comment = json.dumps({_MARK: 1, **asdict(told)})
        for piece in pieces:
            file.write(_in_steps(piece, 1 << 15).astype(np.int16) if coarse else _in_steps(piece, _FINE_SCALE) << 8)


def _in_steps(samples: Samples, scale: int) -> np.ndarray[tuple[int, ...], np.dtype[np.int32]]:
    return np.clip(np.rint(samples.astype(np.float64) * scale), -scale, scale - 1).astype(np.int32)


def read_told(path: Path) -> LiveTold | None:
    """Return what a live session's file tells of itself; None for any other file."""
    try:
        with soundfile.SoundFile(path) as file:
            plain = json.loads(file.comment)
        if plain.get(_MARK) != 1:
            return None
        return LiveTold(
            session=str(plain["session"]),
            marks=tuple(str(mark) for mark in plain["marks"]),
            shots=tuple(ToldShot(**shot) for shot in plain["shots"]),
            gaps=tuple(Gap(**gap) for gap in plain["gaps"]),
        )
    except (soundfile.LibsndfileError, ValueError, TypeError, KeyError, AttributeError):
        return None


def without_gaps(firings: Iterable[Firing], gaps: Sequence[Gap]) -> tuple[Firing, ...]:
    """Return the firings; one that was looked at across a gap has no time any more, and says why."""
    return tuple(_untimed(one) if any(_meets(one, gap) for gap in gaps) else one for one in firings)


def _meets(firing: Firing, gap: Gap) -> bool:
    return firing.start_index <= gap.at + gap.filled and gap.at <= firing.stop_index


def _untimed(firing: Firing) -> Firing:
    return replace(
        firing,
        total_open_s=None,
        half_level_s=None,
        effective_s=None,
        opening_s=None,
        closing_s=None,
        efficiency=None,
        u_random_s=None,
        u_effective_s=None,
        open_s=None,
        u_open_s=None,
        flags=tuple(flag for flag in Flag if flag in {*firing.flags, Flag.GAP}),
    )


def in_thousands(pieces: Iterable[Samples], least: int = 1 << 16) -> Iterator[Samples]:
    """Yield the same samples in longer pieces."""
    waiting: list[Samples] = []
    for piece in pieces:
        waiting.append(piece)
        if sum(one.size for one in waiting) >= least:
            yield np.concatenate(waiting)
            waiting = []
    if waiting:
        yield np.concatenate(waiting)
