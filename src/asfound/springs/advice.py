"""Everything that can be done about one weak spring, worked out and ranked."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from asfound.quantity import Reading
from asfound.springs.chance import Chance, chance_that_it_will_do, usual_tolerances
from asfound.springs.choose import Choice, Design, choose, design_curve
from asfound.springs.drawer import DrawerFit, StockSpring, look_through
from asfound.springs.hold import Holding, judge_hold
from asfound.springs.reform import Reformed, Way, reform
from asfound.springs.remedies import (
    OLD_IS_KEPT,
    Remedy,
    from_design,
    from_drawer,
    from_reforming,
    from_sleeve,
    leave_it,
    rank_remedies,
)
from asfound.springs.search import Demands, Grid
from asfound.springs.sleeve import Sleeved, sleeved
from asfound.springs.strength import bending_limits
from asfound.springs.torsion import TorqueCurve, TorsionSpring, bending_stress, inner_stress_factor, rate_of
from asfound.springs.winding import Hand
from asfound.springs.wire import Material


@dataclass(frozen=True, slots=True, kw_only=True)
class SpringInPlace:
    """A spring as found in its place.

    Attributes
    ----------
    spring : TorsionSpring
        By its dimensions.
    erected, folded : Reading
        Torque in N mm as measured at the two positions.
    rate_n_mm_per_turn : float or None
        As measured; None to take it from the dimensions.
    hand : {"left", "right"}
        That the load closes.
    """

    spring: TorsionSpring
    material: Material
    erected: Reading
    folded: Reading
    rate_n_mm_per_turn: float | None = None
    hand: Hand = "right"


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """A remedy with what it was worked out from, and its torque curves beside the old one's."""

    remedy: Remedy
    detail: Holding | Reformed | Sleeved | DrawerFit | Design
    curves: tuple[TorqueCurve, ...]
    chance: Chance | None = None


def propose(
    place: SpringInPlace,
    *,
    needed_n_mm: float,
    demands: Demands,
    grid: Grid,
    drawer: Sequence[StockSpring] = (),
    wanted_margin: float = 1.3,
) -> tuple[Proposal, ...]:
    """Return what can be done about a spring, best first.

    Parameters
    ----------
    needed_n_mm : float
        Torque that this spring must give erected (its share of the struts' need), without margin.
    demands : Demands
        The room there is, and the travel; its erected torque is put to need times margin.
    grid : Grid
        From which a new spring is chosen.
    """
    asked = replace(demands, erected_n_mm=needed_n_mm * wanted_margin, least_margin=1.0)
    now = place.erected.value or 0.0
    old = _old_curve(place, demands.travel_deg)
    holding = judge_hold(
        position="erected", needed_n_mm=needed_n_mm, springs=[place.erected], wanted_margin=wanted_margin
    )
    proposals = [
        Proposal(remedy=leave_it(holding), detail=holding, curves=(old,)),
        *_drawer(place.hand, drawer, asked, grid, needed_n_mm, now, (old,)),
        *_reforming(place, needed_n_mm, now, wanted_margin),
        *_sleeve(place, asked, needed_n_mm, now, wanted_margin),
        *_new(choose(grid, asked, keep=3), asked, needed_n_mm, now, (old,)),
    ]
    return _ranked(proposals)


def propose_for_lost(
    *,
    needed_n_mm: float,
    demands: Demands,
    grid: Grid,
    hand: Hand,
    drawer: Sequence[StockSpring] = (),
    wanted_margin: float = 1.3,
) -> tuple[Proposal, ...]:
    """Return what can take the place of a spring that is lost, best first: from the drawer, or wound new.

    The parameters are those of `propose`; `hand` is the one that the load closes, as the camera shows it.
    """
    asked = replace(demands, erected_n_mm=needed_n_mm * wanted_margin, least_margin=1.0)
    found = [
        *_drawer(hand, drawer, asked, grid, needed_n_mm, 0.0, ()),
        *_new(choose(grid, asked, keep=3), asked, needed_n_mm, 0.0, ()),
    ]
    return _ranked([_without_old(proposal) for proposal in found])


def _without_old(proposal: Proposal) -> Proposal:
    """Return a proposal that speaks of no spring to be taken out."""
    words = proposal.remedy.risk_words.removeprefix(OLD_IS_KEPT)
    return replace(proposal, remedy=replace(proposal.remedy, risk_words=words))


def _ranked(proposals: Sequence[Proposal]) -> tuple[Proposal, ...]:
    order = rank_remedies([proposal.remedy for proposal in proposals])
    return tuple(sorted(proposals, key=lambda proposal: order.index(proposal.remedy)))


def _old_curve(place: SpringInPlace, travel: float) -> TorqueCurve:
    return TorqueCurve((0.0, travel), (place.erected.value or 0.0, place.folded.value or 0.0), "as found")


def _rate(place: SpringInPlace) -> float:
    return place.rate_n_mm_per_turn or rate_of(place.spring)


def _stress_per_torque(spring: TorsionSpring) -> float:
    factor = inner_stress_factor(index=spring.mean_diameter_mm / spring.wire_diameter_mm)
    return bending_stress(torque_n_mm=1.0, wire_diameter_mm=spring.wire_diameter_mm, stress_factor=factor)


def _drawer(
    hand: Hand,
    drawer: Sequence[StockSpring],
    asked: Demands,
    grid: Grid,
    needed: float,
    now: float,
    old: tuple[TorqueCurve, ...],
) -> list[Proposal]:
    legs = (*grid.leg_lengths_mm, 0.0, 0.0)
    fits = look_through(
        drawer,
        asked,
        hand=hand,
        erected_leg_angle_deg=grid.erected_leg_angle_deg,
        leg_lengths_mm=(legs[0], legs[1]),
    )
    proposals = []
    for fit in fits:
        remedy = from_drawer(fit, needed_n_mm=needed, now_n_mm=now)
        if remedy is not None and fit.found is not None:
            ends = (fit.found.erected_n_mm, fit.found.folded_n_mm)
            curve = TorqueCurve((0.0, asked.travel_deg), ends, fit.stock.name)
            proposals.append(Proposal(remedy=remedy, detail=fit, curves=(*old, curve)))
    return proposals


def _reforming(place: SpringInPlace, needed: float, now: float, margin: float) -> list[Proposal]:
    proposals = []
    ways: tuple[tuple[Way, int], ...] = (("legs", 90), ("coil", 180))
    for way, most in ways:
        reformed = least_reforming(place, way=way, wanted_n_mm=needed * margin, most_deg=most)
        remedy = from_reforming(reformed, needed_n_mm=needed, now_n_mm=now, wanted_margin=margin)
        proposals.append(Proposal(remedy=remedy, detail=reformed, curves=reformed.curves))
    return proposals


def least_reforming(place: SpringInPlace, *, way: Way, wanted_n_mm: float, most_deg: int) -> Reformed:
    """Return the least forming, in whole degrees, that leaves the torque wanted erected; else what leaves most."""
    limits = bending_limits(place.material, wire_diameter_mm=place.spring.wire_diameter_mm)
    most = min(most_deg, int(360 * place.spring.body_turns) - 1) if way == "coil" else most_deg
    tried = [
        reform(
            way=way,
            formed_deg=float(by),
            rate_n_mm_per_turn=_rate(place),
            erected_n_mm=place.erected.value or 0.0,
            folded_n_mm=place.folded.value or 0.0,
            stress_per_torque=_stress_per_torque(place.spring),
            yield_mpa=limits.yield_mpa,
            body_turns=place.spring.body_turns,
            mean_diameter_mm=place.spring.mean_diameter_mm,
        )
        for by in range(1, most + 1)
    ]
    enough = [one for one in tried if one.erected_n_mm >= wanted_n_mm]
    return enough[0] if enough else max(tried, key=lambda one: one.erected_n_mm)


def _sleeve(place: SpringInPlace, asked: Demands, needed: float, now: float, margin: float) -> list[Proposal]:
    sleeve = least_sleeve(place, arbor_mm=asked.pin_mm, wanted_n_mm=needed * margin, travel_deg=asked.travel_deg)
    if sleeve is None:
        return []
    limits = bending_limits(place.material, wire_diameter_mm=place.spring.wire_diameter_mm)
    stress = sleeve.folded_n_mm * _stress_per_torque(place.spring)
    remedy = from_sleeve(
        sleeve,
        needed_n_mm=needed,
        now_n_mm=now,
        stress_over_yield=None if limits.yield_mpa is None else stress / limits.yield_mpa,
        wanted_margin=margin,
    )
    return [Proposal(remedy=remedy, detail=sleeve, curves=sleeve.curves)]


def least_sleeve(place: SpringInPlace, *, arbor_mm: float, wanted_n_mm: float, travel_deg: float) -> Sleeved | None:
    """Return the sleeve that gives the torque wanted erected with the least torque folded.

    Sleeves by 0.05 mm, turns by halves. Where none is enough, the one that gives most; None where none gains.
    """
    # The modulus is set so that the dimensions give the rate as measured.
    own = place.spring.modulus_mpa * _rate(place) / rate_of(place.spring)
    spring = replace(place.spring, modulus_mpa=own)
    erected = 360 * (place.erected.value or 0.0) / _rate(place)
    bore = spring.mean_diameter_mm - spring.wire_diameter_mm
    tried = [
        sleeved(
            spring,
            sleeve_mm=arbor_mm + 0.05 * i,
            covered_turns=half / 2,
            arbor_mm=arbor_mm,
            erected_deg=erected,
            folded_deg=erected + travel_deg,
        )[0]
        for i in range(1, max(1, int((bore - arbor_mm) / 0.05) + 1))
        for half in range(1, int(2 * spring.body_turns))
    ]
    gains = [one for one in tried if one is not None and one.gain_erected_n_mm > 1e-9]
    enough = [one for one in gains if one.erected_n_mm >= wanted_n_mm]
    if enough:
        return min(enough, key=lambda one: one.folded_n_mm)
    return max(gains, key=lambda one: one.erected_n_mm, default=None)


def _new(choice: Choice, asked: Demands, needed: float, now: float, old: tuple[TorqueCurve, ...]) -> list[Proposal]:
    proposals = []
    for design in choice.designs:
        chance = chance_that_it_will_do(
            design.spring,
            demands=replace(asked, erected_n_mm=needed),
            preload_deg=design.preload_deg,
            limit_mpa=design.folded.limits.static_limit_mpa or 0.0,
            tolerances=usual_tolerances(design.spring),
        )
        remedy = from_design(design, needed_n_mm=needed, now_n_mm=now, chance=chance.will_do)
        proposals.append(Proposal(remedy=remedy, detail=design, curves=(*old, design_curve(design)), chance=chance))
    return proposals
