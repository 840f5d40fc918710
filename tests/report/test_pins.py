"""Pins on photographs, in print: on the tray's labels and over the report's photographs."""

import io

import pytest
from PIL import Image
from pypdf import PdfReader

from asfound.job.bodies import Annotation, Attached, Camera, Opened, Photo, Pin, StepTaken
from asfound.report import handover_pdf, labels_pdf, tray_labels
from asfound.report.photographs import photo_lines, small_copies
from asfound.teardown.fastener import FastenerGroup

SHA = "b" * 64
ADDRESS = "http://127.0.0.1:8642/job/00000000-0000-0000-0000-000000000007"


@pytest.fixture
def job(write):
    """Give a job with a photograph of a cover and two pins at screws of different length."""
    screws = (FastenerGroup(count=2, thread="M1.4"), FastenerGroup(count=1, thread="M2", length_mm=4.0))
    off = StepTaken(action="off", part="cover", lies="A1", fasteners=screws)
    opening = Opened(ticket="T-1", camera=Camera(model="Six"))
    attached = Attached(sha256=SHA, name="p.jpg", media_type="image/jpeg", size=1)
    step = write([opening, off]).steps[0].id
    shown = Photo(attachment=attached, caption="The cover", step=step)
    photo = write([opening, off, shown]).photos[0][0]
    pins = [
        Annotation(photo=photo, pins=(Pin(x=x, y=0.5, fastener=FastenerGroup(thread="M1.4", length_mm=length)),))
        for x, length in ((0.25, 2.5), (0.75, 3.0))
    ]
    arrow = Annotation(photo=photo, pins=(Pin(x=0.5, y=0.1, tip_x=0.5, tip_y=0.4, label="a dent"),))
    return write([opening, off, shown, *pins, arrow])


def test_a_tray_label_says_which_pin_is_which_length(job):
    [label] = tray_labels(job, address=ADDRESS)
    pins = "Pins, photograph 3: 1 is 2.5 mm, 2 is 3 mm"
    assert label.lines == ("A1", "2 × screw M1.4", pins, "and 1 more sorts")
    [page] = PdfReader(io.BytesIO(labels_pdf([label]))).pages
    assert pins in " ".join(page.extract_text().split())


def test_the_report_says_what_each_pin_points_at_and_draws_it(job, tmp_path):
    original = tmp_path / "p.jpg"
    Image.new("RGB", (1200, 900), "white").save(original)
    pdf = handover_pdf(job, photos={SHA: original}, as_of="today", fonts=())
    text = " ".join(" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(pdf)).pages)
    assert "The cover · pins: 1 screw M1.4 × 2.5 mm; 2 screw M1.4 × 3 mm; 3 a dent" in text
    lines = photo_lines(job)
    [name] = small_copies(lines, {SHA: original}, tmp_path).values()
    with Image.open(tmp_path / name) as copy:
        colours = copy.convert("RGB").getcolors(1 << 20)
    assert sum(n for n, (r, g, b) in colours if r > 130 and g < 90 and b < 90) > 500


def test_without_pins_nothing_is_drawn_and_nothing_said(full_job):
    [line] = photo_lines(full_job)
    assert (line.caption, line.pins) == ("The name plate before it came off", ())
