"""Re-forming the spring that is there: legs bent, or the coil opened by a fraction of a turn."""

from dataclasses import dataclass
from typing import Literal

from asfound.springs.cautions import HOT_WIRE, LOADED_SPRING
from asfound.springs.elastoplastic import set_share
from asfound.springs.strength import Verdict
from asfound.springs.torsion import TorqueCurve

Way = Literal["legs", "coil"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reformed:
    """A spring after re-forming, before and after it has once been folded.

    Attributes
    ----------
    gain_n_mm : float
        Torque gained everywhere, as formed.
    stress_folded_mpa, yield_mpa : float or None
        Inner-fibre stress folded (as if elastic) against yield.
    new_set_deg : float or None
        Angle lost again at the first folding; None where no strength is known.
    takes_set : {"within", "outside", "cannot tell"}
        "outside" where folding takes it past yield; "cannot tell" where no strength is known, or where the spring
        as found already carries more than it should be able to.
    remaining_gain_n_mm : float or None
        What remains of the gain after that.
    erected_n_mm, folded_n_mm : float
        Torque erected and folded afterwards, new set taken off where known.
    body_turns, mean_diameter_mm : float
        Of the coil afterwards: opened, it has fewer turns of larger diameter.
    curves : tuple of TorqueCurve
        Before, as formed, and after the first folding; over the angle of the lever.
    """

    way: Way
    formed_deg: float
    gain_n_mm: float
    stress_folded_mpa: float
    yield_mpa: float | None
    takes_set: Verdict
    new_set_deg: float | None
    remaining_gain_n_mm: float | None
    erected_n_mm: float
    folded_n_mm: float
    body_turns: float
    mean_diameter_mm: float
    curves: tuple[TorqueCurve, ...]
    words: str
    cautions: tuple[str, ...] = (LOADED_SPRING, HOT_WIRE)


def reform(
    *,
    way: Way,
    formed_deg: float,
    rate_n_mm_per_turn: float,
    erected_n_mm: float,
    folded_n_mm: float,
    stress_per_torque: float,
    yield_mpa: float | None,
    body_turns: float,
    mean_diameter_mm: float,
) -> Reformed:
    """Return a spring whose free angle is moved by `formed_deg` against the load.

    Parameters
    ----------
    rate_n_mm_per_turn, erected_n_mm, folded_n_mm : float
        As measured on the spring: decades of set cannot be predicted from tables.
    stress_per_torque : float
        Inner-fibre stress in MPa for 1 N mm.

    Notes
    -----
    The rate stays: the wire keeps its length and diameter, so opening the coil by f turns gives Nb - f turns on
    D Nb/(Nb - f). Over yield the set is that of a perfectly plastic round bar, counted from the inner fibre, so
    it is rather over- than underestimated. A spring re-formed against its winding starts with stresses left in
    it that this cannot see.
    """
    gain = rate_n_mm_per_turn * formed_deg / 360
    folded = folded_n_mm + gain
    stress = folded * stress_per_torque
    new_set = _new_set(stress, yield_mpa, folded, rate_n_mm_per_turn)
    lost = rate_n_mm_per_turn * (new_set or 0.0) / 360
    opened = formed_deg / 360 if way == "coil" else 0.0
    return Reformed(
        way=way,
        formed_deg=formed_deg,
        gain_n_mm=gain,
        stress_folded_mpa=stress,
        yield_mpa=yield_mpa,
        takes_set=_takes_set(new_set, folded_n_mm * stress_per_torque, yield_mpa),
        new_set_deg=new_set,
        remaining_gain_n_mm=None if new_set is None else gain - lost,
        erected_n_mm=erected_n_mm + gain - lost,
        folded_n_mm=folded - lost,
        body_turns=body_turns - opened,
        mean_diameter_mm=mean_diameter_mm * body_turns / (body_turns - opened),
        curves=_curves(rate_n_mm_per_turn, erected_n_mm, folded_n_mm, gain, lost),
        words=_words(new_set, formed_deg, folded_n_mm * stress_per_torque, yield_mpa),
    )


def _takes_set(new_set: float | None, stress_as_found: float, yield_mpa: float | None) -> Verdict:
    if new_set is None or yield_mpa is None or stress_as_found > yield_mpa:
        return "cannot tell"
    return "outside" if new_set > 0 else "within"


def _new_set(stress: float, yield_mpa: float | None, folded_n_mm: float, rate: float) -> float | None:
    if yield_mpa is None:
        return None
    share = stress / yield_mpa
    if share <= 1:
        return 0.0
    # Wound angle at first yield, times the set in units of it.
    return 360 * folded_n_mm / rate / share * set_share(share)


def _curves(rate: float, erected: float, folded: float, gain: float, lost: float) -> tuple[TorqueCurve, ...]:
    travel = 360 * (folded - erected) / rate

    def line(name: str, shift: float) -> TorqueCurve:
        return TorqueCurve((0.0, travel), (erected + shift, folded + shift), name)

    return line("as found", 0.0), line("as formed", gain), line("after the first folding", gain - lost)


def _words(new_set: float | None, formed: float, stress_as_found: float, yield_mpa: float | None) -> str:
    if new_set is None or yield_mpa is None:
        return "no strength is known for this wire: fold it once and measure again"
    if stress_as_found > yield_mpa:
        return "as found it already carries more than listed yield: wire or torque is mismeasured; measure both again"
    if new_set == 0:
        return "stays below yield folded: the gain remains"
    if new_set >= formed:
        return "folding takes all of it back as set: forming does not help this spring"
    return f"folding takes {new_set:.0f} of {formed:.0f} deg back as set; the rest remains"
