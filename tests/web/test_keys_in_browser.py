"""Keys counted in Chromium, and devices that type like keyboards: a calliper's data button, a foot switch."""

import re
from typing import Any

import pytest
from playwright.sync_api import Page, Route, expect

pytestmark = pytest.mark.browser


@pytest.fixture
def at_line(page: Page, practice_address: str, job_path: str) -> Page:
    page.goto(practice_address + job_path)
    expect(page.locator("#line")).to_be_focused()
    return page


def keys(page: Page, *pressed: str) -> int:
    """Press keys one by one, and return how many they were."""
    for one in pressed:
        page.keyboard.press(one)
    return len(pressed)


def told(page: Page, text: str) -> None:
    """Wait until the page tells what was written, with the line ready again."""
    expect(page.get_by_role("status")).to_contain_text(text)
    expect(page.locator("#line")).to_be_focused()
    expect(page.locator("#line")).to_have_value("")


def said(page: Page, line: str, text: str) -> None:
    page.keyboard.type(line)
    page.keyboard.press("Enter")
    told(page, text)


COUNTED = {
    "feeler height": ("height tl .35 drag with feeler", "36", 3, "height at top left: 0.3600"),
    "bracket": ("height tl .35 drag with feeler", "35+", 4, "tried 0.35 mm loose, 0.4 mm no"),
    "spring force both ways": ("spring force 95 80 gf", "90 75", 6, "spring force going back: 75 gf"),
    "four corner depths": ("corner depth tl .35 drag with feeler", "35363537", 9, "corner depth at bottom left: 0.37"),
    "parting position": ("parting position 117", "121", 4, "parting position: 121"),
}


@pytest.mark.parametrize("name", COUNTED)
def test_a_reading_takes_so_few_keys_with_enter(at_line: Page, name: str) -> None:
    named, typed, most, echo = COUNTED[name]
    said(at_line, named, "Written:")
    pressed = keys(at_line, *(character if character != " " else "Space" for character in typed), "Enter")
    assert pressed == most
    told(at_line, echo)
    status = at_line.get_by_role("status").inner_text()
    assert "in state" in status
    if "height" in name or "corner" in name:
        assert re.search(r" mm \(\d+\.\d thou\)", status)


def test_the_same_at_the_next_station_is_one_key_and_one_key_undoes_it(at_line: Page) -> None:
    said(at_line, "height tl .35 drag with feeler", "height at top left")
    assert keys(at_line, "ArrowRight") == 1
    told(at_line, "height at top right: 0.35")
    assert keys(at_line, "Delete") == 1
    expect(at_line.get_by_role("status")).to_contain_text("Undone:")
    expect(at_line.get_by_role("status")).to_contain_text("height")


def test_the_same_at_the_next_station_is_one_tap(at_line: Page) -> None:
    said(at_line, "height tl .35 drag with feeler", "height at top left")
    at_line.get_by_role("button", name=re.compile("Same at the next station: height top right")).click()
    told(at_line, "height at top right: 0.35")


def test_a_callipers_button_types_its_number_wherever_the_keys_go(at_line: Page) -> None:
    said(at_line, "diameter at shaft 12.30", "diameter at shaft")
    at_line.evaluate("document.activeElement.blur()")
    at_line.keyboard.type("12.34\n")
    told(at_line, "diameter at shaft: 12.34 mm (485.8 thou)")
    at_line.keyboard.type("12.35\n")
    told(at_line, "diameter at shaft: 12.35 mm")


def readings(book: Any, count: int) -> list[float]:
    """Return the latest readings in the order written."""
    entries = book.entries(book.jobs()[0].id)
    return [entry.body.reading.value for entry in entries if entry.kind == "reading"][-count:]


def test_numbers_sent_without_waiting_for_the_page_are_all_written_in_their_order(
    at_line: Page, practice_book: Any
) -> None:
    said(at_line, "diameter at shaft 12.30", "diameter at shaft")
    at_line.keyboard.type("12.34\n12.35\n12.36\n12.37\n")
    told(at_line, "diameter at shaft: 12.37 mm")
    assert readings(practice_book, 4) == [12.34, 12.35, 12.36, 12.37]


def held_back(page: Page, address: str) -> list[Route]:
    """Hold the first that is sent to an address back, until the test lets it go on."""
    held: list[Route] = []
    page.route(address, lambda route: route.continue_() if held else held.append(route))
    return held


def let_go(page: Page, held: list[Route]) -> None:
    while not held:
        page.wait_for_timeout(20)
    held[0].continue_()


def test_a_number_typed_while_the_one_before_is_on_its_way_stays_in_the_line(at_line: Page, practice_book: Any) -> None:
    said(at_line, "diameter at shaft 12.30", "diameter at shaft")
    held = held_back(at_line, "**/line")
    at_line.keyboard.type("12.34\n12.35\n12.")
    let_go(at_line, held)
    expect(at_line.get_by_role("status")).to_contain_text("diameter at shaft: 12.35 mm")
    expect(at_line.locator("#line")).to_have_value("12.")
    expect(at_line.locator("#line")).to_be_focused()
    at_line.keyboard.type("36\n")
    told(at_line, "diameter at shaft: 12.36 mm")
    assert readings(practice_book, 3) == [12.34, 12.35, 12.36]


def test_a_line_that_comes_back_holds_those_after_it_until_it_is_right(at_line: Page, practice_book: Any) -> None:
    held = held_back(at_line, "**/line")
    at_line.keyboard.type("diameter at shaft 12.3o\n12.35\n")
    let_go(at_line, held)
    expect(at_line.get_by_text("waiting for the line above: 12.35")).to_be_visible()
    expect(at_line.locator("#line")).to_have_value("diameter at shaft 12.3o")
    expect(at_line.locator("#line")).to_be_focused()
    at_line.keyboard.press("Backspace")
    at_line.keyboard.type("1\n")
    told(at_line, "diameter at shaft: 12.35 mm")
    assert readings(practice_book, 2) == [12.31, 12.35]
    expect(at_line.get_by_text("waiting for the line above")).not_to_be_attached()


def test_a_line_is_kept_while_the_book_does_not_answer(at_line: Page) -> None:
    at_line.route("**/line", lambda route: route.abort())
    at_line.keyboard.type("diameter at shaft 12.31\n")
    expect(at_line.get_by_role("alert")).to_contain_text("does not answer")
    expect(at_line.locator("#line")).to_have_value("diameter at shaft 12.31")
    at_line.unroute("**/line")
    at_line.keyboard.press("Enter")
    told(at_line, "diameter at shaft: 12.31 mm")
    expect(at_line.get_by_role("alert")).not_to_be_attached()


def test_a_foot_switch_that_sends_enter_writes_nothing_at_an_empty_line(at_line: Page) -> None:
    number = at_line.locator("li.entry .margin b").first.inner_text()
    for key in ("Enter", "Space", "Enter"):
        at_line.keyboard.press(key)
    at_line.keyboard.press("Backspace")
    said(at_line, "note the switch was pressed", "note: the switch was pressed")
    assert int(at_line.locator("li.entry .margin b").first.inner_text()) == int(number) + 1


@pytest.mark.parametrize("switch", ["Space", "Enter"])
def test_a_foot_switch_goes_on_along_the_way_back_by_space_or_enter(
    page: Page, practice_address: str, job_path: str, switch: str
) -> None:
    page.goto(practice_address + job_path + "/wayback")
    expect(page.get_by_role("button", name="Done, next")).to_be_focused()
    for focused in (True, False):
        shown = page.locator(".next .do").inner_text()
        if not focused:
            page.evaluate("document.activeElement.blur()")
        page.keyboard.press(switch)
        expect(page.locator(".next .do")).not_to_have_text(shown)
        expect(page.get_by_role("button", name="Done, next")).to_be_focused()


def test_a_due_check_is_put_off_by_one_key_and_undone_by_one(
    page: Page, practice_address: str, job_path: str, practice_book: Any
) -> None:
    job = practice_book.jobs()[0].id
    page.goto(practice_address + job_path)
    said(page, "off test piece, tray X1, freed by nothing", "test piece off")
    said(page, "gap test mark 0.40 as found needs test piece needs off nothing restore +-0.05", "gap at test mark")
    page.goto(practice_address + job_path + "/wayback")
    expect(page.get_by_role("button", name="Done, next")).to_be_focused()
    page.keyboard.press("Space")
    expect(page.get_by_role("heading", name="To prove now")).to_be_visible()
    assert keys(page, "l") == 1
    expect(page.get_by_role("status")).to_contain_text("proof of gap test mark")
    expect(page.get_by_role("heading", name="To prove now")).not_to_be_attached()
    assert practice_book.entries(job)[-1].kind == "later"
    assert keys(page, "Delete") == 1
    expect(page.get_by_role("heading", name="To prove now")).to_be_visible()


def test_an_assumed_freeing_is_loosened_by_one_tap(page: Page, practice_address: str, job_path: str) -> None:
    page.goto(practice_address + job_path)
    said(page, "off first piece, tray X1", "first piece off")
    said(page, "off second piece, tray X1", "second piece off")
    page.goto(practice_address + job_path + "/wayback")
    chip = page.get_by_role("button", name=re.compile(r"Loosen: \d+ second piece was not freed by \d+ first piece"))
    chip.click()
    expect(page.get_by_role("status")).to_contain_text("second piece not freed by")
    expect(chip).not_to_be_attached()
    page.keyboard.press("Delete")
    expect(chip).to_be_visible()
