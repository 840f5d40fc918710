"""Live firing in Debian's Chromium, with a sound file in the place of the microphone."""

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile
from axe_playwright_python.sync_playwright import Axe
from benchmarks._chromium import FLAGS
from playwright.sync_api import Browser, Page, expect

from asfound.shutter import SoundInput, exposure_lasting, simulate

pytestmark = pytest.mark.browser
RATE = 44_100  # what Chromium's stand-in for a microphone runs at
TIMES_S = (0.044, 0.0432, 0.022, 0.0216, 0.011)
HEARING = ("--use-fake-ui-for-media-stream", "--use-fake-device-for-media-stream")
# Letters of 22 arc minutes are read with ease (ISO 9241-303, from memory): from a metre 6.4 mm high, and a capital is
# about 0.7 of its type size; 96 CSS pixels to the inch.
LEGIBLE_PX = 6.4 / 0.7 * 96 / 25.4


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give a file of five firings with a known truth; it begins and ends in silence."""
    line = SoundInput(sample_rate_hz=RATE, level=0.5, noise_rms=0.002, coupling_hz=(5.0,))
    exposures = [exposure_lasting(t) for t in TIMES_S]
    samples, _ = simulate(exposures, line, lead_s=6.0, gap_s=1.0, tail_s=1.0, seed=3)
    path = tmp_path_factory.mktemp("capture") / "firings.wav"
    soundfile.write(path, np.concatenate([samples, np.zeros(RATE)]), RATE, subtype="PCM_16")
    return path


@pytest.fixture(scope="module")
def hearing(browser: Browser, sound: Path) -> Iterator[Browser]:
    """Start a second browser, one that hears the file."""
    program = shutil.which("chromium")
    flags = [*FLAGS, *HEARING, f"--use-file-for-fake-audio-capture={sound}%noloop"]
    with_sound = browser.browser_type.launch(executable_path=program, args=flags)
    yield with_sound
    with_sound.close()


@pytest.fixture(params=[(1280, 900), (390, 844)], ids=["desk", "telephone"])
def ear(hearing: Browser, watched: Any, request: pytest.FixtureRequest) -> Iterator[Page]:
    """Give a page that may open the microphone; it complains of its errors."""
    wide, high = request.param
    with watched(hearing, viewport={"width": wide, "height": high}, permissions=["microphone"]) as page:
        yield page


def begin(page: Page, address: str, marked: str = "1/25, 1/50, 1/100") -> None:
    page.goto(f"{address}/shutter/live")
    page.locator("[name=marked]").fill(marked)
    page.locator("[name=each]").fill("2")
    page.get_by_role("button", name="Open the input").click()
    page.get_by_role("button", name="Begin").click()
    expect(page.locator("[data-at]")).to_have_text("1/25")


def shots_of(page: Page) -> list[str]:
    return page.locator("[data-shots] b").all_inner_texts()


@pytest.fixture
def job_address(practice_address: str, job_path: str) -> str:
    return practice_address + job_path


def hear_all(page: Page, address: str) -> None:
    """Fire the whole file; again where the computer was too busy to take all of the sound in, and the page said so."""
    for _ in range(4):
        begin(page, address)
        expect(page.locator("[data-shots] li")).to_have_count(len(TIMES_S), timeout=60_000)
        expect(page.locator("[data-state]")).to_be_hidden()  # the last one is final
        if page.locator("[data-lost]").is_hidden():
            return
        page.goto("about:blank")
    pytest.fail("sound was lost on the way every time")


def test_firings_are_heard_walked_struck_by_one_key_and_kept(ear: Page, job_address: str) -> None:
    ear.on("dialog", lambda dialog: dialog.accept())
    hear_all(ear, job_address)
    for selector in ("[data-at]", "[data-time]"):
        assert float(ear.locator(selector).evaluate("e => parseFloat(getComputedStyle(e).fontSize)")) >= LEGIBLE_PX
    expect(ear.locator("[data-at]")).to_have_text("1/100")
    expect(ear.locator("[data-left-shots]")).to_have_text("1 shot left of 2")
    expect(ear.locator("[data-error]")).to_have_text("0.14 stop slow")
    expect(ear.locator("[data-verdict]")).to_have_text("within")
    shown = [float(text.removesuffix(" ms")) for text in shots_of(ear)]
    assert shown == pytest.approx([1e3 * time for time in TIMES_S], rel=5e-3)
    assert ear.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")
    assert faults_on(ear) == []
    ear.keyboard.press("Delete")
    expect(ear.locator("[data-shots] button").last).to_have_class("is-struck")
    expect(ear.locator("[data-left-shots]")).to_have_text("2 shots left of 2")
    ear.keyboard.press("ArrowLeft")
    expect(ear.locator("[data-at]")).to_have_text("1/50")
    ear.get_by_role("button", name="End and keep").click()
    ear.wait_for_url("**/shutter?recording=*")
    expect(ear.locator("#recording")).to_contain_text("Fired live: 1/25, 1/50, 1/100", timeout=60_000)
    expect(ear.locator("[name=grouping]").first).to_be_checked(timeout=60_000)
    expect(ear.locator("[name=struck]").last).to_be_checked()


def faults_on(page: Page) -> list[str]:
    found = Axe().run(page).response
    return [one["id"] for one in found["violations"] if one["impact"] in ("serious", "critical")]


def test_after_the_page_is_loaded_anew_the_session_goes_on(ear: Page, job_address: str) -> None:
    begin(ear, job_address)
    expect(ear.locator("[data-shots] li")).not_to_have_count(0, timeout=60_000)
    ear.on("dialog", lambda dialog: dialog.accept())
    ear.reload()
    ear.get_by_role("button", name="Go on with it").click()
    expect(ear.locator("[data-shots] li")).not_to_have_count(0)
    expect(ear.locator("[data-lost]")).to_contain_text("Sound was lost on the way")


def test_a_page_without_a_sound_input_says_so_and_offers_the_upload(
    hearing: Browser, job_address: str, job_path: str
) -> None:
    context = hearing.new_context()
    context.add_init_script("Object.defineProperty(navigator, 'mediaDevices', { value: undefined })")
    page = context.new_page()
    page.goto(f"{job_address}/shutter/live")
    told = page.locator("[data-no-input]")
    expect(told).to_be_visible()
    expect(told.get_by_role("link")).to_have_attribute("href", f"{job_path}/shutter#upload")
    expect(page.get_by_role("button", name="Open the input")).to_be_hidden()
    context.close()


def test_a_lost_connection_is_told_and_mends_itself(ear: Page, job_address: str) -> None:
    sockets: list[Any] = []
    ear.route_web_socket("**/shutter/live/socket", lambda route: sockets.append((route, route.connect_to_server())))
    begin(ear, job_address)
    expect(ear.locator("[data-shots] li")).not_to_have_count(0, timeout=60_000)
    sockets[0][0].close(code=1001)
    while len(sockets) < 2:
        ear.wait_for_timeout(20)
    expect(ear.locator("[data-shots] li")).to_have_count(5, timeout=60_000)
    expect(ear.locator("[data-line]")).to_be_hidden()
