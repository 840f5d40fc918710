"""What the drawer holds for the parts of a job that are lost, as the job's pages show it."""

from asfound.bench.lost import Held, LostPart, lost_parts
from asfound.book import Book
from asfound.job import Job
from asfound.springs.cautions import LOADED_SPRING
from asfound.teardown.stock import Donor, StockScrew
from asfound.web.drawer.page import say_stock, say_where
from asfound.web.room import Section, Table


def sections_for_lost(book: Book, job: Job, *, springs_only: bool = False) -> tuple[Section, ...]:
    """Return a section for each part that is lost: what the drawer holds for it, or where else to look."""
    lost = lost_parts(book, job)
    return tuple(_section(job, one) for one in lost if one.is_spring or not springs_only)


def _section(job: Job, lost: LostPart) -> Section:
    links = [("/drawer", "The drawer")]
    if lost.is_spring:
        links += [(f"/job/{job.id}/springs/need", "What is needed of it")]
        links += [(f"/job/{job.id}/springs/remedies", "What will do in its room")]
    return Section(
        title=f"{lost.part[:1].upper()}{lost.part[1:]} is lost",
        words=_words(lost),
        table=Table(("In the drawer", "Lies", "But"), tuple(map(_row, lost.held))) if lost.held else None,
        remarks=_remarks(lost),
        cautions=(LOADED_SPRING,) if lost.is_spring and lost.held else (),
        links=tuple(links),
    )


def _words(lost: LostPart) -> str:
    if not lost.held:
        return "the drawer holds nothing for it"
    alike = sum(not one.but for one in lost.held)
    return f"the drawer holds {len(lost.held)} that may do" + (f", {alike} of them alike" if alike else "")


def _row(held: Held) -> tuple[str, ...]:
    count = f"{held.item.count} × " if isinstance(held.item, StockScrew) else ""
    return f"{count}{say_stock(held.item)}", say_where(held.item) or "–", "; ".join(held.but) or "–"


def _remarks(lost: LostPart) -> tuple[str, ...]:
    said = []
    if lost.is_spring and lost.held:
        said.append("Look on the camera which hand it was: the load must close the coil")
    if any(isinstance(one.item, Donor) for one in lost.held):
        said.append("Say in the drawer that what you take from a donor is gone")
    return tuple(said)
