"""The costs' pages: what other cameras took, the written estimate, the account beside it."""

import re
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

ESTIMATE = {
    "likely": "5 h",
    "low": "4 h",
    "high": "7 h 30 min",
    "per_hour": "48.00",
    "currency": "EUR",
    "lines": "felt strip, 2, 1.5\nfront bellows, 38.00",
    "until": "2026-12-24",
    "text": "",
    "basis": "experience",
}


@pytest.fixture
def costs(job_path: str) -> str:
    return f"{job_path}/costs"


def test_an_estimate_is_worked_out_written_and_given_on_paper(bench: Any, costs: str) -> None:
    assert bench.get(f"{costs}/estimate.pdf").status_code == 404
    page = bench.client.get(costs, params=ESTIMATE).text
    assert "281.00 EUR, 233.00 to 401.00, 5 h of work" in page
    after = bench.follow(bench.post(costs, **ESTIMATE))
    assert "As last told the owner" in after.text
    assert bench.get(f"{costs}/estimate.pdf").content.startswith(b"%PDF")


def test_the_rate_is_remembered_and_the_account_begins_with_the_estimate(bench: Any, costs: str) -> None:
    bench.post(costs, **ESTIMATE)
    page = bench.get(f"{costs}/account").text
    assert 'value="48.00"' in page
    assert "felt strip,2,1.5" in page
    typed = {"minutes": "6 h", "per_hour": "48.00", "currency": "EUR", "lines": "felt strip, 2, 1.5", "text": ""}
    assert "The estimate was" in bench.client.get(f"{costs}/account", params=typed).text
    assert "As last written" in bench.follow(bench.post(f"{costs}/account", **typed)).text
    assert bench.get(f"{costs}/account.pdf").content.startswith(b"%PDF")


@pytest.mark.parametrize(
    ("field", "typed"),
    [("likely", "soon"), ("likely", "1 h"), ("per_hour", "much"), ("currency", "doubloons"), ("until", "Christmas"),
     ("lines", "felt strip, 2, much")],
)  # fmt: skip
def test_what_is_wrong_stands_beside_its_field_and_nothing_is_written(
    bench: Any, costs: str, field: str, typed: str
) -> None:
    answer = bench.post(costs, **{**ESTIMATE, field: typed})
    assert answer.status_code == 422
    assert re.search(
        rf'id="(?:field-)?{field}[^>]*aria-invalid="true"|name="{field}"[^>]*aria-invalid="true"', answer.text
    )
    assert bench.get(f"{costs}/estimate.pdf").status_code == 404


@settings(max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(typed=st.fixed_dictionaries(dict.fromkeys(ESTIMATE, st.text(max_size=30))))
def test_whatever_is_typed_is_answered(bench: Any, costs: str, typed: dict[str, str]) -> None:
    assert bench.client.get(costs, params=typed).status_code in (200, 422)
