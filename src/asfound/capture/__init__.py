"""Files and streams into arrays; nothing else in the project decodes anything."""

from asfound.capture.envelope import trace_envelope
from asfound.capture.recording import CancelledError, ClickOffset, Recording, read_recording
from asfound.capture.sound import SoundFile, inspect_sound, read_blocks
from asfound.capture.video import Brightness, Region, frame_strip, read_brightness

__all__ = [
    "Brightness",
    "CancelledError",
    "ClickOffset",
    "Recording",
    "Region",
    "SoundFile",
    "frame_strip",
    "inspect_sound",
    "read_blocks",
    "read_brightness",
    "read_recording",
    "trace_envelope",
]
