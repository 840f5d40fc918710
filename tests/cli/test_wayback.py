"""The way back and the report of the practice job from the command line."""

import json

import pypdf
import pytest

from asfound.cli.main import main


@pytest.fixture
def run(capsys, practice_place, monkeypatch):
    monkeypatch.setenv("ASFOUND_BOOK", str(practice_place))

    def run_(*arguments):
        main([str(argument) for argument in arguments])
        return capsys.readouterr().out

    return run_


def test_the_way_back_is_the_reverse_of_what_is_still_off(run):
    steps = json.loads(run("wayback", "1", "--json"))["steps"]
    assert [step["step"] for step in steps] == ["23", "5s1", "5", "4", "3", "2", "1"]


def test_each_step_tells_fasteners_place_state_marks_readings_and_cautions(run):
    steps = {step["part"]: step for step in json.loads(run("wayback", "1", "--json"))["steps"]}
    assert steps["finder cover"]["fasteners"] == ["2 × raised slot screw M1.4 × 2.5 mm"]
    assert steps["front cell"]["lies"] == "A4"
    assert "dial B" in steps["front cell"]["state"]
    assert steps["front cell"]["marks"]
    (gap,) = steps["distance ring"]["restore"]
    assert (gap["quantity"], gap["value_mm"], gap["restored"]) == ("gap", 0.4, False)
    assert steps["leather disc"]["cautions"][0].startswith("solvent")


def test_the_table_says_the_same(run):
    out = run("wayback", "1")
    for words in ("7 steps to do", "lay in paper shim", "2 × raised slot screw", "Local rules"):
        assert words in out


def test_all_shows_the_steps_done_as_well(run):
    assert len(json.loads(run("wayback", "1", "--all", "--json"))["steps"]) == 25


def test_the_report_is_a_pdf_that_tells_the_camera_and_its_faults(run, tmp_path):
    target = tmp_path / "handover.pdf"
    assert "still open" in run("report", "1", "-o", target)
    text = "\n".join(page.extract_text() for page in pypdf.PdfReader(target).pages)
    for words in ("Merle Six-Nine", "slow speeds drag", "1/250", "paper shim"):
        assert words in text
