"""The proof list on its page: read in one look, answered by one tap."""

import re
from typing import Any

from asfound.job.proving import line_called, proof_list
from asfound.web.proofs_page import proofs_context


def rows_of(job: Any) -> dict[str, Any]:
    return {row.name: row for group in proofs_context(job).groups for row in group.rows}


def test_every_line_of_the_list_has_its_row_and_its_tile(bench: Any, job_path: str, practice_book: Any) -> None:
    page = bench.get(job_path + "/proofs").text
    lines = proof_list(practice_book.job(practice_book.jobs()[0].id))
    for line in lines:
        assert f"<h3>{line.name}</h3>" in page
    settled = sum(line.settled for line in lines)
    assert f"{settled} of {len(lines)} settled" in page
    assert page.count("<svg") == 2


def test_one_tap_says_that_it_does_not_apply(bench: Any, job_path: str) -> None:
    answered = bench.post(job_path + "/proofs", name="self-timer", answer="not applicable")
    assert answered.headers["location"].endswith("#proof-self-timer")
    page = bench.get(job_path + "/proofs").text
    row = page.split('id="proof-self-timer"')[1].split("</li>")[0]
    assert "not applicable" in row
    assert "say otherwise" in row


def test_later_is_one_tap_and_the_handover_chases_it(bench: Any, job_path: str) -> None:
    bench.post(job_path + "/proofs", name="infinity", answer="later", text="fog <today>")
    assert "put off: fog &lt;today&gt;" in bench.get(job_path + "/proofs").text
    assert "infinity: put off" in bench.get(job_path + "/handover").text


def test_as_found_can_be_said_beside_as_left(bench: Any, job_path: str, practice_book: Any) -> None:
    bench.post(job_path + "/proofs", name="struts lock", answer="outside", stage="as found", text="left one loose")
    bench.post(job_path + "/proofs", name="struts lock", answer="within")
    row = rows_of(practice_book.job(practice_book.jobs()[0].id))["struts lock"]
    assert (row.found.verdict, row.found.told, row.left.verdict) == ("outside", "left one loose", "within")
    assert row.verdict == "within"


def test_a_proof_is_given_its_instrument_from_those_of_the_bench(bench: Any, job_path: str, practice_book: Any) -> None:
    page = bench.get(job_path + "/proofs").text
    offered = page.split('<datalist id="instruments">')[1].split("</datalist>")[0]
    assert all(f'value="{name}"' in offered for name in ("depth gauge", "feeler set", "sound input"))
    bench.post(job_path + "/proofs", name="infinity", answer="within", instrument="ground <glass>")
    row = bench.get(job_path + "/proofs").text.split('id="proof-infinity"')[1].split("</li>")[0]
    assert "<dt>with</dt><dd>ground &lt;glass&gt;</dd>" in row
    assert practice_book.job(practice_book.jobs()[0].id).proofs[-1].body.instrument == "ground <glass>"
    refused = bench.post(job_path + "/proofs", name="infinity", answer="within", instrument="x" * 300)
    assert refused.status_code == 422
    assert "too long for a name" in refused.text


def test_a_table_of_instruments_spoilt_by_hand_does_not_keep_the_proofs_shut(
    bench: Any, job_path: str, practice_book: Any
) -> None:
    (practice_book.location.folder / "instruments.csv").write_text("name,checked on\nbalance,soon\n")
    page = bench.get(job_path + "/proofs")
    assert page.status_code == 200
    assert 'value="depth gauge"' in page.text


def test_what_is_no_answer_is_told_on_the_page(bench: Any, job_path: str) -> None:
    refused = bench.post(job_path + "/proofs", name="infinity", answer="perhaps")
    assert refused.status_code == 422
    assert "is no answer" in refused.text


def test_other_states_are_told_beside_the_values(practice_book: Any) -> None:
    job = practice_book.job(practice_book.jobs()[0].id)
    line = line_called(proof_list(job), "speed 1")
    group = next(group for group in proofs_context(job).groups if group.name == "Shutter")
    assert line is not None
    assert line.differs
    assert group.differs.startswith("not taken in one state: ")
    assert all(re.search(rf"\b{name} ", group.differs) for name in line.differs)


def test_a_name_of_any_letters_has_its_place(bench: Any, job_path: str) -> None:
    bench.post(job_path + "/proofs", name="Δίοπτρον «7»", answer="within")
    assert "<h3>Δίοπτρον «7»</h3>" in bench.get(job_path + "/proofs").text
