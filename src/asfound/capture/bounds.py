"""How long and how large a recording may be: a small file can unfold to days of sound, or to pictures like a wall."""

from asfound.problems import bad_input

LONGEST_S = 6 * 3600.0
MOST_CHANNELS = 32
# One frame of 8K video, and a little more.
MOST_FRAME_PIXELS = 36_000_000


def check_sound(name: str, *, frames: int, sample_rate_hz: float, channels: int) -> None:
    """Refuse sound that unfolds to more than six hours, or has more than 32 channels.

    Raises
    ------
    BadInputError
    """
    if channels > MOST_CHANNELS:
        raise bad_input(name, f"it has {channels} channels", f"record {MOST_CHANNELS} or fewer")
    if sample_rate_hz > 0 and frames > LONGEST_S * sample_rate_hz:
        what = f"it unfolds to more than {LONGEST_S / 3600:g} hours of sound"
        raise bad_input(name, what, "cut out the firings")


def check_picture(name: str, *, width: int, height: int) -> None:
    """Refuse video whose frames have more than 36 million pixels.

    Raises
    ------
    BadInputError
    """
    if width * height > MOST_FRAME_PIXELS:
        what = f"its frames are {width} by {height} pixels, more than {MOST_FRAME_PIXELS // 1_000_000} million"
        raise bad_input(name, what, "record or save it smaller")
