"""The spring commands as a script meets them."""

import functools
import json

import pytest

LBF_IN = 4.4482216152605 * 25.4


@pytest.fixture
def run(run_command):
    """Run a spring command; give exit status, standard output and standard error."""
    return functools.partial(run_command, "spring")


@pytest.fixture
def ask(run):
    """Run a spring command with ``--json`` and give what it says."""

    def call(*arguments):
        status, out, err = run(*arguments, "--json")
        assert status == 0, err
        return json.loads(out)

    return call


@pytest.fixture
def refused(run):
    """Run a spring command that must be refused; give its one line."""

    def call(*arguments):
        status, out, err = run(*arguments)
        assert status == 2
        assert out == ""
        assert err.count("\n") == 1
        assert err.startswith("asfound: ")
        return err

    return call


TORSION = ("torsion", "--wire", "0.5mm", "--mean-diameter", "5mm", "--body-turns", "6", "--legs", "10mm,10mm")
FIELDS = (
    "index", "rate_n_mm_per_turn", "angle_deg", "stress_mpa", "stress_factor", "yield_mpa", "tensile_mpa",
    "loaded_inner_diameter_mm", "active_turns",
)  # fmt: skip


def test_a_torsion_spring_prints_the_names_that_scripts_rely_on(ask):
    said = ask(*TORSION, "--torque", "20 N mm", "--modulus", "203.4 GPa", "--constant", "bending")
    assert set(FIELDS) <= set(said)
    # By hand from angle = 3667 M D N/(E d^4) with N = 6 + 20/(3 pi 5).
    assert said["angle_deg"] == pytest.approx(3667 * 20 * 5 * 6.42441 / (203_400 * 0.5**4), rel=1e-4)
    assert said["constant_value"] == pytest.approx(3667, abs=0.1)
    assert "EN 13906-3" in said["constant_source"]
    # ASTM A228, supplier's table (read): .020 in has at least 350 ksi, and .5 mm lies just below it.
    assert 350 < said["tensile_mpa"] / 6.894757 < 351.5


def test_the_textbooks_example_in_inches(ask):
    # Shigley, Example 10-8 (inputs from memory): strength by the table is a little below the book's fit.
    said = ask(
        "torsion", "--wire", "0.072in", "--outside-diameter", "19/32 in", "--body-turns", "4.25",
        "--legs", "1in,1in", "--torque", "7.55 lbf in", "--modulus", "28.5e6 psi", "--constant", "textbook",
        "--pin", "0.4in",
    )  # fmt: skip
    assert said["rate_n_mm_per_turn"] / LBF_IN == pytest.approx(29.19, rel=0.001)
    assert said["angle_deg"] == pytest.approx(93.1, abs=0.2)
    assert said["loaded_inner_diameter_mm"] / 25.4 == pytest.approx(0.4223, abs=0.0005)
    assert said["pin_clearance_mm"] / 25.4 == pytest.approx(0.0223, abs=0.0005)
    assert said["tensile_mpa"] / 6.894757 == pytest.approx(287, abs=0.1)


def test_the_table_names_the_constant_and_its_source(run):
    status, out, _ = run(*TORSION, "--torque", "20 N mm", "--constant", "handbook")
    assert status == 0
    assert "K = 4000" in out
    assert "Machinery's Handbook" in out


def test_a_stress_over_tensile_is_shown_with_its_verdict(ask):
    said = ask("torsion", "--wire", "0.4", "--mean-diameter", "4", "--body-turns", "4.5", "--torque", "20 N mm")
    assert said["stress_mpa"] > said["tensile_mpa"]
    assert said["verdict"] == "outside"
    assert "above tensile" in said["meaning"]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (("--wire", "20"), "20 thou"),
        (("--wire", "2"), "index"),
        (("--wire", "0"), "above zero"),
        (("--wire", "0.5 N"), "force"),
        (("--material", "tin"), "music wire"),
        (("--legs", "10,5mm"), "decimal comma"),
        (("--legs", "1,2,3"), "3 parts"),
        (("--pin", "4.8"), "does not go over"),
        (("--pin", "4.4"), "grips the pin"),
        (("--outside", "5.2"), "across"),
        (("--between-cheeks", "3"), "cheeks"),
        (("--modulus", "203400 GPa"), "modulus"),
    ],
)
def test_a_torsion_spring_that_cannot_be_is_refused_in_one_line(refused, change, words):
    assert words in refused(*TORSION, "--torque", "20 N mm", *change)


def test_thick_wire_is_taken_where_it_is_said_to_be_meant(ask):
    said = ask(
        "torsion", "--wire", "4mm", "--mean-diameter", "40mm", "--body-turns", "5", "--torque", "5 N m", "--as-typed"
    )
    assert said["tensile_mpa"] is None
    assert said["verdict"] == "cannot tell"


def test_a_spring_measured_before_and_after_cleaning_and_against_its_twin(ask):
    said = ask(
        "measured", "--arm", "20mm", "--force-uncertainty", "0.01N", "--clean",
        "--at", "30deg,0.70N,0.50N", "--at", "90deg,1.00N,0.80N", "--before-at", "30deg,0.9N,0.3N",
        "--twin-at", "30deg,0.9N,0.7N", "--wire", "0.5mm", "--mean-diameter", "5mm", "--body-turns", "6",
        "--legs", "10mm,10mm", "--free-angle", "-120deg",
    )  # fmt: skip
    # 12 and 18 N mm at 30 and 90 deg: 36 N mm a turn, nothing at -90.
    assert [s["spring_n_mm"] for s in said["splits"]] == pytest.approx([12, 18])
    assert [s["friction_n_mm"] for s in said["splits"]] == pytest.approx([2, 2])
    assert said["rate_n_mm_per_turn"] == pytest.approx(36)
    assert said["free_angle_deg"] == pytest.approx(-90)
    assert said["finding"]["kind"] == "set"
    assert said["finding"]["moved_deg"] == pytest.approx(30)
    assert said["cleaning"][0]["gone_share"] == pytest.approx(2 / 3)
    assert said["twin"][0]["ratio"] == pytest.approx(0.75)
    assert "both" in said["twin"][0]["warning"]


def test_a_dirty_spring_is_measured_but_not_judged(run, refused):
    status, out, _ = run("measured", "--arm", "20mm", "--at", "30deg,0.7N,0.5N")
    assert status == 0
    assert "clean it" in out
    assert "friction" in out
    assert "unwinding is stronger" in refused("measured", "--arm", "20mm", "--at", "30,0.5,0.7")
    assert "3" in refused("measured", "--arm", "20mm", "--at", "30,0.5")
    assert "angle in common" in refused("measured", "--arm", "20", "--at", "30,1,1", "--twin-at", "40,1,1")


def test_half_the_rate_of_steel_in_a_yellow_wire_no_magnet_pulls_is_bronze(ask):
    said = ask(
        "measured", "--arm", "20mm", "--force-uncertainty", "0.005N", "--clean", "--at", "30deg,0.35N,0.25N",
        "--at", "90deg,0.5N,0.4N", "--wire", "0.5mm", "--mean-diameter", "5mm", "--body-turns", "6",
        "--legs", "10mm,10mm", "--magnet", "does not", "--colour", "yellow",
    )  # fmt: skip
    assert said["finding"]["kind"] == "rate off"
    assert "phosphor bronze" in said["finding"]["words"]


HOLD = ("hold", "--strut-length", "60mm", "--angle-erected", "60deg", "--weight", "1N", "--friction", "5 N mm")


def test_what_a_strut_needs_and_whether_two_springs_give_it(ask):
    said = ask(
        *HOLD, "--pull-attached", "0.9N", "--pull-detached", "0.4N", "--gives-erected", "40 N mm",
        "--gives-erected", "36 N mm", "--gives-way", "2N", "--gives-way-arm", "40mm",
    )  # fmt: skip
    # 1.5 N x 60 mm x cos 60 + 5; folded 1 N x 60 mm + 5.
    assert said["needed_erected_n_mm"] == pytest.approx(50)
    assert said["needed_folded_n_mm"] == pytest.approx(65)
    assert said["bellows_n"] == pytest.approx(0.5)
    assert said["margin_erected"] == pytest.approx(76 / 50)
    assert said["verdict_erected"] == "within"
    assert said["verdict_folded"] == "cannot tell"
    assert said["gives_way_n_mm"] == pytest.approx(80)
    assert said["picture_erected"]["tip_mm"] == pytest.approx([51.96, 30.0], abs=0.01)


def test_a_linkage_that_cannot_be_is_refused(refused):
    assert "over-centre" in refused(*HOLD, "--lock", "over-centre")
    assert "--groove-arm" in refused(*HOLD, "--lock", "groove")
    assert "both pulls" in refused(*HOLD, "--pull-attached", "1N")
    assert "no strut opening" in refused(*HOLD, "--angle-folded", "80deg")


def test_hold_prints_a_table(run):
    status, out, _ = run(*HOLD, "--gives-erected", "20 N mm")
    assert status == 0
    assert "outside" in out
    assert "friction" in out


COIL = ("--wire", "0.5mm", "--mean-diameter", "5mm", "--body-turns", "6", "--legs", "10mm,10mm")


def test_reforming_gains_everywhere_and_warns(ask, run):
    asked = ("reform", *COIL, "--erected", "8 N mm", "--folded", "14 N mm", "--rate", "36 N mm", "--by", "30deg")
    said = ask(*asked)
    assert said["gain_n_mm"] == pytest.approx(3)
    assert said["remaining_gain_n_mm"] == pytest.approx(3)
    assert "eye protection" in said["cautions"][0]
    assert said["constant"] == "textbook"
    _, out, _ = run(*asked)
    assert "CAUTION" in out


def test_opening_the_coil_by_all_of_it_is_refused(refused):
    line = refused("reform", *COIL, "--erected", "8", "--folded", "14", "--by", "7 turns", "--way", "coil")
    assert "whole coil" in line
    assert "wound further" in refused("reform", *COIL, "--erected", "14", "--folded", "8", "--by", "7deg")


SLEEVE = ("sleeve", *COIL, "--sleeve", "4.25mm", "--arbor", "3.2mm", "--erected-angle", "150deg")


def test_a_sleeve_says_where_it_grips_and_what_clearance_remains(ask, run, refused):
    said = ask(*SLEEVE, "--cover", "3", "--folded-angle", "200deg")
    assert said["binds_at_deg"] == pytest.approx(121.7, abs=0.1)
    assert said["stiffness_gained"] == pytest.approx(6.42441 / 3.42441, rel=1e-4)
    assert said["remaining_clearance_mm"] > 0
    assert said["cautions"]
    assert "CAUTION" in run(*SLEEVE, "--cover", "3", "--folded-angle", "200deg")[1]
    assert "past binding" in refused(*SLEEVE, "--cover", "6", "--folded-angle", "200deg")


CHOOSE = (
    "choose", "--erected", "12 N mm", "--travel", "90deg", "--pin", "3mm", "--outside", "8mm",
    "--between-cheeks", "6mm", "--preload-step", "10deg", "--diameter-step", "0.25mm",
)  # fmt: skip


def test_a_new_spring_is_chosen_with_its_winding_and_its_chance(ask):
    said = ask(*CHOOSE, "--keep", "3")
    margins = [design["margin"] for design in said["designs"]]
    assert margins == sorted(margins, reverse=True)
    assert len(margins) == 3
    for design in said["designs"]:
        assert design["stress_mpa"] <= design["static_limit_mpa"] < design["tensile_mpa"]
        assert design["outside_diameter_mm"] <= 8
        assert design["pin_clearance_mm"] >= 0.1 - 1e-9
        assert design["loaded_body_length_mm"] <= 6
        assert 4 <= design["index"] <= 20
        assert design["erected_n_mm"] >= 12
        assert 0 <= design["chance"]["will_do"] <= 1
        assert design["winding"]["mandrels"][0]["diameter_mm"] < design["mean_diameter_mm"]
    assert said["space"] > said["evaluated"] > 0
    assert "eye" in said["cautions"][0]


def test_the_drawer_is_looked_through_before_wire_is_bought(ask, run, tmp_path):
    drawer = tmp_path / "drawer.csv"
    drawer.write_text(
        "name,wire,outside diameter,turns,leg 1,leg 2,hand,material,from\n"
        "P7,0.55,6.5,6.75,12,12,right,,parts camera\nQ1,0.55,6.5,6.75,12,12,left,,\n"
    )
    said = ask(*CHOOSE, "--keep", "1", "--drawer", str(drawer))
    assert said["drawer"][0]["name"] == "P7"
    assert said["drawer"][0]["margin"] >= 1
    assert "open the coil" in said["drawer"][1]["why"]
    _, out, _ = run(*CHOOSE, "--keep", "1", "--drawer", str(drawer))
    assert out.startswith("drawer: P7")
    assert "CAUTION" in out


def test_a_choice_that_cannot_be_is_refused(refused, tmp_path):
    assert "below 3" in refused(*CHOOSE, "--least-index", "2")
    assert "no room" in refused(*CHOOSE, "--pin", "9mm")
    assert "too many" in refused(*CHOOSE, "--diameter-step", "1um", "--preload-step", "0.1deg")
    bad = tmp_path / "bad.csv"
    bad.write_text("name,wire\n")
    assert "no column" in refused(*CHOOSE, "--drawer", str(bad))


def test_where_nothing_fits_the_answer_says_so(run):
    status, out, _ = run(*CHOOSE[:2], "900 N mm", *CHOOSE[3:])
    assert status == 0
    assert "no sold wire" in out


def test_a_compression_spring(ask, refused):
    # Shigley, Example 10-1 (memory).
    said = ask(
        "compression", "--wire", "0.037in", "--outside-diameter", "7/16 in", "--total-turns", "12.5",
        "--force", "6.45 lbf", "--shear-modulus", "11.85e6 psi",
    )  # fmt: skip
    assert said["rate_n_per_mm"] == pytest.approx(4.12 * 4.4482216 / 25.4, rel=0.003)
    assert said["solid_length_mm"] == pytest.approx(0.4995 * 25.4, rel=1e-6)
    assert said["shear_factor_rule"] == "Bergstraesser"
    plain = ("compression", "--wire", "0.5", "--mean-diameter", "5", "--force", "1N")
    assert "no active turn" in refused(*plain, "--total-turns", "2")
    assert "solid length" in refused(*plain, "--total-turns", "8", "--free-length", "4mm")


def test_an_extension_spring(ask):
    # Shigley, Example 10-6 (memory).
    said = ask(
        "extension", "--wire", "0.035in", "--outside-diameter", "0.248in", "--body-turns", "12.17",
        "--force", "5.25 lbf", "--initial-tension", "1.19 lbf", "--material", "hard-drawn wire",
        "--modulus", "28.7e6 psi", "--shear-modulus", "11.6e6 psi",
    )  # fmt: skip
    assert said["deflection_mm"] == pytest.approx(0.227 * 25.4, rel=0.003)
    assert said["verdict"] == "within"


def test_a_leaf(ask, run):
    # By hand: 4PL^3/(E b t^3) and 6PL/(b t^2).
    leaf = ("leaf", "--width", "4mm", "--thickness", "0.3mm", "--length", "20mm", "--force", "0.5N")
    said = ask(*leaf)
    assert said["deflection_mm"] == pytest.approx(0.7192, abs=5e-5)
    assert said["stress_mpa"] == pytest.approx(166.7, abs=0.05)
    assert "wide strip" in run(*leaf)[1]
    assert "tenth of its length" in run(*leaf[:-1], "5N")[1]


@pytest.mark.parametrize(
    "change",
    [
        ("--body-turns", "nan"), ("--body-turns", "inf"), ("--wire", "1e-300"), ("--wire", "1e300"),
        ("--mean-diameter", "1e200"), ("--torque", "1e300"), ("--legs", "1e300,1"), ("--wire", ""),
    ],
)  # fmt: skip
def test_numbers_from_nowhere_are_refused_and_never_a_traceback(refused, change):
    refused(*TORSION, "--torque", "20 N mm", *change)


@pytest.mark.parametrize(
    "change", [("--turns", "1,1e12"), ("--preload-step", "1e-6"), ("--diameter-step", "1e-9"), ("--margin", "nan")]
)
def test_a_space_without_end_is_refused_before_it_is_searched(refused, change):
    refused(*CHOOSE, *change)


@pytest.mark.parametrize(
    "name", ["measured", "choose", "reform", "sleeve", "hold", "extension", "compression", "leaf", "torsion"]
)
def test_every_command_explains_itself(run, name):
    status, out, _ = run(name, "--help")
    assert status == 0
    assert "--json" in out
