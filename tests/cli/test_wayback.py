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


def test_the_table_marks_each_freeing_that_is_only_assumed_and_says_what_the_mark_means(run):
    lines = run("wayback", "1").splitlines()
    heads = [line.split()[2] for line in lines if line.startswith("[ ]")]
    # The leather disc came off first: nothing before it could be assumed to be needed.
    assert heads == ["23", "5s1", "5*", "4*", "3", "2*", "1"]
    (meaning,) = [line for line in lines if line.startswith("* ")]
    assert "Nobody said what freed it" in meaning
    assert 'write 1 "freed 5 by NUMBER"' in meaning


def test_no_mark_is_explained_where_everything_was_said(run):
    for said in ("freed 5 by 4", "freed 4 by 3", "freed 2 by 1"):
        run("write", "1", said)
    assert not [line for line in run("wayback", "1").splitlines() if "*" in line]


def test_all_shows_the_steps_done_as_well(run):
    assert len(json.loads(run("wayback", "1", "--all", "--json"))["steps"]) == 25


def test_the_report_is_a_pdf_that_tells_the_camera_and_its_faults(run, tmp_path):
    target = tmp_path / "handover.pdf"
    assert "still open" in run("report", "1", "-o", target)
    text = "\n".join(page.extract_text() for page in pypdf.PdfReader(target).pages)
    for words in ("Merle Six-Nine", "slow speeds drag", "1/250", "paper shim"):
        assert words in text


def test_a_proof_stands_where_it_is_cheapest_with_what_failing_costs(run):
    steps = {step["part"]: step for step in json.loads(run("wayback", "1", "--json"))["steps"]}
    (proof,) = steps["distance ring"]["proofs"]
    assert (proof["what"], proof["missing"], proof["before_goes_back"]) == ("gap pointer", "missing", "leather disc")
    assert proof["steps_if_it_fails_here"] < proof["steps_if_it_fails_at_the_end"]


def test_screws_are_started_before_any_is_tightened_and_counted_before_closing(run):
    steps = {step["part"]: step for step in json.loads(run("wayback", "1", "--json"))["steps"]}
    assert steps["set screws of distance ring"]["fastening"] == ["start all 3 before tightening any"]
    assert steps["front cell"]["count_before"] == {"spanner holes ring": 1}


def test_a_better_order_is_offered_and_shown_only_when_taken(run):
    for line in (
        "off first piece, tray X1, freed by nothing, with fine blade",
        "off second piece, tray X2, freed by nothing, with spanner",
        "off third piece, tray X3, freed by nothing, with fine blade",
    ):
        run("write", "1", line)
    before = json.loads(run("wayback", "1", "--json"))
    assert before["offer"]["better"]
    assert [s["step"] for s in json.loads(run("wayback", "1", "--json"))["steps"]] == [
        s["step"] for s in before["steps"]
    ]
    taken = json.loads(run("wayback", "1", "--take", "--json"))
    assert [s["step"] for s in taken["steps"]] == before["offer"]["order"]
    assert not taken["offer"]["better"]


def test_taking_an_order_where_none_is_better_is_refused_in_one_line(run, capsys):
    run("wayback", "1")
    while json.loads(run("wayback", "1", "--json"))["offer"]["better"]:
        run("wayback", "1", "--take")
    with pytest.raises(SystemExit, match="2"):
        main(["wayback", "1", "--take"])
    assert "no order better than the one shown" in capsys.readouterr().err
