"""A recording, whatever it is, into its firings."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from asfound.capture.sound import SoundFile, inspect_sound, loudest_channel, read_blocks
from asfound.problems import AsfoundError, Problem, bad_input
from asfound.shutter.firing import Firing
from asfound.shutter.light import LightListener
from asfound.shutter.measure import BANDWIDTH_SHARE
from asfound.shutter.refine import Arrangement, refine

Kind = Literal["light", "sound", "video"]
Progress = Callable[[float], None]
Cancelled = Callable[[], bool]


class CancelledError(AsfoundError):
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


def read_recording(
    path: Path | str,
    *,
    channel: int | None = None,
    aperture: float | None = None,
    arrangement: Arrangement | None = None,
    progress: Progress | None = None,
    cancelled: Cancelled | None = None,
) -> Recording:
    """Read a recording in bounded memory and measure every firing in it.

    Parameters
    ----------
    path : path
        WAV or FLAC.
    channel : int, optional
        From 0; the one with the greatest swing when not given.
    aperture : float, optional
        f-number in use, kept with the firings.
    arrangement : Arrangement, optional
        Where the sensor stood and what it is.
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
    sound = inspect_sound(path)
    chosen, notes = _choose_channel(sound, channel)
    firings = _listen(sound, chosen, progress, cancelled)
    if not firings:
        what = f"no firing was found in {sound.duration_s:.1f} s"
        remedy = "check that the sensor saw the light; begin the recording a tenth of a second before firing"
        raise bad_input(sound.path.name, what, remedy)
    return Recording(
        path=str(path),
        kind="light",
        sample_rate_hz=sound.sample_rate_hz,
        duration_s=sound.duration_s,
        channel=chosen,
        aperture=aperture,
        firings=refine(firings, arrangement),
        notes=(*notes, *_light_notes(sound, firings, aperture, arrangement)),
    )


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


def _choose_channel(sound: SoundFile, channel: int | None) -> tuple[int, tuple[str, ...]]:
    if channel is not None:
        if not 0 <= channel < sound.channels:
            what = f"channel {channel + 1} is asked for, the file has {sound.channels}"
            raise bad_input(sound.path.name, what, f"choose 1 to {sound.channels}")
        return channel, ()
    chosen = loudest_channel(sound)
    if sound.channels == 1:
        return chosen, ()
    why = "it has the greatest swing" if chosen else "no other has a clearly greater swing"
    return chosen, (f"Channel {chosen + 1} of {sound.channels} was read: {why}.",)


def _listen(
    sound: SoundFile, channel: int, progress: Progress | None, cancelled: Cancelled | None
) -> tuple[Firing, ...]:
    listener = LightListener(sample_rate_hz=sound.sample_rate_hz, resolution=sound.resolution)
    firings: list[Firing] = []
    for block in read_blocks(sound, channel=channel):
        if cancelled is not None and cancelled():
            raise CancelledError(Problem(sound.path.name, "reading was stopped", "start it again"))
        firings += listener.feed(block)
        if progress is not None:
            progress((block.start_index + block.samples.size) / sound.frames)
    return (*firings, *listener.close())
