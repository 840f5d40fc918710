"""What leak photographs prove: light-tight, not, or neither."""

from dataclasses import dataclass
from typing import Literal

from asfound.shape.leaks import LEAST_FWHM_PX, Leaks
from asfound.shape.leaks_ground import MARGIN
from asfound.shape.leaks_pair import Compared
from asfound.shape.leaks_spot import Spot

Verdict = Literal["within", "outside", "cannot tell"]


@dataclass(frozen=True, slots=True)
class Told:
    """A verdict in a sentence, with what limits it."""

    verdict: Verdict
    words: str
    remarks: tuple[str, ...]


def told_of(leaks: Leaks, *, compared: tuple[Compared, ...] = (), shown_to_show: bool = False) -> Told:
    """Return what the last photograph proves.

    Parameters
    ----------
    leaks : Leaks
        Of the last photograph.
    compared : tuple of Compared
        With an earlier one, where there is one.
    shown_to_show : bool
        A pinhole made on purpose, or a leak known before, does show at this exposure. Without it (or a spot of the
        first photograph that closed at the same exposure) a photograph without spots proves nothing: the lamp may
        have been out.
    """
    verdict, words = _verdict(leaks, compared, shown_to_show)
    return Told(verdict, words, remarks_of(leaks))


def _verdict(leaks: Leaks, compared: tuple[Compared, ...], shown_to_show: bool) -> tuple[Verdict, str]:
    if leaks.spots:
        count = "more than 200 spots" if leaks.too_many else counted(len(leaks.spots))
        return "outside", f"{count} of light{_of_these(compared)}"
    if leaks.points:
        return "cannot tell", f"no spot, but {counted(len(leaks.points), 'point')} that may be of the sensor itself"
    unsure = sum(one.state == "cannot tell" for one in compared)
    closed = sum(one.state == "closed" for one in compared)
    if unsure:
        return "cannot tell", f"no spot is seen, but of {counted(unsure)} of the first photograph nothing can be told"
    if closed:
        return "within", f"no spot of light is left; {closed} of the first photograph {_are(closed)} closed"
    if shown_to_show:
        return "within", "no spot of light"
    return "cannot tell", "no spot of light, but nothing shows yet that this exposure would have shown one"


def _of_these(compared: tuple[Compared, ...]) -> str:
    counts = [(state, sum(one.state == state for one in compared)) for state in ("still there", "new", "closed")]
    said = ", ".join(f"{count} {state}" for state, count in counts if count)
    return f": {said}" if said else ""


def remarks_of(leaks: Leaks) -> tuple[str, ...]:
    """Return what a photograph can show and what not."""
    once = round(1 / leaks.false_spots)
    said = [
        f"a sharp spot had to stand {100 * leaks.least_contrast:.1f} % of the photograph's scale above its "
        f"surroundings; a spot is invented about once in {once} photographs that show none",
        f"nothing is looked for within {MARGIN * leaks.reduced} pixels of the border; light that spreads over more "
        f"than about a tenth of the photograph, or right across it, counts as background",
        "sizes hold the blur of lens, focus and file: a hole may be much smaller than its spot",
    ]
    if leaks.reduced > 1:
        said.append(f"{leaks.reduced} by {leaks.reduced} pixels were taken together before it was looked for")
    if leaks.points:
        said.append(
            f"{counted(len(leaks.points), 'point')} narrower than {LEAST_FWHM_PX:g} pixels {_are(len(leaks.points))} "
            f"not counted: a bright pixel of the sensor looks alike. Move the camera a little and photograph again: "
            f"what moves with the bellows is a leak"
        )
    if len(leaks.spots) > 60:
        said.append("so many spots are seldom leaks: dust, print or a picture on the film looks alike")
    return tuple(said)


def counted(count: int, name: str = "spot") -> str:
    """Return a count with its noun: "1 spot", "no spots", "3 points"."""
    return f"{count or 'no'} {name}{'' if count == 1 else 's'}"


def _are(count: int) -> str:
    return "is" if count == 1 else "are"


def place_words(x_px: float, y_px: float, mm_per_px: float | None) -> str:
    """Return where a spot is, from the left and from the top."""
    px = f"{x_px:.0f}, {y_px:.0f} px"
    return px if mm_per_px is None else f"{x_px * mm_per_px:.1f}, {y_px * mm_per_px:.1f} mm ({px})"


def size_words(spot: Spot, mm_per_px: float | None) -> str:
    """Return how large a spot is at half its height; its length and width where it is not round."""
    px = f"{spot.fwhm_px:.1f} px"
    if spot.long_px > 1.6 * spot.wide_px:
        px = f"{spot.long_px:.0f} × {spot.wide_px:.0f} px"
    return px if mm_per_px is None else f"{spot.fwhm_px * mm_per_px:.2g} mm ({px})"
