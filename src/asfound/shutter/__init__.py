"""Samples to firings to exposure to dial; the simulator that they are tried on."""

from asfound.shutter.causes.nexttest import NextTest, next_test
from asfound.shutter.causes.weighing import Why, why
from asfound.shutter.simulated.light import Exposure, SoundInput, Truth, exposure_lasting, simulate
from asfound.shutter.speeds.dial import Dial, DialRow, dial_row, judge, read_dial, summary
from asfound.shutter.speeds.groups import Group, Train
from asfound.shutter.speeds.marked import MarkedSpeed, read_marked
from asfound.shutter.speeds.series import Shot, Speed, read_series, series_of_rows, speed_of
from asfound.shutter.timing.block import Block, Listener, Samples
from asfound.shutter.timing.firing import Firing, Flag
from asfound.shutter.timing.levels import crossings, state_levels
from asfound.shutter.timing.light import LightListener
from asfound.shutter.timing.refine import Arrangement, refine
from asfound.shutter.timing.stopdown import StoppedDown, reason_to_withhold, stopped_down_table, stopped_down_time_s
from asfound.shutter.trimming.effects import Adjuster, Move
from asfound.shutter.trimming.trim import NextMove, next_move, reading_says
from asfound.shutter.trimming.trimlog import TrimLog, read_adjusters, read_log, tolerances_of, u_of_means

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
