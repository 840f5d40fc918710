"""The option that says where the book is, and opening it for one command."""

from collections.abc import Callable
from functools import wraps
from typing import Any

import click

from asfound.book import Book, locate


def with_book(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the option ``--book`` and an open book as its first argument."""

    @click.option(
        "--book", "book_place", metavar="PLACE", help="Folder or PostgreSQL URL of the book (or set ASFOUND_BOOK)."
    )
    @wraps(command)
    def opened(*args: Any, book_place: str | None, **kwargs: Any) -> Any:
        with Book.open(locate(book_place)) as book:
            return command(book, *args, **kwargs)

    return opened
