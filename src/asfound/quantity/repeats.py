"""Repeats of one measurement, and the instrument's own share, as one reading."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from asfound.problems import bad_input
from asfound.quantity.reading import Reading
from asfound.quantity.state import CameraState

_INFINITE = 1e6  # degrees of freedom; Student's t differs from the normal by less than a millionth


@dataclass(frozen=True, slots=True)
class Scatter:
    """How much single tries differ: their standard deviation, and on how many degrees of freedom it rests."""

    deviation: float
    degrees_of_freedom: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Instrument:
    """What an instrument adds by itself, in its own unit.

    Attributes
    ----------
    resolution : float
        Its smallest step, taken as equally likely anywhere within (JCGM 100:2008, F.2.2.1): over the root of 12.
    error_limit : float
        Half-width of what it may be wrong by, equally likely within (4.3.7): over the root of 3.
    source : str
        Where both come from.
    """

    name: str
    unit: str
    resolution: float
    error_limit: float = 0.0
    source: str = "common practice, no source"

    @property
    def standard_uncertainty(self) -> float:
        """Both shares together."""
        return math.sqrt(self.resolution**2 / 12 + self.error_limit**2 / 3)


# Usual small-workshop instruments; a user states his own. Common practice, no source.
DEPTH_GAUGE = Instrument(name="depth gauge", unit="mm", resolution=0.01, error_limit=0.02)
CALLIPER = Instrument(name="calliper", unit="mm", resolution=0.01, error_limit=0.02)
VERNIER_CALLIPER = Instrument(name="vernier calliper", unit="mm", resolution=0.02, error_limit=0.03)
SPRING_BALANCE = Instrument(name="spring balance", unit="gf", resolution=1.0, error_limit=1.0)


def student_factor(degrees_of_freedom: float | None, *, coverage: float = 0.95) -> float:
    """Return the factor that makes a standard uncertainty an interval of this coverage.

    Parameters
    ----------
    degrees_of_freedom : float or None
        None means infinitely many. A fraction is used as it is.
    coverage : float
        Between 0 and 1.

    Notes
    -----
    Student's t, two-sided: JCGM 100:2008, G.3 and table G.2.
    """
    if degrees_of_freedom is not None and degrees_of_freedom < 1:
        raise ValueError(f"{degrees_of_freedom:g} degrees of freedom are fewer than one")
    # Imported here because nothing else in this room needs it, and every command starts with this room.
    from scipy.special import stdtrit

    nu = math.inf if degrees_of_freedom is None else degrees_of_freedom
    return float(stdtrit(nu, (1 + coverage) / 2))


def welch_satterthwaite(shares: Iterable[tuple[float, float | None]]) -> tuple[float, float | None]:
    """Combine independent shares of uncertainty: the whole, and its effective degrees of freedom.

    Parameters
    ----------
    shares : iterable of (float, float or None)
        Each share's standard uncertainty in the result's unit with its degrees of freedom (None: infinite).

    Returns
    -------
    tuple
        The root of the sum of squares; the degrees of freedom, None if infinite.

    Notes
    -----
    JCGM 100:2008, equation G.2b.
    """
    known = list(shares)
    variance = math.fsum(u * u for u, _ in known)
    below = math.fsum(u**4 / nu for u, nu in known if nu is not None and math.isfinite(nu))
    freedom = variance**2 / below if below > 0 else math.inf
    return math.sqrt(variance), freedom if freedom < _INFINITE else None


def scatter(values: Sequence[float]) -> Scatter:
    """Return the standard deviation of single tries (JCGM 100:2008, equation 4); two tries at least."""
    if len(values) < 2:
        raise bad_input("repeats", f"there are {len(values)}", "two tries or more show a scatter")
    mean = _mean(values)
    variance = math.fsum((value - mean) ** 2 for value in values) / (len(values) - 1)
    return Scatter(math.sqrt(variance), len(values) - 1)


def pooled(groups: Iterable[Sequence[float]]) -> Scatter:
    """Return the scatter that comparable groups of tries have in common.

    Only for groups made alike (the same instrument, hand and kind of place): each group has its own mean.
    Groups of one try add nothing.

    Notes
    -----
    JCGM 100:2008, H.3.6 note and H.5.2.5: the mean of the variances weighted by degrees of freedom.
    """
    scatters = [scatter(group) for group in groups if len(group) > 1]
    if not scatters:
        raise bad_input("repeats", "no place was tried twice", "two tries at one place show a scatter")
    freedom = math.fsum(s.degrees_of_freedom for s in scatters)
    variance = math.fsum(s.deviation**2 * s.degrees_of_freedom for s in scatters) / freedom
    return Scatter(math.sqrt(variance), freedom)


def repeated(
    values: Sequence[float],
    *,
    instrument: Instrument,
    comparable: Scatter | None = None,
    state: CameraState | None = None,
) -> Reading:
    """Return the mean of repeats with scatter and instrument in its uncertainty.

    Parameters
    ----------
    values : sequence of float
        The tries, in the instrument's unit.
    instrument : Instrument
        Adds its resolution and its limit of error, which repeats do not average away.
    comparable : Scatter, optional
        Scatter pooled from comparable places; used instead of these few tries' own.
    state : CameraState, optional
        What the camera was in.

    Returns
    -------
    Reading
        A single try with nothing comparable has the instrument's share alone, and says "1 try".

    Notes
    -----
    JCGM 100:2008, 4.2.3 (mean), 4.3.7 and F.2.2.1 (instrument), G.4 (degrees of freedom).
    """
    if not values or not all(math.isfinite(value) for value in values):
        raise bad_input("repeats", "a try is missing or no number", "give the tries as numbers")
    tries = len(values)
    shares: list[tuple[float, float | None]] = [(instrument.standard_uncertainty, None)]
    spread = comparable or (scatter(values) if tries > 1 else None)
    if spread:
        shares.append((spread.deviation / math.sqrt(tries), spread.degrees_of_freedom))
    uncertainty, freedom = welch_satterthwaite(shares)
    return Reading(
        value=_mean(values),
        unit=instrument.unit,
        standard_uncertainty=uncertainty,
        degrees_of_freedom=freedom,
        how=f"{instrument.name}, {tries} {'try' if tries == 1 else 'tries'}",
        state=state or CameraState(),
    )


def _mean(values: Sequence[float]) -> float:
    """Return the mean; exactly the value of equal tries."""
    return values[0] + math.fsum(value - values[0] for value in values) / len(values)
