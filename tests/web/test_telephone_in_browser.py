"""A telephone beside the bench, in Chromium: let in by a code, photographs sent and pinned with a thumb."""

import importlib.util
import io
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from fastapi import FastAPI
from PIL import Image
from playwright.sync_api import Browser, Page, expect
from starlette.types import ASGIApp, Receive, Scope, Send

from asfound.bench.pool import Pool
from asfound.book import Book
from asfound.web.app import create_app
from asfound.web.desk import Desk
from asfound.web.settings import LOOPBACK, Settings

pytestmark = pytest.mark.browser
PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True}


def from_the_network(app: ASGIApp) -> ASGIApp:
    """Let what calls this computer "localhost" come from an address of the network (RFC 5737)."""

    async def placed(scope: Scope, receive: Receive, send: Send) -> None:
        host = dict(scope.get("headers", [])).get(b"host", b"")
        if host.startswith(b"localhost"):
            scope["client"] = ("192.0.2.33", 40_000)
        await app(scope, receive, send)

    return placed


@pytest.fixture
def app_of(pool: Pool) -> Callable[[Book], FastAPI]:
    """Put pages over a book that are open to the network."""
    settings = Settings(secret=b"only for the tests" * 2, hosts=LOOPBACK, address="http://localhost")
    # The server that is started takes any application.
    return lambda book: from_the_network(create_app(Desk(book=book, pool=pool, settings=settings)))  # type: ignore[return-value]


@pytest.fixture
def telephone(browser: Browser, watched: Any) -> Iterator[Page]:
    """Give a page at a telephone's size, which complains of its errors."""
    with watched(browser, **PHONE) as page:
        yield page


@pytest.fixture
def desk_page(browser: Browser) -> Iterator[Page]:
    context = browser.new_context(viewport={"width": 1400, "height": 900})
    yield context.new_page()
    context.close()


@pytest.fixture
def picture() -> dict[str, Any]:
    held = io.BytesIO()
    Image.new("RGB", (1200, 900), "#d8d0c0").save(held, "JPEG")
    return {"name": "IMG_1.jpg", "mimeType": "image/jpeg", "buffer": held.getvalue()}


def photo_path(book: Book) -> str:
    job = book.job(book.jobs()[0].id)
    photo = next(id_ for id_, body in job.photos if body.step is not None)
    return f"/job/{job.id}/photo/{photo}"


def test_a_telephone_is_let_in_by_the_code_and_shut_out_when_it_is_removed(
    desk_page: Page, telephone: Page, practice_address: str
) -> None:
    outside = practice_address.replace("127.0.0.1", "localhost")
    telephone.goto(outside + "/")
    expect(telephone.get_by_role("heading", name="Pair this device")).to_be_visible()
    desk_page.goto(practice_address + "/devices")
    desk_page.get_by_role("button", name="Make a code").click()
    expect(desk_page.get_by_role("img", name="QR code")).to_be_visible()
    code = desk_page.get_by_label("Code", exact=True).inner_text()
    # What its camera reads from the QR code.
    telephone.goto(f"{outside}/pair?code={code}")
    telephone.get_by_role("button", name="Pair this device").tap()
    expect(telephone.get_by_text("Tarnbeck").first).to_be_visible()
    # The bench's page tells by itself that somebody came in.
    expect(desk_page.get_by_role("button", name="Remove")).to_be_visible()
    desk_page.get_by_role("button", name="Remove").click()
    expect(desk_page.get_by_text("No device is paired.")).to_be_visible()
    telephone.reload()
    expect(telephone.get_by_role("heading", name="Pair this device")).to_be_visible()


def test_a_photograph_is_sent_with_one_tap_and_told(
    telephone: Page, practice_address: str, job_path: str, picture: dict[str, Any]
) -> None:
    telephone.goto(practice_address + job_path)
    bar = telephone.get_by_role("navigation", name="With the telephone")
    expect(bar).to_be_in_viewport()
    bar.locator("input[type=file]").set_input_files(files=[picture])  # type: ignore[list-item]
    expect(telephone.get_by_role("status")).to_contain_text("photograph: IMG_1.jpg")


def test_everything_for_the_hand_is_within_reach_of_the_thumb(
    telephone: Page, practice_address: str, job_path: str
) -> None:
    telephone.goto(practice_address + job_path)
    bar = telephone.get_by_role("navigation", name="With the telephone")
    for name in ("Recording", "Line", "Tick"):
        link = bar.get_by_role("link", name=name)
        box = link.bounding_box()
        assert box is not None
        assert box["height"] >= 44
        assert box["width"] >= 44
        assert box["y"] > 844 / 2
    wide = telephone.evaluate("document.documentElement.scrollWidth")
    assert wide <= telephone.evaluate("document.documentElement.clientWidth")


def test_a_tap_sets_a_pin_of_the_fastener_chosen(telephone: Page, practice_address: str, practice_book: Book) -> None:
    telephone.goto(practice_address + photo_path(practice_book))
    photograph = telephone.get_by_role("group", name="The photograph, to set pins on")
    telephone.get_by_label("Its length").first.fill("2.2")
    photograph.tap(position={"x": 100, "y": 60})
    pin = telephone.get_by_role("link", name=re.compile("^Pin 1: "))
    expect(pin).to_be_visible()
    expect(telephone.locator(".pinlist")).to_contain_text("2.2 mm")
    [now] = practice_book.job(practice_book.jobs()[0].id).pins
    box = photograph.bounding_box()
    assert box is not None
    assert now.pin.x == pytest.approx(100 / box["width"], abs=0.02)
    assert now.pin.fastener is not None


def test_two_taps_set_an_arrow_and_it_is_moved_and_removed(
    telephone: Page, practice_address: str, practice_book: Book
) -> None:
    telephone.goto(practice_address + photo_path(practice_book))
    photograph = telephone.get_by_role("group", name="The photograph, to set pins on")
    telephone.get_by_role("button", name="Two taps set an arrow").tap()
    photograph.tap(position={"x": 60, "y": 60})
    expect(telephone.get_by_role("status").last).to_contain_text("tip")
    photograph.tap(position={"x": 200, "y": 120})
    expect(telephone.locator("#photograph .shaft")).to_have_count(1)
    telephone.get_by_role("button", name="Move 1").tap()
    expect(telephone.get_by_role("status").last).to_contain_text("Tap where pin 1 goes")
    photograph.tap(position={"x": 260, "y": 60})
    photograph.tap(position={"x": 120, "y": 120})
    expect(telephone.locator("#photograph .shaft")).to_have_count(1)
    expect(telephone.get_by_role("status").last).to_contain_text("Tap where the fastener sits")
    [now] = practice_book.job(practice_book.jobs()[0].id).pins
    assert now.pin.tip_x is not None
    assert now.pin.x > now.pin.tip_x
    telephone.get_by_role("button", name="Remove pin 1").tap()
    expect(telephone.locator("#photograph .head")).to_have_count(0)


def test_a_pin_is_set_by_keys_alone(desk_page: Page, practice_address: str, practice_book: Book) -> None:
    desk_page.goto(practice_address + photo_path(practice_book))
    photograph = desk_page.get_by_role("group", name="The photograph, to set pins on")
    photograph.focus()
    expect(photograph).to_be_focused()
    for key in ("ArrowLeft", "ArrowUp", "Shift+ArrowUp"):
        desk_page.keyboard.press(key)
    expect(desk_page.get_by_role("status").last).to_contain_text("49 % from the left, 44 % from the top")
    desk_page.keyboard.press("Enter")
    expect(desk_page.get_by_role("link", name=re.compile("^Pin 1"))).to_be_visible()
    # The next pin can be set at once.
    expect(photograph).to_be_focused()


def test_without_scripts_a_pin_is_set_by_numbers(plain_page: Page, practice_address: str, practice_book: Book) -> None:
    plain_page.goto(practice_address + photo_path(practice_book))
    plain_page.get_by_text("Place by numbers").click()
    plain_page.locator("#new-x").fill("30")
    plain_page.locator("#new-y").fill("40")
    plain_page.get_by_role("button", name="Set it").click()
    expect(plain_page.locator("#photograph .head")).to_have_count(1)
    assert plain_page.locator("#photograph .head").get_attribute("cx") == "30%"


@pytest.fixture
def faults_on() -> Callable[[Page], list[str]]:
    """Give a function that returns what axe-core, which Deque publishes, finds on a page."""
    found = importlib.util.find_spec("axe_playwright_python")
    if found is None or found.origin is None:
        pytest.skip("axe-core is not here: pip install axe-playwright-python")
    axe = (Path(found.origin).parent / "axe.min.js").read_text("utf-8")

    def look(page: Page) -> list[str]:
        page.evaluate(axe)
        seen: dict[str, Any] = page.evaluate("axe.run(document, {resultTypes: ['violations']})")
        return [f"{v['id']}: {v['nodes'][0]['html'][:100]}" for v in seen["violations"]]

    return look


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_core_finds_no_fault_on_the_pages_for_telephones(
    telephone: Page,
    practice_address: str,
    practice_book: Book,
    faults_on: Callable[[Page], list[str]],
    scheme: Any,
) -> None:
    telephone.emulate_media(color_scheme=scheme)
    telephone.goto(practice_address + photo_path(practice_book))
    telephone.get_by_role("group", name="The photograph, to set pins on").tap(position={"x": 100, "y": 60})
    expect(telephone.get_by_role("link", name=re.compile("^Pin 1"))).to_be_visible()
    for summary in telephone.locator("summary").all():
        summary.click()
    assert faults_on(telephone) == []
    assert telephone.evaluate("document.documentElement.scrollWidth") <= 390
    telephone.goto(practice_address + "/devices")
    telephone.get_by_role("button", name="Make a code").tap()
    expect(telephone.get_by_role("img", name="QR code")).to_be_visible()
    assert faults_on(telephone) == []
    telephone.goto(practice_address.replace("127.0.0.1", "localhost") + "/pair")
    assert faults_on(telephone) == []
