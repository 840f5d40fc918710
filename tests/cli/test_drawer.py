"""The drawer from the command line."""

import json

import pytest

from asfound.cli.main import main


@pytest.fixture
def run(capsys, tmp_path, monkeypatch):
    monkeypatch.setenv("ASFOUND_BOOK", str(tmp_path / "book"))

    def run_(*arguments):
        status = 0
        try:
            main(["drawer", *map(str, arguments)])
        except SystemExit as stop:
            status = stop.code or 0
        return status, *capsys.readouterr()

    return run_


def test_screws_go_in_are_listed_and_come_out(run):
    assert run("add", "screws", "thread=M1.4", "length=2.5", "head=cheese", "count=6")[0] == 0
    status, out, _ = run("take", "screws", 1, "--count", 2)
    assert (status, out) == (0, "out of the drawer: 2 of thread M1.4, length 2.5, head cheese, count 6\n")
    assert "   1  M1.4       2.5  cheese      4" in run("list", "screws")[1]
    assert json.loads(run("list", "--json")[1])["screws"][0]["count"] == "4"
    assert run("take", "screws", 1)[0] == 0
    assert "none" in run("list", "screws")[1]


def test_a_spring_is_put_in_by_the_columns_of_its_table(run):
    cells = ("name=bag 7", "wire=0.5", "outside-diameter=5.5", "turns=6", "leg-1=10", "leg-2=10", "hand=left")
    assert run("add", "springs", *cells)[0] == 0
    assert "bag 7" in run("list")[1]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("add", "screws", "M1.4"), "names no column of screws"),
        (("add", "screws", "length=2"), "thread"),
        (("add", "felt", "thickness=thick"), "thickness"),
        (("add", "lenses", "a=b"), "lenses"),
        (("take", "felt", "1"), "changed meanwhile"),
    ],
)
def test_what_cannot_be_done_is_one_line_and_status_2(run, arguments, said):
    status, _, err = run(*arguments)
    assert status == 2
    assert said in err
    assert len(err.splitlines()) == 1


def test_what_the_drawer_holds_for_a_lost_part_is_told_with_what_differs(run):
    main(["open", "Invented Six"])
    main(["write", "1", "off left strut spring, tray A1"])
    main(["write", "1", "lost left strut spring"])
    spring = ("wire=0.5", "outside-diameter=5.5", "turns=6.25", "leg-1=10", "leg-2=10", "hand=right")
    run("add", "springs", "name=bag 7", *spring)
    status, out, _ = run("lost", 1)
    assert status == 0
    assert out.splitlines() == [
        "left strut spring, lost",
        "  bag 7: wire 0.5 mm, outside 5.5 mm, 6.25 turns, right-hand (nothing was measured of the lost one)",
    ]
    (lost,) = json.loads(run("lost", 1, "--json")[1])["lost"]
    assert (lost["part"], lost["held"][0]["but"]) == ("left strut spring", ["nothing was measured of the lost one"])


def test_where_no_part_is_lost_that_is_said(run):
    main(["open", "Invented Six"])
    assert "no part is lost" in run("lost", 1)[1]
