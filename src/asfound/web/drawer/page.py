"""What the page of the drawer shows: four tables, what is looked for, and a form to put something in."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from asfound.bench.stock import KINDS, Kind, Stocked, StockRow, rows_of, screws_like
from asfound.book import Book
from asfound.problems import BadInputError, Problem
from asfound.quantity import parse_quantity
from asfound.springs import MATERIALS, StockSpring
from asfound.teardown.fastener import FastenerGroup
from asfound.teardown.stock import ScrewFit, StockFelt, StockScrew
from asfound.web.room_form import Field, RoomForm, show_form

_TITLES = {
    "springs": ("Springs", "torsion springs, looked through before anything is wound new"),
    "screws": ("Screws", "counted, by thread and length under the head"),
    "felt": ("Felt, plush and foam", "by its thickness unloaded"),
    "donors": ("Donors", "cameras kept for their parts"),
}
_HINTS = {
    "name": "as on its bag",
    "wire": "bare, by micrometer",
    "turns": "with the part of one: 6.25",
    "thread": "M1.4, 10 BA, 1.7 x 0.35",
    "length": "under the head",
    "head": "cheese, countersunk, pan, raised",
    "drive": "slot, cross",
    "lies": "tin, bag, shelf",
    "from": "the donor, the shop",
    "size": "10 × 200 mm, a scrap",
    "camera": "what it is",
    "has": "bellows, struts, rear cell",
    "gone": "what was taken already",
}
_CHOICES = {"hand": ("right", "left"), "material": tuple(material.name for material in MATERIALS)}
_LENGTHS = {"wire", "outside diameter", "leg 1", "leg 2", "length", "thickness"}
_DEFAULTS = {"hand": "right", "material": "music wire", "count": "1"}


@dataclass(frozen=True, slots=True, kw_only=True)
class InDrawer:
    """One line of a table as shown."""

    number: int
    text: str
    said: str
    where: str
    count: int
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawerTable:
    """One kind: what is there, and the form by which more comes in."""

    kind: str
    title: str
    lead: str
    file: str
    rows: tuple[InDrawer, ...]
    form: RoomForm
    unfolded: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LookedFor:
    """A screw that is looked for, and what would do."""

    what: str
    fits: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawerPage:
    """What the drawer's page shows."""

    told: str
    wanted: LookedFor | None
    problems: tuple[Problem, ...]
    tables: tuple[DrawerTable, ...]


def fields_of(kind: Kind) -> tuple[Field, ...]:
    """Return the form's fields for a kind: one to a column of its table."""
    return tuple(_field(column) for column in kind.columns)


def _field(column: str) -> Field:
    label = {"from": "From", "lies": "Lies in", "count": "How many"}.get(column, column.capitalize())
    return Field(
        name=column.replace(" ", "_"),
        label=label + (", mm" if column in _LENGTHS else ""),
        hint=_HINTS.get(column, ""),
        default=_DEFAULTS.get(column, ""),
        choices=_CHOICES.get(column, ()),
    )


def cells_of(kind: Kind, typed: Mapping[str, str]) -> dict[str, str]:
    """Return what was typed as cells of the table."""
    return {column: typed.get(column.replace(" ", "_"), "") for column in kind.columns}


def drawer_context(
    book: Book,
    *,
    told: str = "",
    asked: Mapping[str, str] | None = None,
    refused: str = "",
    typed: Mapping[str, str] | None = None,
    problems: Sequence[Problem] = (),
) -> DrawerPage:
    """Return what the drawer holds; with `refused`, the form of that kind as typed and what is wrong with it."""
    tables = tuple(_table(book, kind, typed if kind.name == refused else None, problems) for kind in KINDS.values())
    wanted, wrong = _look_for(book, asked or {})
    general = wrong if refused in KINDS else (*wrong, *problems)
    return DrawerPage(told=told, wanted=wanted, problems=general, tables=tables)


def _table(book: Book, kind: Kind, typed: Mapping[str, str] | None, problems: Sequence[Problem]) -> DrawerTable:
    fields = fields_of(kind)
    given = typed if typed is not None else {field.name: field.default for field in fields}
    at_fields = [Problem(p.where.replace(" ", "_"), p.what, p.remedy) for p in problems] if typed is not None else ()
    title, lead = _TITLES[kind.name]
    return DrawerTable(
        kind=kind.name,
        title=title,
        lead=lead,
        file=kind.file,
        rows=tuple(_shown(row) for row in rows_of(book, kind.name)),
        form=show_form(fields, given, at_fields),
        unfolded=typed is not None,
    )


def _shown(row: StockRow) -> InDrawer:
    item = row.item
    return InDrawer(
        number=row.number,
        text=row.text,
        said=row.text if item is None else say_stock(item),
        where=say_where(item),
        count=item.count if isinstance(item, StockScrew) else 0,
        problems=row.problems,
    )


def say_stock(item: Stocked) -> str:
    """Return what lies there in a few words."""
    if not isinstance(item, StockSpring):
        return str(item)
    size = f"{item.wire_diameter_mm:g} mm wire, {item.outside_diameter_mm:g} mm outside, {item.body_turns:g} turns"
    legs = " and ".join(f"{leg:g}" for leg in item.leg_lengths_mm)
    return f"{item.name}: {size}, legs {legs} mm, {item.hand}-hand, {item.material}"


def say_where(item: Stocked | None) -> str:
    """Return where a thing of the drawer lies and what it is from, in a few words."""
    lies = "" if item is None or isinstance(item, StockSpring) else item.lies
    donor = item.donor if isinstance(item, StockSpring | StockScrew | StockFelt) else ""
    return ", ".join(words for words in (lies and f"in {lies}", donor and f"from {donor}") if words)


def _look_for(book: Book, asked: Mapping[str, str]) -> tuple[LookedFor | None, tuple[Problem, ...]]:
    if not asked.get("thread", "").strip():
        return None, ()
    try:
        length = asked.get("length", "").strip()
        wanted = FastenerGroup(
            thread=asked["thread"].strip()[:80],
            length_mm=parse_quantity(length, unit="mm", where="length") if length else None,
            head=asked.get("head", "").strip()[:80] or None,
            drive=asked.get("drive", "").strip()[:80] or None,
        )
    except BadInputError as error:
        return None, error.problems
    except ValueError as error:
        return None, (Problem("length", str(error), "check the number and its unit"),)
    return LookedFor(what=wanted.sort, fits=tuple(_fit(fit) for fit in screws_like(book, wanted))), ()


def _fit(fit: ScrewFit) -> tuple[str, str, str]:
    return f"{fit.screw.count} × {fit.screw}", say_where(fit.screw), "; ".join(fit.but)


def address_of(wanted: FastenerGroup) -> str:
    """Return the address of the drawer where it looks for such a fastener."""
    length = "" if wanted.length_mm is None else f"{wanted.length_mm:g}"
    asked = {"thread": wanted.thread or "", "length": length, "head": wanted.head or "", "drive": wanted.drive or ""}
    return f"/drawer?{urlencode({name: words for name, words in asked.items() if words})}"


def links_for(book: Book, wanted: Sequence[FastenerGroup]) -> tuple[tuple[str, str], ...]:
    """Return a link to the drawer for each sort of fastener that it has: "In the drawer: 3 of these"."""
    links = {}
    for group in wanted:
        fits = screws_like(book, group)
        alike = sum(fit.screw.count for fit in fits if not fit.but)
        near = sum(fit.screw.count for fit in fits if fit.but)
        if alike or near:
            count = f"{alike} of these" if alike else f"{near} nearly like these"
            links[address_of(group)] = f"In the drawer: {count}, {group.sort}"
    return tuple(links.items())
