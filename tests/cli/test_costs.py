"""The estimate and the account from the command line."""

import json

import pytest


@pytest.fixture
def run(run_command, practice_place, monkeypatch):
    monkeypatch.setenv("ASFOUND_BOOK", str(practice_place))
    return run_command


def test_an_estimate_is_written_told_and_put_on_paper(run, tmp_path):
    file = tmp_path / "estimate.pdf"
    typed = ("--likely", "5 h", "--low", "4 h", "--high", "450", "--per-hour", "48.00", "--currency", "EUR")
    status, out, _ = run("estimate", "1", *typed, "--part", "felt strip, 2, 1.5", "-o", file, "--json")
    told = json.loads(out)["estimate"]
    assert (status, told["total"], told["total_low"], told["total_high"]) == (0, "243.00", "195.00", "363.00")
    assert file.read_bytes().startswith(b"%PDF")
    assert "estimate: 243.00 EUR, 195.00 to 363.00" in run("estimate", "1")[1]


def test_an_account_takes_the_rate_of_the_estimate(run):
    run("estimate", "1", "--likely", "5 h", "--per-hour", "48.00", "--currency", "EUR")
    status, out, _ = run("account", "1", "--minutes", "90", "--write", "--json")
    assert (status, json.loads(out)["account"]["total"]) == (0, "72.00")
    assert "account: 72.00 EUR" in run("account", "1")[1]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (("--likely", "soon", "--per-hour", "1", "--currency", "EUR"), "--likely: 'soon'"),
        (("--likely", "5 h"), "--per-hour: the rate is not known yet"),
        (("--likely", "5 h", "--per-hour", "48"), "--currency: it is not known yet"),
        (("-o", "estimate.pdf"), "job 1 has none"),
    ],
)
def test_what_is_missing_is_said_in_one_line(run, typed, said):
    status, out, err = run("estimate", "1", *typed)
    assert (status, out) == (2, "")
    assert said in err
    assert err.count("\n") == 1
