"""The pages in Chromium: by keyboard alone, narrow, without scripts, and for everybody's eyes and fingers."""

import importlib.util
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from benchmarks._page_list import OF_EACH_KIND, OF_THE_BOOK
from playwright.sync_api import Page, Route, expect

pytestmark = pytest.mark.browser
# WCAG 2.2, 2.5.5 Target Size (Enhanced), from memory: 44 by 44 CSS pixels, links within a sentence excepted.
TARGET_PX = 44


@pytest.fixture
def job_address(practice_address: str, job_path: str) -> str:
    return practice_address + job_path


@pytest.mark.parametrize("path", OF_EACH_KIND)
def test_nothing_is_wider_than_the_screen(page: Page, job_address: str, path: str) -> None:
    page.goto(job_address + path)
    for summary in page.locator("summary").all()[:4]:
        summary.click()
    wide = page.evaluate("document.documentElement.scrollWidth")
    assert wide <= page.evaluate("document.documentElement.clientWidth")


@pytest.mark.parametrize("path", OF_EACH_KIND)
def test_every_button_and_field_is_large_enough_for_a_thumb(page: Page, job_address: str, path: str) -> None:
    page.goto(job_address + path)
    small = page.evaluate(
        # A field that is not drawn is reached by its label, which is looked at as the button it looks like.
        """least => [...document.querySelectorAll("button, .button, summary, nav a, select, textarea, input")]
        .filter(e => e.type !== "hidden" && e.checkVisibility() && !["radio", "checkbox"].includes(e.type))
        .filter(e => !e.matches("label.button > .hidden"))
        .map(e => [e.outerHTML.slice(0, 80), e.getBoundingClientRect()])
        .filter(([, box]) => box.height < least - 0.5 || box.width < least - 0.5)
        .map(([html, box]) => `${html} ${box.width} x ${box.height}`)""",
        TARGET_PX,
    )
    assert small == []


@pytest.mark.parametrize("path", OF_THE_BOOK)
def test_every_way_out_of_a_page_of_the_book_is_on_the_screen(page: Page, practice_address: str, path: str) -> None:
    page.goto(practice_address + path)
    beyond = page.evaluate(
        """[...document.querySelectorAll("a, button")].filter(e => e.checkVisibility())
        .filter(e => e.getBoundingClientRect().right > document.documentElement.clientWidth + 1)
        .map(e => e.outerHTML)"""
    )
    assert beyond == []


def test_type_is_large(page: Page, job_address: str) -> None:
    page.goto(job_address)
    assert float(page.evaluate("getComputedStyle(document.body).fontSize").removesuffix("px")) >= 18
    smallest = page.evaluate(
        """Math.min(...[...document.querySelectorAll("main *")].filter(e => e.checkVisibility() && e.innerText
        && !e.closest("svg")).map(e => parseFloat(getComputedStyle(e).fontSize)))"""
    )
    assert smallest >= 15


def test_a_line_is_written_and_undone_by_keys_alone(page: Page, job_address: str) -> None:
    page.goto(job_address)
    expect(page.locator("#line")).to_be_focused()
    page.keyboard.type("off test piece, tray Z9")
    page.keyboard.press("Enter")
    expect(page.get_by_role("status")).to_contain_text("Written:")
    expect(page.locator("#line")).to_be_focused()
    page.keyboard.press("Delete")
    expect(page.get_by_role("status")).to_contain_text("Undone:")
    expect(page.locator("#line")).to_be_focused()
    page.keyboard.type("spacer shim 0.1 mm after 99")
    page.keyboard.press("Enter")
    expect(page.locator("#line")).to_have_value("spacer shim 0.1 mm after 99")
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    expect(page.get_by_role("button", name="Keep it as a note")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.get_by_role("status")).to_contain_text("note: spacer shim 0.1 mm after 99")


def test_the_way_back_advances_by_the_space_bar(page: Page, job_address: str) -> None:
    page.goto(job_address + "/wayback")
    first = page.locator(".next .do").inner_text()
    expect(page.get_by_role("button", name="Done, next")).to_be_focused()
    page.keyboard.press("Space")
    expect(page.locator(".next .do")).not_to_have_text(first)
    second = page.locator(".next .do").inner_text()
    page.evaluate("document.activeElement.blur()")
    page.keyboard.press("Space")
    expect(page.locator(".next .do")).not_to_have_text(second)


def test_everything_that_acts_is_reached_by_tab_and_shows_it(page: Page, job_address: str) -> None:
    page.goto(job_address + "/handover")
    wanted = page.evaluate(
        """[...document.querySelectorAll("a[href], button, input:not([type=hidden]), textarea, select")]
        .filter(e => e.checkVisibility()).length"""
    )
    page.keyboard.press("Tab")
    seen = 0
    for _ in range(wanted + 3):
        focus = page.evaluate(
            """(() => { const e = document.activeElement; if (e === document.body) return null;
            if (e.dataset.seen) return "again"; e.dataset.seen = "yes";
            const s = getComputedStyle(e); return s.outlineStyle !== "none" && parseFloat(s.outlineWidth) >= 2; })()"""
        )
        if focus in (None, "again"):
            break
        assert focus is True
        seen += 1
        page.keyboard.press("Tab")
    assert seen == wanted


def test_the_page_turns_dark_and_stays_so(page: Page, job_address: str) -> None:
    page.goto(job_address)
    light = page.evaluate("getComputedStyle(document.body).backgroundColor")
    page.get_by_role("button", name="dark").click()
    expect(page).to_have_url(job_address)
    page.goto(job_address + "/shutter")
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") != light
    ink = "getComputedStyle(document.documentElement).getPropertyValue('--plot-ink').trim()"
    assert page.evaluate(ink) == "#f3efe6"


def test_without_scripts_a_line_a_photograph_and_a_recording_are_still_taken(
    plain_page: Page, job_address: str, wav_file: Path, photograph: bytes, tmp_path: Path
) -> None:
    page = plain_page
    page.goto(job_address)
    page.locator("#line").fill("off test piece, tray Z9")
    page.locator("#line").press("Enter")
    expect(page.get_by_role("status")).to_contain_text("Written:")
    picture = tmp_path / "ring.jpg"
    picture.write_bytes(photograph)
    page.locator("#photos").get_by_label("Photograph").set_input_files(picture)
    page.get_by_role("button", name="Keep the photograph").click()
    expect(page.get_by_role("status")).to_contain_text("ring.jpg")
    page.goto(job_address + "/shutter")
    page.get_by_label("Recording").set_input_files(wav_file)
    page.get_by_role("button", name="Keep and measure").click()
    expect(page.get_by_role("heading", name="Firings")).to_be_visible(timeout=60_000)
    expect(page.locator("svg.picture-wide").first).to_be_visible()


def test_a_file_that_is_too_large_is_refused_before_it_is_sent(page: Page, job_address: str, wav_file: Path) -> None:
    page.goto(job_address + "/shutter")
    page.evaluate("document.querySelector('form[data-upload]').dataset.most = '1000'")
    page.get_by_label("Recording").set_input_files(wav_file)
    page.get_by_role("button", name="Keep and measure").click()
    expect(page.locator(".upload-told")).to_contain_text("larger than what is taken here")


def test_a_trace_comes_closer_by_keys(page: Page, job_address: str, wav_file: Path) -> None:
    page.goto(job_address + "/shutter")
    page.get_by_label("Recording").set_input_files(wav_file)
    page.get_by_role("button", name="Keep and measure").click()
    told = page.locator("#trace output")
    expect(told).to_contain_text("wide, from", timeout=60_000)
    whole = told.inner_text()
    page.locator("canvas").focus()
    page.keyboard.press("+")
    expect(told).not_to_have_text(whole)
    page.keyboard.press("0")
    expect(told).to_have_text(whole)
    inked = """(() => { const c = document.querySelector("canvas");
        const seen = c.getContext("2d").getImageData(0, 0, c.width, c.height).data;
        return seen.some((value, n) => n % 4 === 3 && value > 0); })()"""
    assert page.evaluate(inked)


@pytest.fixture(scope="session")
def axe() -> str:
    """Give the text of axe-core, which Deque publishes and a package of the test dependencies brings."""
    found = importlib.util.find_spec("axe_playwright_python")
    if found is None or found.origin is None:
        pytest.skip("axe-core is not here: pip install axe-playwright-python")
    return (Path(found.origin).parent / "axe.min.js").read_text("utf-8")


@pytest.fixture
def faults_on(page: Page, axe: str) -> Callable[[], list[str]]:
    """Give a function that returns what axe-core finds on the page that is open."""

    def look() -> list[str]:
        page.evaluate(axe)
        found: dict[str, Any] = page.evaluate("axe.run(document, {resultTypes: ['violations']})")
        return [f"{v['id']}: {v['nodes'][0]['html'][:100]}" for v in found["violations"]]

    return look


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_core_finds_no_fault_on_any_page(
    page: Page, job_address: str, practice_address: str, faults_on: Callable[[], list[str]], scheme: Any
) -> None:
    page.emulate_media(color_scheme=scheme)
    for address in (
        *(practice_address + path for path in (*OF_THE_BOOK, "/?q=strut")),
        *(job_address + path for path in OF_EACH_KIND),
    ):
        page.goto(address)
        for summary in page.locator("summary").all()[:3]:
            summary.click()
        assert faults_on() == [], address


def test_axe_core_would_find_one(page: Page, practice_address: str, faults_on: Callable[[], list[str]]) -> None:
    page.goto(practice_address)
    page.evaluate("document.querySelector('main').append(document.createElement('img'))")
    assert any(fault.startswith("image-alt") for fault in faults_on())


def test_a_line_typed_before_the_script_has_come_is_heard_too(page: Page, job_address: str) -> None:
    held: list[Route] = []
    page.route("**/line.js", lambda route: held.append(route))
    page.goto(job_address, wait_until="commit")
    page.locator("#line").fill("off cover, tray A9")
    while not held:
        page.wait_for_timeout(20)
    held[0].continue_()
    expect(page.locator("#preview .heard")).to_contain_text("cover off")
