"""The user's own drivers from the command line."""

from typing import Any

import click

from asfound.bench.drivers import COLUMNS, DriverLine, add_driver, driver_lines, drivers_file, take_out_driver
from asfound.book import Book
from asfound.cli.book_option import with_book
from asfound.cli.output import columns, emit
from asfound.teardown.reach import Driver, read_driver


@click.group(invoke_without_command=True)
@with_book
@click.option("--json", "as_json", is_flag=True, help="The same as JSON.")
@click.pass_context
def drivers(context: click.Context, book: Book, as_json: bool) -> None:
    """Show your own drivers; driver reach tries each of them."""
    if context.invoked_subcommand is not None:
        return
    lines = driver_lines(book)
    data = {"file": str(drivers_file(book)), "drivers": [_data(line.driver) for line in lines if line.driver]}
    data["problems"] = [str(problem) for line in lines for problem in line.problems]
    emit(data, _table(lines), as_json=as_json)


@drivers.command()
@with_book
@click.argument("name")
@click.argument("sizes")
@click.option("--json", "as_json", is_flag=True, help="The same as JSON.")
def add(book: Book, name: str, sizes: str, as_json: bool) -> None:
    """Keep a driver under a NAME; SIZES such as "0.4x2 shaft 2x40 handle 8" in mm.

    Blade thickness x width, shaft diameter x length; a handle that is not said is 10 mm thick.
    """
    kept = add_driver(book, name, read_driver(sizes, where="SIZES"))
    emit(_data(kept), f"kept: {kept.name}, {_sizes(kept)}", as_json=as_json)


@drivers.command()
@with_book
@click.argument("name")
@click.option("--json", "as_json", is_flag=True, help="The same as JSON.")
def remove(book: Book, name: str, as_json: bool) -> None:
    """Take the driver of this NAME out of the table."""
    gone = take_out_driver(book, name)
    emit(_data(gone), f"taken out: {gone.name}", as_json=as_json)


def _data(driver: Driver) -> dict[str, Any]:
    return {
        "name": driver.name,
        "blade_thickness_mm": driver.blade_thickness_mm,
        "blade_width_mm": driver.blade_width_mm,
        "shaft_diameter_mm": driver.shaft_diameter_mm,
        "shaft_length_mm": driver.shaft_length_mm,
        "handle_diameter_mm": driver.handle_diameter_mm,
    }


def _sizes(driver: Driver) -> str:
    blade = f"blade {driver.blade_thickness_mm:g} x {driver.blade_width_mm:g}"
    shaft = f"shaft {driver.shaft_diameter_mm:g} x {driver.shaft_length_mm:g}"
    return f"{blade}, {shaft}, handle {driver.handle_diameter_mm:g} mm"


def _table(lines: tuple[DriverLine, ...]) -> list[str]:
    if not lines:
        return ['no driver is kept yet; put one in with: asfound drivers add NAME "0.4x2 shaft 2x40 handle 8"']
    rows = [tuple(_data(line.driver).values()) for line in lines if line.driver]
    shown = [(row[0], *(f"{number:g}" for number in row[1:])) for row in rows]
    return [*columns(list(COLUMNS), shown), *(f"cannot be read: {p}" for line in lines for p in line.problems)]
