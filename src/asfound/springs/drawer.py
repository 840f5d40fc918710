"""The drawer of springs and donors: looked through before anything is wound new."""

import csv
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal, cast

from asfound.problems import BadInputError, Problem
from asfound.quantity import parse_quantity
from asfound.springs.cautions import CUT_WIRE, HOT_WIRE, LOADED_SPRING
from asfound.springs.search import Demands, Found, Grid, WireChoice, search
from asfound.springs.strength import bending_limits
from asfound.springs.torsion import CONSTANTS, TorsionSpring, rate_of
from asfound.springs.winding import Hand
from asfound.springs.wire import find_material, moduli

COLUMNS = ("name", "wire", "outside diameter", "turns", "leg 1", "leg 2", "hand", "material", "from")
Way = Literal["as it is", "re-legged", "cut down"]
_WORK: dict[Way, int] = {"as it is": 0, "re-legged": 1, "cut down": 2}

# Beside a lost spring: the least share of its rate that is offered, and what counts as alike.
_LEAST_RATIO, _SAME_RATE, _SAME_MM = 0.5, 0.1, 0.2

_CAUTIONS: dict[Way, tuple[str, ...]] = {
    "as it is": (LOADED_SPRING,),
    "re-legged": (LOADED_SPRING, HOT_WIRE),
    "cut down": (LOADED_SPRING, CUT_WIRE, HOT_WIRE),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class StockSpring:
    """A torsion spring in the drawer; its turns' part beyond whole ones is the angle of its legs."""

    name: str
    wire_diameter_mm: float
    outside_diameter_mm: float
    body_turns: float
    leg_lengths_mm: tuple[float, float]
    hand: Hand
    material: str
    donor: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawerFit:
    """How a spring from the drawer will do, or why it will not.

    Attributes
    ----------
    found : Found or None
        The spring in its place; None where it cannot be used.
    """

    stock: StockSpring
    way: Way | None
    found: Found | None
    why: str
    cautions: tuple[str, ...] = (LOADED_SPRING,)


def read_drawer(text: str) -> tuple[tuple[StockSpring, ...], tuple[Problem, ...]]:
    """Read a stock table: a head line with the names in `COLUMNS` in any order, then a spring a line.

    Lengths are in mm or with their unit; the material is music wire where none is said.
    """
    lines = [line for line in text.splitlines() if line.strip()]
    if not lines:
        return (), (Problem("line 1", "the table is empty", f"begin with: {','.join(COLUMNS)}"),)
    rows = list(csv.reader(lines, skipinitialspace=True))
    head = [name.strip().lower() for name in rows[0]]
    missing = [name for name in COLUMNS[:7] if name not in head]
    if missing:
        return (), (Problem("line 1", f"no column {missing[0]!r}", f"begin with: {','.join(COLUMNS)}"),)
    springs: list[StockSpring] = []
    problems: list[Problem] = []
    for number, row in enumerate(rows[1:], start=2):
        try:
            springs.append(_stock(dict(zip(head, row, strict=False)), f"line {number}"))
        except BadInputError as error:
            problems.extend(error.problems)
    return tuple(springs), tuple(problems)


def _stock(row: dict[str, str], where: str) -> StockSpring:
    def length(name: str) -> float:
        return parse_quantity(row.get(name, ""), unit="mm", where=f"{where}, {name}")

    hand = row.get("hand", "").strip().lower()
    if hand not in ("left", "right"):
        raise BadInputError(Problem(f"{where}, hand", f"{hand!r} is no hand", "write left or right"))
    material = row.get("material", "").strip() or "music wire"
    if find_material(material) is None:
        raise BadInputError(Problem(f"{where}, material", f"{material!r} is not known", "write music wire"))
    spring = StockSpring(
        name=row.get("name", "").strip(),
        wire_diameter_mm=length("wire"),
        outside_diameter_mm=length("outside diameter"),
        body_turns=parse_quantity(row.get("turns", ""), unit="1", where=f"{where}, turns"),
        leg_lengths_mm=(length("leg 1"), length("leg 2")),
        hand=cast("Hand", hand),
        material=material,
        donor=row.get("from", "").strip(),
    )
    if not (0 < spring.wire_diameter_mm < spring.outside_diameter_mm / 4 and spring.body_turns > 0):
        what = "wire, outside diameter and turns are no coil (index below 3)"
        raise BadInputError(Problem(where, what, "check the units"))
    return spring


@dataclass(frozen=True, slots=True, kw_only=True)
class LikeSpring:
    """A spring of the drawer beside one that is lost; `but` says in what they differ, nothing where they are alike."""

    stock: StockSpring
    rate_ratio: float
    but: tuple[str, ...]


def springs_like(
    drawer: Sequence[StockSpring],
    *,
    wire_diameter_mm: float,
    outside_diameter_mm: float,
    body_turns: float,
    leg_lengths_mm: tuple[float, ...] = (),
    material: str = "music wire",
) -> tuple[LikeSpring, ...]:
    """Return the springs of the drawer whose rate is about that of a lost one, the most alike first.

    Between half and twice its rate; within a tenth of it, and 0.2 mm on the outside, they count as alike (common
    practice, no source). Its hand is not asked for: it is to be seen on the camera.

    Raises
    ------
    BadInputError
        If the material is not known.
    """
    rate = _rate(wire_diameter_mm, outside_diameter_mm, body_turns, leg_lengths_mm, material)
    found = []
    for stock in drawer:
        own = (stock.wire_diameter_mm, stock.outside_diameter_mm, stock.body_turns, stock.leg_lengths_mm)
        ratio = _rate(*own, stock.material) / rate
        if _LEAST_RATIO <= ratio <= 1 / _LEAST_RATIO:
            but = (*_stiffer(ratio), *_wider(stock, outside_diameter_mm), *_shorter(stock, leg_lengths_mm))
            found.append(LikeSpring(stock=stock, rate_ratio=ratio, but=but))
    return tuple(sorted(found, key=lambda one: (len(one.but), abs(math.log(one.rate_ratio)))))


def _rate(wire: float, outside: float, turns: float, legs: tuple[float, ...], name: str) -> float:
    material = find_material(name)
    if material is None:
        raise BadInputError(Problem("material", f"{name!r} is not known", "write music wire"))
    modulus = moduli(material, wire_diameter_mm=wire).youngs_mpa
    made = TorsionSpring(
        wire_diameter_mm=wire, mean_diameter_mm=outside - wire, body_turns=turns, leg_lengths_mm=legs,
        modulus_mpa=modulus, constant=CONSTANTS["textbook"],
    )  # fmt: skip
    return rate_of(made)


def _stiffer(ratio: float) -> tuple[str, ...]:
    if abs(ratio - 1) <= _SAME_RATE:
        return ()
    return (f"{abs(ratio - 1):.0%} {'stiffer' if ratio > 1 else 'weaker'}",)


def _wider(stock: StockSpring, outside: float) -> tuple[str, ...]:
    apart = stock.outside_diameter_mm - outside
    if abs(apart) <= _SAME_MM:
        return ()
    return (f"{abs(apart):.2g} mm {'wider: see its room' if apart > 0 else 'narrower: see its pin'}",)


def _shorter(stock: StockSpring, legs: tuple[float, ...]) -> tuple[str, ...]:
    pairs = zip(sorted(stock.leg_lengths_mm), sorted((0.0, 0.0, *legs))[-2:], strict=True)
    short = max(want - have for have, want in pairs)
    return (f"a leg {short:.2g} mm too short",) if short > _SAME_MM else ()


def look_through(
    drawer: Sequence[StockSpring],
    demands: Demands,
    *,
    hand: Hand,
    erected_leg_angle_deg: float,
    leg_lengths_mm: tuple[float, float],
) -> tuple[DrawerFit, ...]:
    """Return every spring of the drawer with how it would do: usable ones first, least work first, then by margin.

    Each is tried as it is, with its legs bent anew, and cut down (a leg too short is made from the coil). The
    hand must close the coil under load; a spring of the other hand is not offered.
    """
    fits = [_try(stock, demands, hand, erected_leg_angle_deg, leg_lengths_mm) for stock in drawer]

    def rank(fit: DrawerFit) -> tuple[int, int, float]:
        if fit.found is None or fit.way is None:
            return 1, 0, 0.0
        return 0, _WORK[fit.way], -fit.found.margin

    return tuple(sorted(fits, key=rank))


def _try(stock: StockSpring, demands: Demands, hand: Hand, leg_angle: float, legs: tuple[float, float]) -> DrawerFit:
    if stock.hand != hand:
        why = f"wound {stock.hand}-hand: the load would open the coil"
        return DrawerFit(stock=stock, way=None, found=None, why=why)
    material = find_material(stock.material)
    assert material is not None
    limit = bending_limits(material, wire_diameter_mm=stock.wire_diameter_mm).static_limit_mpa
    if limit is None:
        return DrawerFit(stock=stock, way=None, found=None, why="no strength is listed for its wire")
    wire = WireChoice(
        label=stock.name,
        material=stock.material,
        diameter_mm=stock.wire_diameter_mm,
        modulus_mpa=moduli(material, wire_diameter_mm=stock.wire_diameter_mm).youngs_mpa,
        limit_mpa=limit,
    )
    mean = stock.outside_diameter_mm - stock.wire_diameter_mm
    have, want = sorted(stock.leg_lengths_mm), sorted(legs)
    short = sum(max(0.0, w - h) for h, w in zip(have, want, strict=True))
    ways: list[tuple[Way, Grid, Demands]] = []
    if short == 0:
        # As it is, its legs stand where they stand: the preload is what closes them, or that and a turn.
        closes = (leg_angle - 360 * (stock.body_turns % 1)) % 360
        ways.append(("as it is", _grid(wire, mean, legs, leg_angle, (closes, closes + 360)), _exact(demands, stock)))
        ways.append(("re-legged", _grid(wire, mean, legs, leg_angle), _whole(demands, stock)))
    left = stock.body_turns - short / (math.pi * mean)
    ways.append(("cut down", _grid(wire, mean, legs, leg_angle), replace(demands, most_body_turns=left)))
    for way, grid, wanted in ways:
        found = search(grid, wanted, keep=1).found
        if found:
            why = f"{way}: {found[0].margin:.2f} times what is needed"
            return DrawerFit(stock=stock, way=way, found=found[0], why=why, cautions=_CAUTIONS[way])
    why = "does not fit, or is too weak or over-stressed, however its legs are bent or it is cut"
    return DrawerFit(stock=stock, way=None, found=None, why=why)


def _grid(
    wire: WireChoice,
    mean: float,
    legs: tuple[float, float],
    leg_angle: float,
    preloads: tuple[float, ...] = tuple(range(5, 541, 5)),
) -> Grid:
    return Grid(
        wires=(wire,),
        mean_diameters_mm=(mean,),
        whole_turns=tuple(range(1, 61)),
        preloads_deg=tuple(p for p in preloads if p > 0) or (360.0,),
        erected_leg_angle_deg=leg_angle,
        leg_lengths_mm=legs,
    )


def _exact(demands: Demands, stock: StockSpring) -> Demands:
    """Return the demands for the coil untouched: neither more nor fewer turns than it has."""
    return replace(demands, most_body_turns=stock.body_turns + 1e-6, least_body_turns=stock.body_turns - 1e-6)


def _whole(demands: Demands, stock: StockSpring) -> Demands:
    """Return the demands for legs bent anew: the coil keeps its turns but for a part of one."""
    return replace(demands, most_body_turns=stock.body_turns + 1e-6, least_body_turns=max(0.0, stock.body_turns - 1))
