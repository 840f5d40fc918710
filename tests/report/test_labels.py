import io

import pytest
from pypdf import PdfReader

from asfound.job.bodies import Camera, Opened, StepTaken
from asfound.problems import BadInputError
from asfound.report import job_label, labels_pdf, labels_sheet_pdf, tray_labels
from asfound.teardown.fastener import FastenerGroup

ADDRESS = "http://127.0.0.1:8642/job/00000000-0000-0000-0000-000000000007"


def test_only_what_is_off_the_camera_gets_a_tray_label(write):
    job = write(
        [
            Opened(ticket="T-1", camera=Camera(model="Practice Six")),
            StepTaken(action="off", part="name plate", lies="cell 1"),
            StepTaken(action="slackened", part="front cell", turns=1),
            StepTaken(action="off", part="retard train", lies="cell 2"),
            StepTaken(action="back", part="name plate"),
        ]
    )
    (label,) = tray_labels(job, address=ADDRESS)
    assert (label.head, label.title, label.lines) == ("Job T-1, step 3", "retard train", ("cell 2",))
    assert label.address == f"{ADDRESS}#entry-{job.steps[2].id}"


def test_a_label_says_so_where_nobody_said_where_the_part_lies(write):
    job = write([Opened(ticket="T-1", camera=Camera(model="Six")), StepTaken(action="off", part="ring")])
    assert tray_labels(job, address=ADDRESS)[0].lines == ("where it lies was not said",)


def test_each_label_is_one_page_of_the_label_s_size_however_long_its_words(write):
    many = tuple(FastenerGroup(count=n, head="cheese " * 9, place="left " * 20) for n in range(1, 7))
    job = write(
        [
            Opened(ticket="T" * 180, camera=Camera(model="M" * 200, serial="S" * 300), complaint="c" * 2000),
            StepTaken(action="off", part="P" * 200, lies="L" * 300, fasteners=many),
        ]
    )
    labels = (job_label(job, address=ADDRESS), *tray_labels(job, address=ADDRESS))
    pages = PdfReader(io.BytesIO(labels_pdf(labels))).pages
    sizes = [(float(page.mediabox.width) / 72 * 25.4, float(page.mediabox.height) / 72 * 25.4) for page in pages]
    assert sizes == [pytest.approx((62, 29), abs=0.01)] * 2


def test_the_words_of_a_label_can_be_read_back(full_job):
    (page,) = PdfReader(io.BytesIO(labels_pdf((job_label(full_job, address=ADDRESS),)))).pages
    assert "Practice Six" in " ".join(page.extract_text().split())
    assert "004711" in page.extract_text()


def test_on_sheets_every_label_is_there_twenty_seven_to_a_page(write):
    steps = [StepTaken(action="off", part=f"part number {n}.", lies=f"cell {n}") for n in range(30)]
    labels = tray_labels(write([Opened(ticket="T-1", camera=Camera(model="Six")), *steps]), address=ADDRESS)
    first, second = PdfReader(io.BytesIO(labels_sheet_pdf(labels))).pages
    assert float(first.mediabox.width) / 72 * 25.4 == pytest.approx(210, abs=0.1)
    texts = [" ".join(page.extract_text().split()) for page in (first, second)]
    assert all(f"part number {n}." in texts[0] for n in range(27))
    assert all(f"part number {n}." in texts[1] for n in range(27, 30))


@pytest.mark.parametrize("printed", [labels_pdf, labels_sheet_pdf])
def test_without_a_part_off_there_is_nothing_to_label(printed):
    with pytest.raises(BadInputError, match="no part is off the camera"):
        printed(())
