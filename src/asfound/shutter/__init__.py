"""Samples to firings to exposure to dial; the simulator that they are tried on."""

from asfound.shutter.block import Block, Listener, Samples
from asfound.shutter.dial import Dial, DialRow, dial_row, judge, read_dial, summary
from asfound.shutter.firing import Firing, Flag
from asfound.shutter.levels import crossings, state_levels
from asfound.shutter.light import LightListener
from asfound.shutter.marked import MarkedSpeed, read_marked
from asfound.shutter.refine import Arrangement, refine
from asfound.shutter.simulate import Exposure, SoundInput, Truth, exposure_lasting, simulate
from asfound.shutter.stopdown import StoppedDown, reason_to_withhold, stopped_down_table, stopped_down_time_s

__all__ = [
    "Arrangement",
    "Block",
    "Dial",
    "DialRow",
    "Exposure",
    "Firing",
    "Flag",
    "LightListener",
    "Listener",
    "MarkedSpeed",
    "Samples",
    "SoundInput",
    "StoppedDown",
    "Truth",
    "crossings",
    "dial_row",
    "exposure_lasting",
    "judge",
    "read_dial",
    "read_marked",
    "reason_to_withhold",
    "refine",
    "simulate",
    "state_levels",
    "stopped_down_table",
    "stopped_down_time_s",
    "summary",
]
