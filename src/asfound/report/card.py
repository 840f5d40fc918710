"""The card for the camera bag: what each marked speed really gives, and what to set instead.

85.60 mm by 53.98 mm, the size ID-1 of ISO/IEC 7810 (from memory).
"""

from collections.abc import Sequence
from dataclasses import asdict, dataclass

from asfound.job import Job
from asfound.job.bodies import SpeedRow
from asfound.report.camera import camera_name
from asfound.report.saying import say_speed, say_state, sentence, shorten
from asfound.report.still_open import dial_as_left, what_is_open
from asfound.report.typeset import typeset

WIDTH_MM = 85.60
HEIGHT_MM = 53.98
MOST_SPEEDS = 14
MOST_STOPPED = 4
MOST_APERTURES = 6
_PARTS_OF_A_STOP = 3


@dataclass(frozen=True, slots=True)
class CardSpeed:
    """One speed: what it gives, and the aperture ring's answer to it."""

    marked: str
    real: str
    set: str
    doubtful: bool


@dataclass(frozen=True, slots=True)
class StoppedSpeed:
    """What a marked speed gives in seconds at each aperture, the widest first."""

    marked: str
    reference_s: float
    times: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class CardStopped:
    """A speed of the table of smaller apertures: as it is printed, a time to each aperture."""

    marked: str
    times: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """What both sides of the card say; without speeds, `why_none` says why, and so for the smaller apertures."""

    camera: str
    ticket: str
    as_of: str
    speeds: tuple[CardSpeed, ...]
    why_none: str
    taken: str
    wide_open: bool
    apertures: tuple[str, ...]
    stopped: tuple[CardStopped, ...]
    why_not_stopped: str
    know: tuple[str, ...]


def camera_card(
    job: Job, *, as_of: str, stopped: Sequence[StoppedSpeed] = (), why_not_stopped: str = "not worked out"
) -> Card:
    """Return the content of the card; speeds that are stale are not printed as if they were true.

    Parameters
    ----------
    stopped : sequence of StoppedSpeed
        What the speeds give at smaller apertures: all at the same apertures.
    why_not_stopped : str
        Why there are none.
    """
    left = dial_as_left(job)
    why_none = ""
    if left is None:
        why_none = "The speeds were not measured as left."
    elif left.stale_by is not None:
        why_none = "Something was touched after the speeds were last measured: measure them again."
    rows = left.body.rows if left is not None and not why_none else ()
    slowest_first = sorted(rows, key=lambda row: -row.reference_s)[:MOST_SPEEDS]
    shown = sorted(stopped if rows else (), key=lambda one: -one.reference_s)[-MOST_STOPPED:]
    return Card(
        camera=shorten(camera_name(job.camera), 44),
        ticket=shorten(job.ticket, 24),
        as_of=as_of,
        speeds=tuple(map(card_speed, slowest_first)),
        why_none=why_none,
        taken="" if left is None or why_none else f"Measured with: {shorten(say_state(left.state), 60)}.",
        wide_open=left is not None and _wide_open(job, left.state.aperture),
        apertures=tuple(f"f/{aperture:g}" for aperture, _ in _spread(stopped[0].times)) if shown else (),
        stopped=tuple(CardStopped(one.marked, tuple(say_speed(t) for _, t in _spread(one.times))) for one in shown),
        why_not_stopped="" if shown or why_none else why_not_stopped,
        know=_know(job, 2 if shown else 4),
    )


def _spread(times: Sequence[tuple[float, float]]) -> Sequence[tuple[float, float]]:
    """Return no more apertures than the card is wide, the widest and the smallest among them."""
    if len(times) <= MOST_APERTURES:
        return times
    step = (len(times) - 1) / (MOST_APERTURES - 1)
    return [times[round(n * step)] for n in range(MOST_APERTURES)]


def _wide_open(job: Job, aperture: float | None) -> bool:
    """Say whether the speeds are known to have been measured at the largest aperture of a leaf shutter."""
    largest = job.camera.largest_aperture
    leaf = "leaf" in job.camera.shutter_kind.casefold()
    return leaf and largest is not None and aperture is not None and aperture <= 1.1 * largest


def card_speed(row: SpeedRow) -> CardSpeed:
    """Return a speed with the correction to the nearest third of a stop, its nature said in words."""
    thirds = round(row.error_stops * _PARTS_OF_A_STOP)
    return CardSpeed(row.marked, say_speed(row.mean_s), say_correction(thirds), row.verdict == "cannot tell")


def say_correction(thirds: int) -> str:
    """Return what to do at the aperture ring for an exposure too long (or short) by so many thirds of a stop."""
    if thirds == 0:
        return "as marked"
    whole, rest = divmod(abs(thirds), _PARTS_OF_A_STOP)
    words = [str(whole)] if whole else []
    words += [f"{rest}/{_PARTS_OF_A_STOP}"] if rest else []
    return f"{'close' if thirds > 0 else 'open'} {' '.join(words)}"


def _know(job: Job, most: int) -> tuple[str, ...]:
    """Return the few things to know that are not about speeds, for the back."""
    items = what_is_open(job)
    plain = [item.plain for item in items if item.about not in ("speeds", "not proved")]
    bare = sum(item.about == "not proved" for item in items)
    plain += [f"{bare} things were not proved, see the report"] if bare else []
    kept = tuple(sentence(shorten(line, 84)) for line in plain[:most])
    more = len(plain) - len(kept)
    return (*kept, f"… and {more} more in the report.") if more else kept


def camera_card_pdf(
    job: Job, *, as_of: str, stopped: Sequence[StoppedSpeed] = (), why_not_stopped: str = "not worked out"
) -> bytes:
    """Return the card as a PDF of two pages, front and back, each the size of the card."""
    card = camera_card(job, as_of=as_of, stopped=stopped, why_not_stopped=why_not_stopped)
    size = {"width_mm": WIDTH_MM, "height_mm": HEIGHT_MM}
    return typeset("card.typ", asdict(card) | size, fonts=None)
