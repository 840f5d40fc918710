"""What can be done about a weak spring, ranked: will it do, how much work, how much risk."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from asfound.springs.choose import Design
from asfound.springs.drawer import DrawerFit
from asfound.springs.hold import Holding
from asfound.springs.reform import Reformed
from asfound.springs.sleeve import Sleeved
from asfound.springs.strength import Verdict

Level = Literal["none", "little", "some", "much"]
_LEVELS: tuple[Level, ...] = ("none", "little", "some", "much")
OLD_IS_KEPT = "the spring taken out is kept; "
_VERDICTS: tuple[Verdict, ...] = ("within", "cannot tell", "outside")


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """One thing that can be done.

    Attributes
    ----------
    verdict : {"within", "outside", "cannot tell"}
        Whether the strut will then hold with its margin.
    gain_n_mm : float
        Torque gained erected, over the spring as found.
    margin : float or None
        Torque given over needed, erected; None where nothing is needed.
    can_be_undone : bool
        Whether the camera can be put back as it was found.
    """

    name: str
    verdict: Verdict
    gain_n_mm: float
    margin: float | None
    risk: Level
    risk_words: str
    work: Level
    work_words: str
    can_be_undone: bool
    why: str
    cautions: tuple[str, ...] = ()


def rank_remedies(remedies: Sequence[Remedy]) -> tuple[Remedy, ...]:
    """Return remedies in order: those that will do first, then least work and risk together, then what can be undone,
    then margin.
    """

    def key(remedy: Remedy) -> tuple[int, int, int, float]:
        effort = _LEVELS.index(remedy.work) + _LEVELS.index(remedy.risk)
        return _VERDICTS.index(remedy.verdict), effort, int(not remedy.can_be_undone), -(remedy.margin or 0.0)

    return tuple(sorted(remedies, key=key))


def leave_it(holding: Holding) -> Remedy:
    """Return leaving the spring alone, and why or why not."""
    return Remedy(
        name="leave it",
        verdict=holding.verdict,
        gain_n_mm=0.0,
        margin=holding.margin,
        risk="none",
        risk_words="none to the camera",
        work="none",
        work_words="none",
        can_be_undone=True,
        why=holding.words,
    )


def from_drawer(fit: DrawerFit, *, needed_n_mm: float, now_n_mm: float) -> Remedy | None:
    """Return a spring from the drawer as a remedy; None where it cannot be used."""
    if fit.found is None or fit.way is None:
        return None
    work: dict[str, Level] = {"as it is": "little", "re-legged": "some", "cut down": "some"}
    return Remedy(
        name=f"from the drawer: {fit.stock.name}, {fit.way}",
        verdict="within",
        gain_n_mm=fit.found.erected_n_mm - now_n_mm,
        margin=_over(fit.found.erected_n_mm, needed_n_mm),
        risk="little",
        risk_words=f"{OLD_IS_KEPT}the donor's age is not known: measure it before it goes in",
        work=work[fit.way],
        work_words="change the spring" if fit.way == "as it is" else "bend legs, change the spring",
        can_be_undone=True,
        why=fit.why,
        cautions=fit.cautions,
    )


def from_reforming(reformed: Reformed, *, needed_n_mm: float, now_n_mm: float, wanted_margin: float = 1.3) -> Remedy:
    """Return re-forming the spring as a remedy against the torque needed erected."""
    enough = reformed.erected_n_mm >= needed_n_mm * wanted_margin
    verdict: Verdict = "outside" if not enough else "cannot tell" if reformed.takes_set == "cannot tell" else "within"
    place = "the legs" if reformed.way == "legs" else "the coil"
    return Remedy(
        name=f"re-form {place} by {reformed.formed_deg:.0f} deg",
        verdict=verdict,
        gain_n_mm=reformed.erected_n_mm - now_n_mm,
        margin=_over(reformed.erected_n_mm, needed_n_mm),
        risk="some" if reformed.way == "legs" else "much",
        risk_words="old wire may break at the bend; a leg bent back is weaker",
        work="little" if reformed.way == "legs" else "some",
        work_words="take the spring out, bend, measure, put back",
        can_be_undone=False,
        why=reformed.words,
        cautions=reformed.cautions,
    )


def _over(given: float, needed: float) -> float | None:
    return given / needed if needed > 0 else None


def from_sleeve(
    sleeve: Sleeved,
    *,
    needed_n_mm: float,
    now_n_mm: float,
    stress_over_yield: float | None,
    wanted_margin: float = 1.3,
) -> Remedy:
    """Return a sleeve as a remedy; `stress_over_yield` folded is None where no strength is listed."""
    enough = sleeve.erected_n_mm >= needed_n_mm * wanted_margin
    stands: Verdict = "cannot tell" if stress_over_yield is None else "within" if stress_over_yield <= 1 else "outside"
    return Remedy(
        name=f"a sleeve under {sleeve.turns_lost:g} turns",
        verdict=stands if enough else "outside",
        gain_n_mm=sleeve.erected_n_mm - now_n_mm,
        margin=_over(sleeve.erected_n_mm, needed_n_mm),
        risk="little",
        risk_words="the coil may rub: a clearance must remain",
        work="some",
        work_words="turn a sleeve, take the spring out, put back",
        can_be_undone=True,
        why=sleeve.words,
        cautions=sleeve.cautions,
    )


def from_design(design: Design, *, needed_n_mm: float, now_n_mm: float, chance: float | None = None) -> Remedy:
    """Return a spring wound new as a remedy."""
    says = "" if chance is None else f"; {chance:.0%} of those wound will do"
    return Remedy(
        name=f"wind new: {design.material}, {design.wire}",
        verdict="within" if chance is None or chance >= 0.9 else "cannot tell",
        gain_n_mm=design.erected_n_mm - now_n_mm,
        margin=_over(design.erected_n_mm, needed_n_mm),
        risk="little",
        risk_words=f"{OLD_IS_KEPT}a stronger spring loads pin and lock more",
        work="much",
        work_words="make a mandrel, wind, form legs, measure, fit",
        can_be_undone=True,
        why=f"stays at {design.folded.stress_mpa:.0f} MPa folded{says}",
        cautions=design.cautions,
    )
