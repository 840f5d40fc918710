"""One firing of a shutter, as measured; and everything that may have to be said about it."""

from dataclasses import dataclass
from enum import StrEnum


class Flag(StrEnum):
    """What may be said about a firing: a closed list, each with its sentence."""

    CLIPPED = "clipped"
    REBOUND = "rebound"
    NO_PLATEAU = "no plateau"
    PARTLY_OPEN = "partly open"
    SECOND_FIRING = "second firing"
    NEVER_CLOSES = "never closes"
    AC_DROOP = "AC droop"
    HUM = "hum"
    FLICKER = "flicker"
    PART_OF_PUPIL = "sensor sees part of pupil"
    LOSSY_AUDIO = "lossy audio"
    LOW_SIGNAL_TO_NOISE = "low signal to noise"
    TRUNCATED = "truncated"
    SHAPE_UNKNOWN = "shape unknown"
    MODEL_MISFIT = "model misfit"
    SLOW_SENSOR = "slow sensor"
    CLICKS_ARE_NOT_LIGHT = "clicks are not light"
    TOO_FAST_FOR_FRAMES = "too fast for the frames"
    GAP = "gap"

    @property
    def sentence(self) -> str:
        """What the flag means and what to do about it, in plain words."""
        return _SENTENCES[self]


_SENTENCES = {
    Flag.CLIPPED: "The input was overdriven, so the full brightness is not known: turn the level down.",
    Flag.REBOUND: "The blades closed, sprang open again and closed once more.",
    Flag.NO_PLATEAU: "The blades began to close as soon as they were open: no steady full opening was seen.",
    Flag.PARTLY_OPEN: "The blades did not open as far as in the other firings of this recording.",
    Flag.SECOND_FIRING: "The shutter fired a second time by itself.",
    Flag.NEVER_CLOSES: "The shutter opened and was not seen to close.",
    Flag.AC_DROOP: "The sound input does not pass steady light; its droop was measured and undone.",
    Flag.HUM: "Mains hum was found and taken out.",
    Flag.FLICKER: "The lamp flickers with the mains: use a battery lamp or daylight.",
    Flag.PART_OF_PUPIL: "The sensor seems to see only part of the pupil: the efficiency reads too high.",
    Flag.LOSSY_AUDIO: "The recording was made smaller with loss, and its level may have been altered.",
    Flag.LOW_SIGNAL_TO_NOISE: "The light is weak against the noise: more light, or a higher input level.",
    Flag.TRUNCATED: "The recording begins or ends within this firing.",
    Flag.SHAPE_UNKNOWN: "Neither an area nor a diameter growing evenly fits the blades: the curve was summed.",
    Flag.MODEL_MISFIT: "More is left over after the fit than the noise explains: look at the trace.",
    Flag.SLOW_SENSOR: "The sensor is slow against the blades: the ramps are lengthened.",
    Flag.CLICKS_ARE_NOT_LIGHT: "A click is up to 3 ms from the blade's opening: no offset is stored here.",
    Flag.TOO_FAST_FOR_FRAMES: "The frames are too far apart to settle this time.",
    Flag.GAP: "Sound was lost on the way within this firing, so it has no time: fire again.",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Firing:
    """One firing: times in seconds, None where this kind of recording cannot know.

    Attributes
    ----------
    start_s : float
        First light, from the beginning of the recording (for sound: the first click).
    total_open_s : float or None
        First to last light.
    half_level_s : float or None
        Between the two crossings of half the full brightness. It is not the effective time unless the
        brightness ramps are straight.
    effective_s : float or None
        Integral of the brightness over its plateau (ISO 516:2019).
    opening_s, closing_s : float or None
        How long the blades took to open fully, and to close.
    efficiency : float or None
        Effective over total time.
    u_random_s : float or None
        Standard uncertainty of the effective time from noise alone.
    u_effective_s : float or None
        Standard uncertainty of the effective time from everything known.
    open_s, u_open_s : float or None
        Sound only: between the clicks of opening and closing, and its standard uncertainty.
    flags : tuple of Flag
    start_index, stop_index : int
        First and one-past-last sample that were looked at, for drawing the trace.
    base, plateau : float or None
        Signal in the dark and its change when fully open (full scale 1, sign kept), for drawing.
    coupling_hz : tuple of float
        Corner frequencies of the input's high pass, as fitted; empty if none was seen.
    residual_ratio : float or None
        Mean square of what the fit leaves over, by that of the noise; near 1 where the model is right.
    shapes : tuple of str
        Shape of the opening and of the closing that fitted best: "area", "diameter" or "free".
    """

    start_s: float
    total_open_s: float | None = None
    half_level_s: float | None = None
    effective_s: float | None = None
    opening_s: float | None = None
    closing_s: float | None = None
    efficiency: float | None = None
    u_random_s: float | None = None
    u_effective_s: float | None = None
    open_s: float | None = None
    u_open_s: float | None = None
    flags: tuple[Flag, ...] = ()
    start_index: int = 0
    stop_index: int = 0
    base: float | None = None
    plateau: float | None = None
    coupling_hz: tuple[float, ...] = ()
    residual_ratio: float | None = None
    shapes: tuple[str, ...] = ()

    def as_json(self) -> dict[str, object]:
        """Return the public fields, flags as their words."""
        return {name: getattr(self, name) for name in JSON_FIELDS} | {"flags": [str(f) for f in self.flags]}


JSON_FIELDS = (
    "start_s",
    "total_open_s",
    "half_level_s",
    "effective_s",
    "opening_s",
    "closing_s",
    "efficiency",
    "u_random_s",
    "u_effective_s",
    "open_s",
    "u_open_s",
    "coupling_hz",
    "residual_ratio",
)
