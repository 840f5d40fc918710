"""The whole job in one browser test: from an empty book to a PDF handed over, on the real command."""

import re
import shutil
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect
from pypdf import PdfReader

pytestmark = pytest.mark.browser


@pytest.fixture
def address(tmp_path: Path) -> Iterator[str]:
    """Start the bench book as a user does, on an empty folder and a free port; read the address it prints."""
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "asfound.cli", "bench", "--book", str(tmp_path / "book"), "--port", str(port)]
    started = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    try:
        assert started.stdout is not None
        said = re.search(r"http://127\.0\.0\.1:\d+", started.stdout.readline())
        assert said is not None
        yield said[0]
    finally:
        started.send_signal(signal.SIGINT)
        rest, _ = started.communicate(timeout=20)
    assert started.returncode == 0
    assert "everything written is kept" in rest


def test_from_an_empty_book_to_a_pdf_handed_over(page: Page, address: str, wav_file: Path, tmp_path: Path) -> None:
    page.goto(address)
    page.get_by_role("button", name="Open the practice job").click()
    expect(page.get_by_role("heading", name="As it came")).to_be_visible(timeout=120_000)

    a_step_is_typed(page)
    a_recording_is_measured(page, wav_file)
    the_way_back_is_ticked_off(page)
    text = a_pdf_is_handed_over(page, tmp_path)
    assert "viewfinder frame" in text
    assert "on loan" in text


def a_step_is_typed(page: Page) -> None:
    line = page.get_by_label("At the bench")
    line.fill("off viewfinder frame, 2 screws M1.4 x 2.5, tray E1")
    expect(page.locator("#preview .heard")).to_contain_text("viewfinder frame off, 2 × screw")
    line.press("Enter")
    expect(page.get_by_role("status")).to_contain_text("Written:")
    expect(page.locator(".tray")).to_contain_text("E1")


def a_recording_is_measured(page: Page, wav_file: Path) -> None:
    page.get_by_role("link", name="Shutter", exact=True).click()
    page.get_by_label("Recording").set_input_files(wav_file)
    page.get_by_label("as left").last.check()
    page.get_by_role("button", name="Keep and measure").click()
    expect(page.get_by_role("heading", name="Firings")).to_be_visible(timeout=60_000)
    expect(page.locator("#trace")).to_contain_text("1/25, 0.14 stop slow")
    expect(page.locator("canvas")).to_be_visible()
    expect(page.locator("#trace output")).to_contain_text("wide, from")
    page.get_by_label("Speeds, in the order shot").fill("1/25, 1/50, 1/100")
    page.get_by_label("Shots at each").fill("1")
    page.get_by_role("button", name="Write the table down").click()
    expect(page.locator("table caption").first).to_contain_text("± 0.33 stop")


def the_way_back_is_ticked_off(page: Page) -> None:
    page.get_by_role("link", name="Way back", exact=True).click()
    expect(page.locator(".next .do")).to_have_text("Put back viewfinder frame")
    left = page.locator(".steps button", has_text=re.compile("^Done$")).count()
    assert left > 1
    for ticked in range(left):
        page.get_by_role("button", name="Done, next").click()
        expect(page.locator(".steps button", has_text=re.compile("^Done$"))).to_have_count(left - ticked - 1)
    expect(page.get_by_role("heading", name="Everything is back")).to_be_visible()


def a_pdf_is_handed_over(page: Page, tmp_path: Path) -> str:
    page.get_by_role("link", name="To the handover").click()
    why = page.get_by_label("Why it goes out with")
    expect(why).to_be_visible()
    page.get_by_role("button", name="Hand over").click()
    expect(page.get_by_role("alert")).to_contain_text("say in a few words why", ignore_case=True)
    why.fill("the owner has it on loan for a week")
    page.get_by_role("button", name="Hand over").click()
    expect(page.get_by_role("heading", name="Handed over", exact=True)).to_be_visible()
    with page.expect_download() as download:
        page.get_by_role("link", name="The report, PDF").click()
    kept = tmp_path / download.value.suggested_filename
    shutil.copy(download.value.path(), kept)
    assert kept.name == "handover-1.pdf"
    return " ".join("\n".join(sheet.extract_text() for sheet in PdfReader(kept).pages).split())
