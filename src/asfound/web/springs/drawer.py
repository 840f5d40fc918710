"""The drawer: springs in stock and donors, looked through before anything is wound new."""

from asfound.bench.drawer import StockLine, put_in, stock_of, take_out
from asfound.book import Book
from asfound.job import Entry, Job
from asfound.job.bodies import Stage
from asfound.plots.how_springs import hands_told
from asfound.problems import BadInputError, Problem, bad_input
from asfound.quantity import show_length
from asfound.springs import MATERIALS, StockSpring, read_drawer
from asfound.springs.cautions import LOADED_SPRING
from asfound.springs.drawer import COLUMNS
from asfound.web.drawer.lost import sections_for_lost
from asfound.web.room import Asked, Choice, How, Row, Section, Task, both
from asfound.web.room_form import Field

# A field of the form to each column of the table.
_COLUMNS = dict(
    zip(("name", "wire", "outside", "turns", "leg_1", "leg_2", "hand", "material", "donor"), COLUMNS, strict=True)
)
_PUT = "put in"
_WHOLE = (("/drawer", "The whole drawer"),)


def fields(_job: Job) -> tuple[Field, ...]:
    """Return what is asked of a spring that goes into the drawer."""
    return (
        Field(name="name", label="Name", hint="as on its bag"),
        Field(name="wire", label="Wire", unit="mm", hint="bare, by micrometer"),
        Field(name="outside", label="Outside of the coil", unit="mm"),
        Field(name="turns", label="Turns", unit="1", most=1000, hint="with the part of one: 6.25"),
        Field(name="leg_1", label="First leg", unit="mm"),
        Field(name="leg_2", label="Second leg", unit="mm"),
        Field(name="material", label="Wire is of", default="music wire", choices=tuple(m.name for m in MATERIALS)),
        Field(name="donor", label="From", optional=True, hint="the donor, the maker's bag"),
        Field(name="hand", label="Hand", default="right", choices=("right", "left")),
    )


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return the spring that was typed, to be put in."""
    spring = _read(asked)
    return (
        Section(
            title=f"Put into the drawer: {spring.name[:60]}",
            words=_say(spring),
            rows=_rows(spring),
            write=Choice("Put it into the drawer", _PUT),
        ),
    )


def _read(asked: Asked) -> StockSpring:
    """Return the spring as typed, with what the table says against it at its field."""
    assert asked.values is not None  # the fields' own problems come first
    cells = ",".join(f'"{asked.typed[name].replace(chr(34), " ")}"' for name in _COLUMNS)
    springs, problems = read_drawer(f"{','.join(COLUMNS)}\n{' '.join(cells.split())}")
    if problems:
        raise BadInputError(*(Problem(_field(p.where), p.what, p.remedy) for p in problems))
    return springs[0]


def _field(where: str) -> str:
    """Return the field of a place in the table: "line 2, outside diameter" is "outside"."""
    column = where.partition(", ")[2]
    return next((name for name, there in _COLUMNS.items() if there == column), "outside")


def in_drawer(book: Book, job: Job) -> tuple[Section, ...]:
    """Return what it holds for springs of the job that are lost, and what else lies in the drawer."""
    lines, lost = stock_of(book), sections_for_lost(book, job, springs_only=True)
    if not lines:
        what = "Nothing yet. What is put in here is looked through first, before any spring is wound new."
        return (*lost, Section(title="In the drawer", words=what, links=_WHOLE))
    return (
        *lost,
        *(_line(line) for line in lines),
        Section(title="Screws, felt and donors", links=_WHOLE, folded=True),
    )


def _line(line: StockLine) -> Section:
    out = Choice("Take it out of the drawer", f"{line.number} {line.text}")
    if line.spring is None:
        words = "; ".join(str(problem) for problem in line.problems)
        return Section(title=f"Cannot be read: {line.text[:60]}", words=words, write=out)
    spring = line.spring
    return Section(title=f"{spring.name[:60]}: {_say(spring)}", rows=_rows(spring), write=out, folded=True)


def _say(spring: StockSpring) -> str:
    return (
        f"{spring.wire_diameter_mm:g} mm wire, {spring.outside_diameter_mm:g} mm outside, {spring.body_turns:g} turns, "
        f"{spring.hand}-hand"
    )


def _rows(spring: StockSpring) -> tuple[Row, ...]:
    first, second = spring.leg_lengths_mm
    return (
        Row("Wire", show_length(spring.wire_diameter_mm), spring.material),
        Row("Outside", show_length(spring.outside_diameter_mm)),
        Row("Legs", f"{first:g} and {second:g} mm"),
        *((Row("From", spring.donor),) if spring.donor else ()),
    )


def write(asked: Asked, _stage: Stage, choice: str) -> tuple[Entry, ...]:
    """Put the typed spring in, or take a line out; the drawer is the book's, so the job gains no entry."""
    if choice == _PUT:
        _read(asked)
        put_in(asked.book, {column: asked.typed[name] for name, column in _COLUMNS.items()})
        return ()
    number, _, text = choice.partition(" ")
    if not number.isdecimal():
        raise bad_input("drawer", "no line of it was named", "use the button beside the spring")
    take_out(asked.book, int(number), text)
    return ()


def how() -> How:
    """Say how a spring for the drawer is measured."""
    return How(
        title="How to measure it",
        pictures=both(hands_told),
        steps=(
            "Wire: bare, with a micrometer, where no lacquer or rust is. 1 % of it is 4 % of the rate.",
            "Outside: with the calliper across the wire on both sides, not squeezed.",
            "Turns: whole ones along the coil, and the part of a turn by which the second leg stands past the first.",
            "Legs: their whole straight length; what is too long can be cut, what is too short is made from the coil.",
            "Hand: by the near wires, the coil lying level. A load of the other hand would open the coil.",
        ),
        cautions=(LOADED_SPRING,),
    )


TASK = Task(
    path="drawer",
    name="Drawer",
    lead="Springs in stock and donors, for all jobs of this book.",
    fields=fields,
    work_out=work_out,
    write=write,
    ask="Look at it",
    staged=False,
    standing=in_drawer,
    how=how,
    keeps_typed=False,
)
