"""Light and flash contact on two channels of one recording."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from asfound.capture.recording import Recording, read_recording
from asfound.capture.sound import inspect_sound, read_blocks
from asfound.problems import bad_input
from asfound.shutter.timing.sync import Contact, Datum, Setting, SyncResult, find_closures, sync_of

LONGEST_S = 3600.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FlashRecording:
    """A recording of light and contact: its firings, the closures, and one result for each firing."""

    light: Recording
    contact_channel: int
    closures: tuple[Contact, ...]
    results: tuple[SyncResult, ...]


def read_flash(
    path: Path | str,
    *,
    setting: Setting,
    datum: Datum = "blades start",
    light_channel: int = 0,
    contact_channel: int = 1,
) -> FlashRecording:
    """Measure the flash contact of every firing.

    Parameters
    ----------
    path : path
        A recording of two channels or more.
    setting : {"X", "M"}
    datum : {"blades start", "80 % open"}
        For M: what the delay is counted to.
    light_channel, contact_channel : int
        From 0.

    Raises
    ------
    BadInputError
        If there are not two channels, it is longer than an hour, or no firing is in it.
    """
    sound = inspect_sound(path)
    if max(light_channel, contact_channel) >= sound.channels or light_channel == contact_channel:
        what = f"light and contact need two channels, the file has {sound.channels}"
        raise bad_input(sound.path.name, what, "record light and contact on the two channels of one file")
    if sound.duration_s > LONGEST_S:
        raise bad_input(sound.path.name, "it is longer than an hour", "cut out the firings")
    light = read_recording(path, kind="light", channel=light_channel)
    signal = np.concatenate([block.samples for block in read_blocks(sound, channel=contact_channel)])
    closures = find_closures(signal, sample_rate_hz=sound.sample_rate_hz)
    return FlashRecording(
        light=light,
        contact_channel=contact_channel,
        closures=closures,
        results=tuple(sync_of(firing, closures, setting=setting, datum=datum) for firing in light.firings),
    )
