"""Access, notes, loose screws, driver reach and the ledger from the command line."""

import json
import math

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


@pytest.fixture
def told(run):
    """Give what a command says as JSON."""
    return lambda *arguments: json.loads(run(*arguments, "--json"))


@pytest.fixture
def refused(run, capsys):
    """Give the one line with which a command is refused; it must end with status 2 and print nothing else."""

    def refused_(*arguments):
        with pytest.raises(SystemExit) as ended:
            main([str(argument) for argument in arguments])
        said = capsys.readouterr()
        assert (ended.value.code, said.out) == (2, "")
        (line,) = said.err.splitlines()
        assert line.startswith("asfound: ")
        return line

    return refused_


def test_access_on_a_job_names_what_must_still_come_off_with_tools_and_what_is_assumed(told):
    found = told("access", "1", "pallet")
    assert [step["part"] for step in found["steps"]][-2:] == ["retard train", "pallet"]
    assert (found["proved"], found["tools"], found["rests_on"]) == (True, ["fine blade"], "job 1")
    assert found["minutes"] + found["risk_minutes"] == pytest.approx(found["lower_bound"])
    assert any(line.startswith("speed ring") for line in found["assumed"])


def test_access_to_what_is_off_already_asks_for_nothing(told, run):
    assert told("access", "1", "front cell")["steps"] == []
    assert "nothing more must come off" in run("access", "1", "front cell")


def test_access_on_a_model_begins_with_the_whole_camera(told):
    whole = told("access", "--model", "merle SIX-NINE", "pallet")
    assert {"leather disc", "front cell"} <= {step["part"] for step in whole["steps"]}


def test_the_table_of_access_tells_what_to_lay_ready(run):
    assert "Lay ready, tools: fine blade" in run("access", "1", "pallet")


def test_access_to_an_unknown_part_offers_the_nearest(refused):
    assert "did you mean 'pallet'" in refused("access", "1", "palet")


def test_notes_tell_order_fasteners_readings_and_faults(told, run):
    found = told("notes", "Merle Six-Nine")
    parts = {part["part"]: part for part in found["parts"]}
    assert parts["retard train"]["after"] == ["cocking lever"]
    assert not parts["retard train"]["after_assumed"]
    assert parts["cover plate"]["fasteners"] == ["4 × countersunk slot screw M1.4 × 2.4 mm"]
    assert {fault["fault"] for fault in found["faults"]} >= {"slow speeds drag"}
    assert any((r["quantity"], r["place"], r["mean"]) == ("gap", "pointer", 0.4) for r in found["readings"])
    assert "as found on 1 camera" in run("notes", "Merle Six-Nine")


def test_a_job_on_a_known_model_is_told_what_comes_next_and_what_lies_outside(told, run):
    run("open", "Merle Six-Nine")
    run("write", "2", "off leather disc, tray A1")
    run("write", "2", "gap pointer .9 drag")
    found = told("notes", "--for", "2")
    assert found["job"] == "2"
    assert found["next"][0] == "set screws of distance ring"


def test_the_typeset_notes_tell_model_number_of_cameras_fasteners_and_readings(run, tmp_path):
    run("notes", "Merle Six-Nine", "--pdf", tmp_path / "notes.pdf")
    text = "\n".join(page.extract_text() for page in pypdf.PdfReader(tmp_path / "notes.pdf").pages)
    for words in ("Merle Six-Nine", "as found on", "cover plate", "countersunk slot screw M1.4", "slow speeds drag"):
        assert words in " ".join(text.split()), words


def test_notes_exported_and_taken_in_twice_change_nothing(told, run, tmp_path):
    run("notes", "Merle Six-Nine", "--export", tmp_path / "notes.json")
    before = told("notes", "Merle Six-Nine")
    for _ in range(2):
        assert "0 new cameras" not in run("notes", "Merle Six-Nine")
        run("notes", "--take-in", tmp_path / "notes.json")
    assert told("notes", "Merle Six-Nine") == before
    run("notes", "Merle Six-Nine", "--export", tmp_path / "again.json")
    assert (tmp_path / "again.json").read_bytes() == (tmp_path / "notes.json").read_bytes()


def test_a_model_nobody_wrote_of_is_refused_with_the_nearest(refused):
    assert "Merle Six-Nine" in refused("notes", "Merle Six-Nin")


def test_the_only_camera_of_a_model_has_no_others_to_be_held_to(refused):
    assert "no other camera" in refused("notes", "--for", "1")


def test_a_file_that_is_no_notes_is_refused_at_its_place(refused, tmp_path):
    (tmp_path / "odd.json").write_text('{"format": "asfound service notes", "model": "X", "cameras": [{}]}')
    assert "cameras 1, camera: it is missing" in refused("notes", "--take-in", tmp_path / "odd.json")


def test_a_loose_screw_has_ranked_threads_and_homes(told, run):
    # M1.4: ISO 261 (read): coarse pitch 0.3 mm; S1.40 of NIHS 06-02 / ISO 1501 has the same pitch.
    found = told("screw", "--diameter", "1.38", "--pitch", "0.3", "--length", "2.5", "--head", "raised", "--job", "1")
    assert [c["thread"] for c in found["candidates"] if c["fits"]] == ["M1.4", "S1.40"]
    assert found["candidates"][0]["cannot_be_told_from"] == ["S1.40"]
    best = next(home for home in found["belongs"] if "raised" in home["fastener"])
    assert (best["part"], best["against"]) == ("finder cover", [])
    assert "To tell apart" in run("screw", "--diameter", "1.38")


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--diameter", "99"), "not that of a small screw"),
        (("--diameter", "1.4 kg"), "--diameter"),
        (("--diameter", "1.4", "--pitch", "9"), "pitch"),
    ],
)
def test_what_is_no_small_screw_is_refused(refused, options, said):
    assert said in refused("screw", *options)


def test_reach_tells_the_shaft_and_which_driver(told):
    found = told(
        "reach", "--depth", "20", "--opening", "6", "--driver", "0.4x2 shaft 2x40", "--driver", "0.4x2 shaft 7x40"
    )
    # In a well 6 mm wide a shaft of 2 mm stands upright, one of 7 mm does not enter.
    assert [(d["reaches"], d["tilt_deg"]) for d in found["drivers"]] == [(True, 0.0), (False, 0.0)]
    assert found["shaft_length_mm"] > 20


def test_the_forced_tilt_is_that_of_the_geometry(told):
    found = told("reach", "--depth", "20", "--obstacle", "10x0.8", "--driver", "0.4x2 shaft 3x40")
    # The near side of the shaft touches the edge when h sin t + g cos t = r, 0.3 mm being left free beside it.
    t = math.radians(found["drivers"][0]["tilt_deg"])
    assert 10 * math.sin(t) + (0.8 - 0.3) * math.cos(t) == pytest.approx(1.5)


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--driver", "blunt"), "0.4x2 shaft 2x40"),
        (("--driver", "0.4x2 shaft 0x40"), "not more than 0"),
        (("--obstacle", "0x1"), "not above the slot"),
        (("--opening", "-1"), "opening"),
    ],
)
def test_a_reach_that_cannot_be_is_refused(refused, options, said):
    assert said in refused("reach", "--depth", "20", *options)


def test_the_ledger_has_every_fastener_in_one_place(told, run):
    found = told("ledger", "1")
    rows = [row for row in found["rows"] if row["fastener"]]
    assert sum(found["fasteners"].values()) == sum(row["count"] for row in rows) == 23
    assert found["fasteners"]["tray"] == 3
    cells = {cell["label"]: cell for cell in found["tray"]["cells"]}
    assert (cells["D6"]["row"], cells["D6"]["column"]) == ("D", 6)
    assert "D6     finder cover, 2 × raised slot screw M1.4 × 2.5 mm" in run("ledger", "1")


def test_a_screw_short_going_back_is_missing(told, run):
    run("write", "1", "off test plate, 3 screws M1.4 x 2, tray X1")
    run("write", "1", "back test plate, 2 screws M1.4 x 2")
    found = told("ledger", "1")
    assert found["fasteners"]["missing"] == 1
    assert found["put_back_otherwise"] == ["test plate: 2 × screw M1.4 × 2 mm back, 3 came off"]
    assert "Missing" in run("ledger", "1")


def test_the_ledger_is_told_as_it_was_at_any_entry(told, refused):
    assert told("ledger", "1", "--at", "1")["rows"] == []
    last = told("ledger", "1")["at_entry"]
    assert told("ledger", "1", "--at", last)["rows"] == told("ledger", "1")["rows"]
    assert f"use 1 to {last}" in refused("ledger", "1", "--at", last + 1)


@pytest.mark.parametrize("command", [("access", "77", "pallet"), ("ledger", "77"), ("notes", "--for", "77")])
def test_a_job_that_is_not_there_is_said(refused, command):
    assert "77" in refused(*command)


@pytest.fixture
def own_place(run, tmp_path, monkeypatch):
    """Point the commands at a book of their own: drivers belong to the book."""
    monkeypatch.setenv("ASFOUND_BOOK", str(tmp_path / "book"))
    return tmp_path / "book"


def test_drivers_are_kept_shown_tried_and_taken_out(own_place, told, run, refused):
    assert "no driver is kept yet" in run("drivers")
    assert told("drivers", "add", "fine", "0.4x1.5 shaft 1,5x40 handle 8")["shaft_diameter_mm"] == 1.5
    run("drivers", "add", "stout", "0.8x4 shaft 4x100")
    assert (own_place / "drivers.csv").read_text().splitlines()[1] == "fine,0.4,1.5,1.5,40,8"
    assert [driver["name"] for driver in told("drivers")["drivers"]] == ["fine", "stout"]
    tried = told("reach", "--depth", "20", "--opening", "6", "--slot", "0.45", "--head", "2.4")["drivers"]
    assert [(fit["driver"], fit["reaches"]) for fit in tried] == [("fine", True), ("stout", False)]
    assert "did you mean 'stout'" in refused("drivers", "remove", "stuot")
    assert "there is a driver 'Fine' already" in refused("drivers", "add", "Fine", "0.4x2 shaft 2x40")
    run("drivers", "remove", "FINE")
    assert [driver["name"] for driver in told("drivers")["drivers"]] == ["stout"]


def test_a_line_of_the_drivers_table_that_cannot_be_read_is_told_with_its_place(own_place, told, run):
    run("drivers", "add", "fine", "0.4x1.5 shaft 1.5x40")
    table = own_place / "drivers.csv"
    table.write_text(table.read_text() + "bent,thick,2,2,40,8\n", encoding="utf-8")
    found = told("drivers")
    assert [driver["name"] for driver in found["drivers"]] == ["fine"]
    assert found["problems"][0].startswith("drivers.csv, line 3")
