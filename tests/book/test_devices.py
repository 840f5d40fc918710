"""Devices let in from the network, as the book keeps them."""

from collections.abc import Callable

import pytest
import sqlalchemy as sa
from uuid_utils.compat import uuid7

from asfound.book import Book, Location
from asfound.book.engine import make_engine, reading
from asfound.book.tables import DEVICE


def test_a_device_is_known_by_its_secret_until_it_is_removed(book: Book) -> None:
    telephone = book.add_device(name="telephone", secret="s1")
    tablet = book.add_device(name="tablet", secret="s2")
    assert book.devices() == (telephone, tablet)
    assert book.device_with("s1") == telephone
    assert book.device_with("s3") is None
    assert book.remove_device(telephone.id)
    assert book.device_with("s1") is None
    assert book.devices() == (tablet,)


def test_removing_a_device_that_is_gone_says_so(book: Book) -> None:
    assert not book.remove_device(uuid7())


def test_a_device_tells_when_it_was_last_seen(location: Location, open_book: Callable[..., Book]) -> None:
    now = 1_000_000
    book = open_book(location, clock=lambda: now)
    device = book.add_device(name="telephone", secret="s1")
    now += 60_000
    book.see_device(device.id)
    [seen] = book.devices()
    assert (seen.paired_ms, seen.seen_ms) == (1_000_000, 1_060_000)


def test_of_a_secret_the_book_holds_no_more_than_the_hash(book: Book) -> None:
    book.add_device(name="telephone", secret="open sesame")
    engine = make_engine(book.location)
    try:
        with reading(engine, "test") as connection:
            row = connection.execute(sa.select(DEVICE)).one()
    finally:
        engine.dispose()
    # FIPS 180-4's SHA-256, as sha256sum of GNU coreutils prints it of the same bytes.
    assert row.secret_hash == "41ef4bb0b23661e66301aac36066912dac037827b4ae63a7b1165a5aa93ed4eb"
    assert "open sesame" not in str(tuple(row))


@pytest.mark.parametrize("name", ["x" * 200, "Ärmel 工具"])
def test_a_long_name_is_cut_to_what_the_book_keeps(book: Book, name: str) -> None:
    book.add_device(name=name, secret="s1")
    assert book.devices()[0].name == name[:80]
