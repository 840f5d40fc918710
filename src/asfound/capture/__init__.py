"""Files and streams into arrays; nothing else in the project decodes anything."""

from asfound.capture.envelope import trace_envelope
from asfound.capture.recording import CancelledError, Recording, read_recording
from asfound.capture.sound import SoundFile, inspect_sound, loudest_channel, read_blocks

__all__ = [
    "CancelledError",
    "Recording",
    "SoundFile",
    "inspect_sound",
    "loudest_channel",
    "read_blocks",
    "read_recording",
    "trace_envelope",
]
