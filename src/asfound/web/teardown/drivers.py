"""The user's own drivers, kept for all jobs of the book."""

from dataclasses import replace

from asfound.bench.drivers import DriverLine, add_driver, driver_lines, take_out_line
from asfound.book import Book
from asfound.job import Entry, Job
from asfound.job.bodies import Stage
from asfound.plots.how_teardown import driver_sizes
from asfound.problems import bad_input
from asfound.teardown.reach import Driver
from asfound.web.room import Asked, Choice, How, Row, Section, Task, both
from asfound.web.room_form import Field

_PUT = "put in"


def fields(_job: Job) -> tuple[Field, ...]:
    """Return what is asked of a driver."""
    return (
        Field(name="name", label="Name", hint="as you call it: long 1.5"),
        Field(name="thick", label="Blade, thickness", unit="mm", most=10),
        Field(name="wide", label="Blade, width", unit="mm", most=50),
        Field(name="shaft", label="Shaft, diameter", unit="mm", most=50),
        Field(name="long", label="Shaft, length", unit="mm", most=499, hint="to where the handle begins"),
        Field(name="handle", label="Handle, diameter", unit="mm", most=100, default="10"),
    )


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return the driver as typed, to be kept."""
    driver = _read(asked)
    return (Section(title=driver.name[:60], rows=_rows(driver), write=Choice("Keep it", _PUT)),)


def _read(asked: Asked) -> Driver:
    values = asked.values
    driver = Driver(
        blade_thickness_mm=values["thick"],
        blade_width_mm=values["wide"],
        shaft_diameter_mm=values["shaft"],
        shaft_length_mm=values["long"],
        handle_diameter_mm=values["handle"],
    )
    return replace(driver, name=values.text("name"))


def _rows(driver: Driver) -> tuple[Row, ...]:
    return (
        Row("Blade", f"{driver.blade_thickness_mm:g} × {driver.blade_width_mm:g} mm"),
        Row("Shaft", f"{driver.shaft_diameter_mm:g} × {driver.shaft_length_mm:g} mm"),
        Row("Handle", f"{driver.handle_diameter_mm:g} mm"),
    )


def kept(book: Book, _job: Job) -> tuple[Section, ...]:
    """Return the drivers that are kept, each to be taken out."""
    lines = driver_lines(book)
    if not lines:
        what = "None yet. Those kept here are tried for every screw"
        return (Section(title="Your drivers", words=what),)
    return tuple(_line(line) for line in lines)


def _line(line: DriverLine) -> Section:
    out = Choice("Take it out", f"{line.number} {line.text}")
    if line.driver is None:
        words = "; ".join(str(problem) for problem in line.problems)
        return Section(title=f"Cannot be read: {line.text[:60]}", words=words, write=out)
    return Section(title=line.driver.name[:60], rows=_rows(line.driver), write=out, folded=True)


def write(asked: Asked, _stage: Stage, choice: str) -> tuple[Entry, ...]:
    """Keep the typed driver, or take a line out; the drivers are the book's, so the job gains no entry."""
    if choice == _PUT:
        driver = _read(asked)
        add_driver(asked.book, driver.name, driver)
        return ()
    number, _, text = choice.partition(" ")
    if not number.isdecimal():
        raise bad_input("drivers", "no line of the table was named", "use the button beside the driver")
    take_out_line(asked.book, int(number), text)
    return ()


def how() -> How:
    """Say how a driver is measured."""
    return How(
        title="How to measure it",
        pictures=both(driver_sizes),
        steps=(
            "Thickness: on edge, as far up from the tip as the slot is deep; a wedge-shaped tip is thicker there.",
            "Width across the flat, at the tip. It should fill the slot and not stand out past the head.",
            "Shaft: the widest of what goes down into the well, a collar or a sleeve with it.",
            "Length: from the tip to where the handle begins, for that is what stops at the edge.",
        ),
    )


TASK = Task(
    path="drivers",
    name="Own drivers",
    lead="Your drivers, for all jobs of this book: each is tried where a screw is to be reached.",
    fields=fields,
    work_out=work_out,
    write=write,
    ask="Look at it",
    staged=False,
    standing=kept,
    how=how,
    keeps_typed=False,
)
