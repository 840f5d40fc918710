"""Samples to firings to exposure to dial; the simulator that they are tried on."""

from asfound.shutter.block import Block, Listener, Samples
from asfound.shutter.causes import Why, why
from asfound.shutter.dial import Dial, DialRow, dial_row, judge, read_dial, summary
from asfound.shutter.effects import Adjuster, Move
from asfound.shutter.firing import Firing, Flag
from asfound.shutter.groups import Group, Train
from asfound.shutter.levels import crossings, state_levels
from asfound.shutter.light import LightListener
from asfound.shutter.marked import MarkedSpeed, read_marked
from asfound.shutter.nexttest import NextTest, next_test
from asfound.shutter.refine import Arrangement, refine
from asfound.shutter.series import Shot, Speed, read_series, series_of_rows, speed_of
from asfound.shutter.simulate import Exposure, SoundInput, Truth, exposure_lasting, simulate
from asfound.shutter.stopdown import StoppedDown, reason_to_withhold, stopped_down_table, stopped_down_time_s
from asfound.shutter.trim import NextMove, next_move, reading_says
from asfound.shutter.trimlog import TrimLog, read_adjusters, read_log, tolerances_of, u_of_means

__all__ = [
    "Adjuster",
    "Arrangement",
    "Block",
    "Dial",
    "DialRow",
    "Exposure",
    "Firing",
    "Flag",
    "Group",
    "LightListener",
    "Listener",
    "MarkedSpeed",
    "Move",
    "NextMove",
    "NextTest",
    "Samples",
    "Shot",
    "SoundInput",
    "Speed",
    "StoppedDown",
    "Train",
    "TrimLog",
    "Truth",
    "Why",
    "crossings",
    "dial_row",
    "exposure_lasting",
    "judge",
    "next_move",
    "next_test",
    "read_adjusters",
    "read_dial",
    "read_log",
    "read_marked",
    "read_series",
    "reading_says",
    "reason_to_withhold",
    "refine",
    "series_of_rows",
    "simulate",
    "speed_of",
    "state_levels",
    "stopped_down_table",
    "stopped_down_time_s",
    "summary",
    "tolerances_of",
    "u_of_means",
    "why",
]
