"""What a search finds: jobs, and under each the entries that hold the words, marked where they do."""

import re
from dataclasses import dataclass
from itertools import groupby

from asfound.book import Book, Hit, JobLine
from asfound.book.words import words
from asfound.web.line_form import Piece

MOST_LETTERS = 200
_SHOWN_LETTERS = 200
_WORD = re.compile(r"[^\W_]+")


@dataclass(frozen=True, slots=True, kw_only=True)
class HitRow:
    """One entry that a search found."""

    href: str
    kind: str
    text: tuple[Piece, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundJob:
    """A job in which a search found something."""

    href: str
    ticket: str
    camera: str
    handed_over: bool
    hits: tuple[HitRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What a search found; `more` where it stopped looking."""

    asked: str
    jobs: tuple[FoundJob, ...]
    hits: int
    more: bool


@dataclass(frozen=True, slots=True)
class FoundPage:
    """What was found, without a page around it."""

    found: Found


def look_for(book: Book, asked: str, *, most: int = 50) -> Found:
    """Return the entries in which every word begins some word, by job; the job that holds the latest comes first."""
    hits = book.search(asked, limit=most)
    order = {job: place for place, job in enumerate(dict.fromkeys(hit.job for hit in hits))}
    lines = {line.id: line for line in book.lines_of(list(order))}
    by_job = groupby(sorted(hits, key=lambda hit: order[hit.job]), key=lambda hit: hit.job)
    jobs = tuple(_job(lines[job], list(found), asked) for job, found in by_job if job in lines)
    return Found(asked=asked, jobs=jobs, hits=len(hits), more=len(hits) == most)


def _job(line: JobLine, hits: list[Hit], asked: str) -> FoundJob:
    href = f"/job/{line.id}"
    rows = tuple(
        HitRow(href=f"{href}?whole=yes#entry-{hit.entry}", kind=hit.kind, text=marked(hit.text, asked)) for hit in hits
    )
    return FoundJob(href=href, ticket=line.ticket, camera=line.camera, handed_over=line.handed_over, hits=rows)


def _around(text: str, wanted: tuple[str, ...]) -> str:
    """Return a text, cut at both ends to what stands around the first word that was asked for where it is long."""
    if len(text) <= _SHOWN_LETTERS:
        return text
    first = next((f.start() for f in _WORD.finditer(text) if wanted and _begins(f[0], wanted)), 0)
    start = max(0, text.rfind(" ", 0, max(0, first - _SHOWN_LETTERS // 3)))
    stop = start + _SHOWN_LETTERS
    return f"{'… ' if start else ''}{text[start:stop].strip()}{' …' if stop < len(text) else ''}"


def _begins(word: str, wanted: tuple[str, ...]) -> bool:
    return any(one.startswith(wanted) for one in words(word))


def marked(text: str, asked: str) -> tuple[Piece, ...]:
    """Return a text in pieces, those words marked that begin as asked; cut short where it is long."""
    wanted = words(asked)
    shown = _around(text, wanted)
    pieces: list[Piece] = []
    past = 0
    for found in _WORD.finditer(shown):
        if wanted and _begins(found[0], wanted):
            pieces += [Piece(shown[past : found.start()], False), Piece(found[0], True)]
            past = found.end()
    return tuple(piece for piece in (*pieces, Piece(shown[past:], False)) if piece.text)
