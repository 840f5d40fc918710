import hashlib
import io
import re

import pytest
from fontTools import subset
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image
from pypdf import PdfReader

from asfound.job.bodies import Attached, Camera, Fault, Opened, Photo, StepTaken
from asfound.report import handover_content, handover_pdf
from asfound.report.fonts import covered_by, fallback_font
from asfound.report.photographs import photo_lines, small_copies


def read(pdf):
    return [page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages]


def squeezed(text):
    """Text without spaces: how a line was broken does not count."""
    return re.sub(r"[\s\u200b]+", "", text)


def printed(job, **more):
    return handover_pdf(job, photos=more.pop("photos", {}), as_of="25 November 2026", fonts=more.pop("fonts", ()))


@pytest.fixture
def photo_file(tmp_path):
    file = tmp_path / "plate.jpg"
    Image.new("RGB", (1600, 1200), (180, 120, 60)).save(file)
    return file


def test_everything_in_the_job_s_content_can_be_read_back(handed_over_job, photo_file):
    pdf = printed(handed_over_job, photos={"a" * 64: photo_file})
    text = squeezed("".join(re.sub(r"Job T-014.*?page \d+ of \d+", "", page) for page in read(pdf)))
    content = handover_content(handed_over_job, as_of="25 November 2026")
    words = [value for _, value in content.particulars]
    words += [line for name in ("found", "done", "proved", "know") for line in getattr(content.owner, name)]
    words += [cell for s in content.sections for row in s.rows for cell in row]
    words += [word for s in content.sections for word in (s.heading, *s.notes, *(() if s.rows else (s.missing,)))]
    words += [cell for row in content.dial.rows for one in (row.found, row.left) for cell in (one.measured, one.error)]
    words += [*content.dial.notes, *content.about, content.photos[0].caption, content.photos[0].belongs_to]
    absent = [word for word in words if squeezed(word) not in text]
    assert absent == []


def test_the_owner_s_page_is_one_page_and_the_record_begins_on_the_next(full_job):
    first, second, *_ = read(printed(full_job))
    assert "What to know" in first
    assert "The dial" not in first
    assert second.split("\n")[1].startswith("The dial") or "The dial" in second


def test_the_owner_s_page_stays_one_page_when_crowded(write, full_job):
    faults = [
        body
        for n in range(60)
        for body in (
            Fault(fault=f"fault {n}", text="seen, with many words about how it looked and sounded " * 3),
            Fault(fault=f"fault {n}", stage="work", text="worked on, with many words about how it was done " * 3),
        )
    ]
    crowded = write([entry.body for entry in full_job.entries] + faults)
    opened = crowded.entries[0].body
    camera = opened.camera.model_copy(update={"serial": "S" * 300, "shutter_kind": "long word " * 30})
    wordy = Opened(ticket="T", camera=camera, complaint="a complaint of many words " * 100)
    first, second, *_ = read(printed(write([wordy, *faults])))
    assert "in the record on the next pages" in " ".join(first.split())
    assert "No dial table was measured" in second
    first, second, *_ = read(printed(crowded))
    assert "in the record on the next pages" in " ".join(first.split())
    assert "as found" in second
    assert "1/250" in second


def test_every_page_bears_the_job_and_its_number(full_job):
    pages = read(printed(full_job))
    for n, text in enumerate(pages, start=1):
        assert "Job T-014" in text
        assert f"page {n} of {len(pages)}" in text


def test_the_same_job_gives_the_same_bytes(full_job, photo_file):
    once, twice = (printed(full_job, photos={"a" * 64: photo_file}) for _ in range(2))
    assert once == twice


def test_a_photograph_is_printed_small_and_a_missing_one_is_said(full_job, photo_file):
    with_it = printed(full_job, photos={"a" * 64: photo_file})
    images = [image for page in PdfReader(io.BytesIO(with_it)).pages for image in page.images]
    assert [image.image.size for image in images] == [(760, 570)]
    assert "missing or cannot be read" in " ".join(" ".join(read(printed(full_job))).split())


def test_a_photograph_that_is_damaged_or_gone_is_left_out(full_job, tmp_path):
    broken = tmp_path / "broken.jpg"
    broken.write_bytes(b"no photograph")
    lines = photo_lines(full_job)
    for photos in ({}, {"a" * 64: broken}, {"a" * 64: tmp_path / "gone.jpg"}):
        assert small_copies(lines, photos, tmp_path) == {}


def test_what_was_typed_is_never_taken_for_markup(write):
    hostile = '#panic("x") $x^2$ *bold* _it_ `raw` <label> @ref \\ // /* = - + "] #{'
    job = write([Opened(ticket='T"]#', camera=Camera(model=hostile)), Fault(fault=hostile, text=hostile)])
    assert squeezed(" ".join(read(printed(job)))).count(squeezed(hostile)) >= 4


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=10, deadline=None)
@given(st.text(min_size=1, max_size=200).filter(str.strip), st.text(max_size=400))
def test_whatever_is_typed_can_be_printed(write, name, text):
    job = write(
        [
            Opened(ticket=name, camera=Camera(model=name, serial=text), complaint=text),
            Fault(fault=name, text=text),
            StepTaken(action="off", part=name, lies=text, note=text),
        ]
    )
    assert len(read(printed(job))) >= 2


def test_a_control_character_is_printed_as_its_number(write):
    job = write([Opened(ticket="T-1", camera=Camera(model="Practice\x07Six"))])
    assert "Practice‹U+0007›Six" in squeezed(" ".join(read(printed(job))))


def test_sixty_faults_break_over_pages_with_the_heads_repeated(write):
    faults = [Fault(fault=f"fault {n}", text=f"what was seen of it, number {n}. " * 4) for n in range(60)]
    pages = read(printed(write([Opened(ticket="T-1", camera=Camera(model="Practice Six")), *faults])))
    assert "… and" in pages[0]
    within = [text for text in pages[1:] if "what was seen of it" in text]
    assert len(within) > 2
    assert all("what was said" in text for text in within)
    assert all(f"number {n}." in " ".join(" ".join(within).split()) for n in range(60))


def test_long_words_and_names_stay_within_the_page(write):
    job = write(
        [
            Opened(ticket="T" * 200, camera=Camera(maker="M" * 300, model="N" * 200, serial="S" * 300)),
            StepTaken(action="off", part="P" * 200, lies="L" * 300, note="word " * 500),
            Fault(fault="F" * 200, text="t" * 4000),
        ]
    )
    reader = PdfReader(io.BytesIO(printed(job)))
    widest = 0.0

    def visit(text, _, matrix, font, size):
        nonlocal widest
        widest = max(widest, matrix[4])

    for page in reader.pages:
        page.extract_text(visitor_text=visit)
    assert widest < float(reader.pages[0].mediabox.width) - 40
    assert squeezed(reader.pages[0].extract_text()).count("What to know".replace(" ", "")) == 1
    assert "P" * 200 in squeezed(" ".join(page.extract_text() for page in reader.pages))


def test_two_hundred_photographs_are_all_there(write, tmp_path):
    photos, bodies = {}, [Opened(ticket="T-1", camera=Camera(model="Practice Six"))]
    for n in range(200):
        file = tmp_path / f"{n}.png"
        Image.frombytes("L", (16, 16), hashlib.shake_256(bytes([n])).digest(256)).save(file)
        sha256 = hashlib.sha256(file.read_bytes()).hexdigest()
        photos[sha256] = file
        attached = Attached(sha256=sha256, name=file.name, media_type="image/png", size=1)
        bodies.append(Photo(attachment=attached, caption=f"photograph number {n}."))
    pages = PdfReader(io.BytesIO(printed(write(bodies), photos=photos))).pages
    text = " ".join(" ".join(page.extract_text() for page in pages).split())
    assert all(f"photograph number {n}." in text for n in range(200))
    assert sum(len(page.images) for page in pages) == 200


def test_greek_cyrillic_hebrew_and_arabic_names_are_printed(write):
    names = ("Παράδειγμα", "Пример", "Արամ", "გიორგი", "Nguyễn", "Łódź")
    job = write([Opened(ticket="T-Ж", camera=Camera(maker="עברית عربي", model=" ".join(names)))])
    text = " ".join(read(printed(job)))
    assert all(name in text for name in names)
    assert "U+" not in text
    assert "No font at hand" not in text


def test_a_letter_that_no_font_has_is_printed_as_its_number_and_the_report_says_so(write):
    text = " ".join(read(printed(write([Opened(ticket="T-1", camera=Camera(model="山 Six"))]))))
    assert "‹U+5C71› Six" in text
    assert "No font at hand has a letter for 1 of the characters" in " ".join(text.split())


def mountain(path):
    """Write a font that has one letter, taken from one that is free to be changed."""
    font = TTFont(fallback_font())
    only = subset.Subsetter()
    only.populate(unicodes=[ord("M")])
    only.subset(font)
    for table in font["cmap"].tables:
        table.cmap = {0x5C71: "M"}
    for name in font["name"].names:
        if name.nameID in (1, 4, 16):
            name.string = "Example Mountain"
    font.save(path)


def test_a_font_that_is_given_prints_what_the_others_lack(write, tmp_path):
    mountain(tmp_path / "mountain.ttf")
    job = write([Opened(ticket="T-1", camera=Camera(model="山 Six"))])
    text = " ".join(read(printed(job, fonts=(tmp_path / "mountain.ttf",))))
    assert "山 Six" in text
    assert "U+5C71" not in text


def test_a_font_that_the_typesetter_cannot_read_is_not_relied_on(write, tmp_path):
    builder = FontBuilder(1000, isTTF=True)
    builder.setupGlyphOrder([".notdef", "mountain"])
    builder.setupCharacterMap({0x5C71: "mountain"})
    builder.setupGlyf({".notdef": TTGlyphPen(None).glyph(), "mountain": TTGlyphPen(None).glyph()})
    builder.setupHorizontalMetrics({".notdef": (1000, 0), "mountain": (1000, 0)})
    builder.setupHorizontalHeader(ascent=900, descent=-100)
    builder.setupNameTable({"familyName": "Unreadable", "styleName": "Regular"})
    builder.setupPost()
    builder.save(tmp_path / "unreadable.ttf")
    assert "山" in covered_by(tmp_path / "unreadable.ttf")
    job = write([Opened(ticket="T-1", camera=Camera(model="山 Six"))])
    assert "‹U+5C71› Six" in " ".join(read(printed(job, fonts=(tmp_path / "unreadable.ttf",))))
