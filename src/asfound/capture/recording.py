"""A recording, whatever it is, into its firings."""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

from asfound.capture.live_file import LiveTold, read_told, without_gaps
from asfound.capture.sound import SoundFile, check_there, inspect_sound, read_blocks
from asfound.capture.survey import survey
from asfound.capture.video import Region, has_pictures, read_brightness
from asfound.problems import Problem, StoppedError, bad_input
from asfound.shutter.timing.block import Listener
from asfound.shutter.timing.clicks import SoundListener
from asfound.shutter.timing.firing import Firing, Flag
from asfound.shutter.timing.frames import firings_from_frames
from asfound.shutter.timing.light import LightListener
from asfound.shutter.timing.measure import BANDWIDTH_SHARE
from asfound.shutter.timing.refine import Arrangement, refine

VIDEO_SUFFIXES = (".mp4", ".mov", ".webm", ".mkv", ".avi", ".3gp", ".m4v")
Kind = Literal["light", "sound", "video"]
Progress = Callable[[float], None]
Cancelled = Callable[[], bool]


class CancelledError(StoppedError):
    """The user stopped the reading of a recording."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Recording:
    """A recording and the firings in it.

    Attributes
    ----------
    path : str
        As given.
    kind : {"light", "sound", "video"}
    sample_rate_hz : float
    duration_s : float
    channel : int
        Which channel was read, from 0.
    aperture : float or None
        f-number in use; None where nobody said.
    firings : tuple of Firing
        In the order shot.
    notes : tuple of str
        What was taken for granted, in sentences.
    """

    path: str
    kind: Kind
    sample_rate_hz: float
    duration_s: float
    channel: int
    aperture: float | None = None
    firings: tuple[Firing, ...]
    notes: tuple[str, ...]

    def as_json(self) -> dict[str, object]:
        """Return the recording as plain values."""
        about = {
            "path": self.path,
            "kind": self.kind,
            "sample_rate_hz": self.sample_rate_hz,
            "duration_s": self.duration_s,
            "channel": self.channel,
            "aperture": self.aperture,
            "notes": list(self.notes),
        }
        return {"recording": about, "firings": [firing.as_json() for firing in self.firings]}


@dataclass(frozen=True, slots=True, kw_only=True)
class ClickOffset:
    """What to add to the interval between two clicks to give the exposure, for one shutter.

    Attributes
    ----------
    offset_s, u_offset_s : float
        Measured once against light, and its standard uncertainty.
    """

    offset_s: float
    u_offset_s: float


def read_recording(
    path: Path | str,
    *,
    kind: Kind | None = None,
    channel: int | None = None,
    aperture: float | None = None,
    arrangement: Arrangement | None = None,
    click_offset: ClickOffset | None = None,
    region: Region | None = None,
    slow_motion: float = 1.0,
    progress: Progress | None = None,
    cancelled: Cancelled | None = None,
) -> Recording:
    """Read a recording in bounded memory and measure every firing in it.

    Parameters
    ----------
    path : path
        WAV, FLAC, or what a telephone records.
    kind : {"light", "sound", "video"}, optional
        Guessed when not given, and said in the notes.
    channel : int, optional
        From 0; the one with the greatest swing when not given.
    aperture : float, optional
        f-number in use, kept with the firings.
    arrangement : Arrangement, optional
        Where the sensor stood and what it is.
    click_offset : ClickOffset, optional
        For sound: this shutter's, if it was ever compared with light.
    region : Region, optional
        For video: where to look; where the picture changes most when not given.
    slow_motion : float
        For video: how many times slower it plays than it was taken.
    progress : callable, optional
        Called with the fraction done, 0 to 1.
    cancelled : callable, optional
        Asked after every block; when it answers true, reading stops.

    Raises
    ------
    BadInputError
        If the file cannot be read, or has no firing in it.
    CancelledError
        If `cancelled` answered true.
    """
    if kind == "video" or (kind is None and _is_video(Path(path))):
        return _read_video(path, kind, aperture, region, slow_motion, cancelled)
    sound = inspect_sound(path)
    chosen, kind, notes = _choose(sound, channel, kind)
    if kind == "light":
        light = LightListener(sample_rate_hz=sound.sample_rate_hz, resolution=sound.resolution)
        firings = refine(_listen(sound, chosen, light, progress, cancelled), arrangement)
        notes += _light_notes(sound, firings, aperture, arrangement)
    else:
        firings = _heard(sound, chosen, click_offset, progress, cancelled)
        notes += _sound_notes(click_offset)
    if not firings:
        what = f"no firing was found in {sound.duration_s:.1f} s of {kind}"
        remedy = "check that the sensor saw the light; begin the recording a tenth of a second before firing"
        raise bad_input(sound.path.name, what, remedy)
    told = None if sound.telephone else read_told(sound.path)
    if told is not None and told.gaps:
        firings = without_gaps(firings, told.gaps)
        notes.append(_gap_note(told))
    if sound.lossy:
        firings = tuple(_lossy(firing) for firing in firings)
    return Recording(
        path=str(path),
        kind=kind,
        sample_rate_hz=sound.sample_rate_hz,
        duration_s=sound.duration_s,
        channel=chosen,
        aperture=aperture,
        firings=firings,
        notes=tuple(notes),
    )


def _gap_note(told: LiveTold) -> str:
    count = len(told.gaps)
    times = f"{count} times" if count > 1 else "once"
    return f"Sound was lost on the way {times} while this was fired: a firing that it touches has no time."


def _is_video(path: Path) -> bool:
    return path.suffix.lower() in VIDEO_SUFFIXES and path.is_file() and path.stat().st_size > 0 and has_pictures(path)


def _read_video(
    path: Path | str,
    kind: Kind | None,
    aperture: float | None,
    region: Region | None,
    slow_motion: float,
    cancelled: Cancelled | None,
) -> Recording:
    where = Path(path)
    check_there(where)

    def stop(_: int) -> bool:
        if cancelled is not None and cancelled():
            raise CancelledError(Problem(where.name, "reading was stopped", "start it again"))
        return False

    seen = read_brightness(where, region=region, progress=stop)
    firings = firings_from_frames(seen.time_s, seen.light, slow_motion=slow_motion)
    if not firings:
        remedy = "check that the light behind the blades is in the picture, or name the region"
        raise bad_input(where.name, f"no firing was found in {seen.time_s.size} frames", remedy)
    r = seen.region
    notes = [
        f"Region {r.left:.2f},{r.top:.2f} to {r.right:.2f},{r.bottom:.2f} of the picture was summed.",
        f"A frame lasts {1e3 / seen.rate_hz / slow_motion:.3g} ms: that is most of the uncertainty.",
    ]
    if kind is None:
        notes.append("Taken for video, as there are pictures in it; say --kind if the sound is meant.")
    return Recording(
        path=str(path),
        kind="video",
        sample_rate_hz=seen.rate_hz * slow_motion,
        duration_s=float(seen.time_s[-1]) / slow_motion,
        channel=0,
        aperture=aperture,
        firings=firings,
        notes=tuple(notes),
    )


def _choose(sound: SoundFile, channel: int | None, kind: Kind | None) -> tuple[int, Kind, list[str]]:
    """Return the channel and kind to read, and what was guessed of them."""
    if channel is not None and not 0 <= channel < sound.channels:
        what = f"channel {channel + 1} is asked for, the file has {sound.channels}"
        raise bad_input(sound.path.name, what, f"choose 1 to {sound.channels}")
    if kind is not None and (channel is not None or sound.channels == 1):
        return channel or 0, kind, []
    seen, notes = survey(sound), []
    chosen = seen.channel if channel is None else channel
    if channel is None and sound.channels > 1:
        why = "it has the greatest swing" if chosen else "no other has a clearly greater swing"
        notes.append(f"Channel {chosen + 1} of {sound.channels} was read: {why}.")
    if kind is None:
        kind = seen.kind(chosen)
        notes.append(f"Taken for {kind} by its course; say --kind if it is not.")
    return chosen, kind, notes


def _heard(
    sound: SoundFile,
    channel: int,
    offset: ClickOffset | None,
    progress: Progress | None,
    cancelled: Cancelled | None,
) -> tuple[Firing, ...]:
    listener = SoundListener(
        sample_rate_hz=sound.sample_rate_hz,
        offset_s=offset.offset_s if offset else None,
        u_offset_s=offset.u_offset_s if offset else None,
    )
    _listen(sound, channel, listener, progress, cancelled)
    return listener.matched()


def _lossy(firing: Firing) -> Firing:
    """Return the firing flagged; what a level control does to a plateau is not known, so neither is its time.

    The light's edges are still seen, so the effective time stays, give or take its ramps.
    """
    ramps = ((firing.opening_s or 0.0) + (firing.closing_s or 0.0)) / 2
    u = firing.u_effective_s
    return replace(
        firing,
        flags=tuple(flag for flag in Flag if flag in {*firing.flags, Flag.LOSSY_AUDIO}),
        u_effective_s=None if u is None else math.hypot(u, ramps / math.sqrt(3)),
    )


def _sound_notes(offset: ClickOffset | None) -> list[str]:
    if offset is None:
        return [
            "Which click is which movement of the blades is open by 1 to 3 ms: without an offset measured "
            "against light the times are useful to about 1/10 s."
        ]
    return [f"{offset.offset_s * 1e3:g} ms were added to each interval, as measured against light."]


def _light_notes(
    sound: SoundFile, firings: tuple[Firing, ...], aperture: float | None, arrangement: Arrangement | None
) -> list[str]:
    notes = []
    times = [firing.effective_s for firing in firings if firing.effective_s]
    passes, wanted = BANDWIDTH_SHARE * sound.sample_rate_hz, 100 / min(times, default=1.0)
    if passes < wanted:
        notes.append(
            f"This input passes about {passes / 1e3:.0f} kHz; ISO 516 asks {wanted / 1e3:.0f} kHz of a detector "
            "for the shortest time here. That is in the uncertainty."
        )
    if aperture is None:
        notes.append("The aperture in use was not said: the times hold for that aperture only.")
    if arrangement is None or arrangement.whole_pupil is None:
        notes.append("Whether the sensor sees the whole pupil was not said.")
    return notes


def _listen(
    sound: SoundFile,
    channel: int,
    listener: Listener,
    progress: Progress | None,
    cancelled: Cancelled | None,
) -> tuple[Firing, ...]:
    firings: list[Firing] = []
    for block in read_blocks(sound, channel=channel):
        if cancelled is not None and cancelled():
            raise CancelledError(Problem(sound.path.name, "reading was stopped", "start it again"))
        firings += listener.feed(block)
        if progress is not None:
            progress(min(1.0, (block.start_index + block.samples.size) / max(1, sound.frames)))
    return (*firings, *listener.close())
