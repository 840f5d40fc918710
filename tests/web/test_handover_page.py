"""Handing over: what is open is asked about once, and the report comes out."""

import io
import re
from typing import Any

from pypdf import PdfReader

from asfound.bench.proofs import answer_proof
from asfound.job.proving import proof_list
from asfound.web.handover_page import report_name


def test_a_camera_with_something_open_goes_out_only_with_a_reason(bench: Any, job_path: str) -> None:
    page = bench.get(job_path + "/handover").text
    assert "Still open" in page
    refused = bench.post(job_path + "/handover", text="Keep it <dry>")
    assert refused.status_code == 409
    assert "Keep it &lt;dry&gt;" in refused.text
    assert not bench.get("/api/jobs").json()[0]["handed_over"]
    gone = bench.follow(bench.post(job_path + "/handover", text="Keep it dry", why_open="owner is travelling")).text
    assert "Handed over" in gone
    assert "owner is travelling" in gone
    assert bench.get("/api/jobs").json()[0]["handed_over"]
    assert bench.post(job_path + "/handover", why_open="again").status_code == 409


def test_a_camera_that_comes_back_is_on_the_bench_again(bench: Any, job_path: str) -> None:
    gone = bench.follow(bench.post(job_path + "/handover", why_open="tried out")).text
    strike = gone.split('action="')[-2:]
    address = next(part.split('"')[0] for part in gone.split('action="') if part.split('"')[0].endswith("/strike"))
    assert strike
    bench.post(address)
    assert not bench.get("/api/jobs").json()[0]["handed_over"]


def test_a_job_with_nothing_open_asks_for_no_reason(empty_bench: Any, empty_book: Any) -> None:
    path = empty_bench.post("/jobs", model="Invented", marked_speeds="").headers["location"]
    assert "not proved" in empty_bench.get(path + "/handover").text
    job_id = empty_book.jobs()[0].id
    for line in proof_list(empty_book.job(job_id)):
        answer_proof(empty_book, job_id, name=line.name, answer="within")
    page = empty_bench.get(path + "/handover").text
    assert "Nothing is open" in page
    assert 'name="why_open"' not in page
    assert "Handed over" in empty_bench.follow(empty_bench.post(path + "/handover")).text


def test_the_report_is_a_pdf_of_this_job(bench: Any, job_path: str) -> None:
    answer = bench.get(job_path + "/handover/report.pdf")
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.headers["content-disposition"] == 'attachment; filename="handover-1.pdf"'
    text = "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(answer.content)).pages)
    assert bench.get("/api/jobs").json()[0]["camera"] in text


def test_a_report_has_a_name_that_every_system_keeps(practice_book: Any) -> None:
    from dataclasses import replace

    job = practice_book.job(practice_book.jobs()[0].id)
    assert report_name(replace(job, ticket="A/7 \u2013 \u00e9")) == "handover-A-7.pdf"
    assert report_name(replace(job, ticket="\u2013")) == "handover-job.pdf"


def test_the_card_and_the_labels_come_out_as_papers(bench: Any, job_path: str) -> None:
    page = bench.get(job_path + "/handover").text
    for name in ("card", "labels"):
        assert f'href="{job_path}/handover/{name}.pdf"' in page
        answer = bench.get(f"{job_path}/handover/{name}.pdf")
        assert answer.headers["content-type"] == "application/pdf"
        assert answer.headers["content-disposition"] == f'inline; filename="{name}-1.pdf"'
        text = PdfReader(io.BytesIO(answer.content)).pages[0].extract_text()
        assert "Merle Six-Nine" in " ".join(text.split())


def test_a_spring_known_by_its_dimensions_leads_to_its_winding_sheet(bench: Any, job_path: str) -> None:
    form = {"which": "left strut", "wire": "0.5 mm", "outside": "5.5 mm", "turns": "6", "constant": "textbook"}
    path = job_path + "/springs"
    wrote = bench.post(path, **form, material="music wire", torque="20", direction="closing", stage="as left")
    assert wrote.status_code == 303
    address = re.findall(r'href="([^"]*/springs/winding\?[^"]*)"', bench.get(job_path + "/handover").text)
    assert len(address) == 1
    assert "Winding sheet: left strut" in bench.get(address[0].replace("&amp;", "&")).text


def test_what_is_open_stands_sorted(bench: Any, job_path: str) -> None:
    page = bench.get(job_path + "/handover").text
    for head in ("Not proved", "Faults", "Readings to come back to", "Way back and parts"):
        assert f"<h3>{head} " in page
