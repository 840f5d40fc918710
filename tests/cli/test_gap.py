import json

import pytest


def run(run_command, *words):
    return run_command("gap", *words)


def data(run_command, *words):
    status, out, err = run(run_command, *words, "--json")
    assert (status, err) == (0, "")
    return json.loads(out)


def test_a_gap_between_two_leaves(run_command):
    # JCGM 100:2008, 4.3.7 (read).
    found = data(run_command, "0.35", "loose", "0.40", "no")
    assert found["gap_mm"] == pytest.approx(0.375)
    assert found["u_gap_mm"] == pytest.approx(0.01443, abs=5e-6)
    assert (found["gap_lower_mm"], found["gap_upper_mm"]) == (0.35, 0.40)
    assert found["gap_thou"] == pytest.approx(0.375 / 0.0254)


def test_leaf_tolerance_is_counted(run_command):
    found = data(run_command, "0.35", "loose", "0.40", "no", "--leaf-tolerance", "0.005")
    assert found["u_gap_mm"] == pytest.approx(0.01458, abs=5e-6)


@pytest.mark.parametrize(
    "words",
    [
        ("14thou", "loose", "15thou", "no"),
        ("14", "thou", "loose", "15", "thou", "no"),
        ("loose", "0.014in", "no", "0.015in"),
        ("10+4thou", "loose", "10thou+5thou", "no"),
    ],
)
def test_tries_may_be_written_in_several_ways(run_command, words):
    found = data(run_command, *words)
    assert found["gap_thou"] == pytest.approx(14.5)
    assert found["u_gap_mm"] == pytest.approx(0.0073, abs=5e-5)


def test_one_side_alone_has_no_plus_or_minus(run_command):
    found = data(run_command, "0.35", "loose")
    assert found["gap_mm"] is None
    assert found["u_gap_mm"] is None
    assert found["gap_lower_mm"] == 0.35
    assert found["gap_upper_mm"] is None
    assert found["one_sided"] is True
    _, out, _ = run(run_command, "0.35", "loose")
    assert "±" not in out
    assert "more than 0.35 mm" in out


def test_a_drag_has_the_users_uncertainty(run_command):
    assert data(run_command, "0.35", "drag")["u_gap_mm"] == pytest.approx(0.01)
    found = data(run_command, "0.35", "drag", "--drag-uncertainty", "0.02")
    assert (found["gap_mm"], found["u_gap_mm"]) == pytest.approx((0.35, 0.02))


def test_three_stations_give_mean_and_tilt(run_command):
    # Worked by hand from the plane through three points: tilt 0.0793913 deg.
    found = data(
        run_command, "--radius", "25", "--at", "90: 40.00 drag", "--at", "210: 40.06 drag", "--at", "330: 40.03 drag"
    )
    assert found["mean_mm"] == pytest.approx(40.03)
    assert found["tilt_deg"] == pytest.approx(0.0793913, abs=5e-8)


STATIONS = ("--radius", "25", "--at", "90: 1 drag", "--at", "210: 1 drag", "--at", "330: 1 drag")


def test_a_station_tried_lifted_gives_the_rock(run_command):
    assert data(run_command, *STATIONS)["rock_mm"] is None
    found = data(run_command, *STATIONS, "--lifted", "210: 1.05 drag")
    assert (found["rock_mm"], found["rock_deg"]) == pytest.approx((0.05, 210))
    assert found["u_rock_mm"] == pytest.approx(0.01 * 2**0.5)
    status, _, err = run(run_command, *STATIONS, "--lifted", "100: 1.05 drag")
    assert status == 2
    assert "100 deg" in err


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("0.40", "loose", "0.35", "no"), "contradicts"),
        ((), "none"),
        (("0.35",), "0.35"),
        (("0.35", "0.40", "no"), "0.35"),
        (("0.35", "stiff"), "0.35"),
        (("3gf", "loose"), "force"),
        (("0", "loose"), "no leaf"),
        (("0.35", "loose", "--at", "90: 1 drag"), "--at"),
        (("--at", "90: 1 drag"), "--radius"),
        (("--at", "1 drag", "--radius", "20"), "names no place"),
        (("--at", "0: 1 drag", "--at", "10: 1 drag", "--at", "20: 1 drag", "--radius", "20"), "go round"),
        (("0.35", "drag", "--drag-uncertainty", "x"), "--drag-uncertainty"),
    ],
)
def test_bad_tries_are_one_line_on_stderr(run_command, words, says):
    status, out, err = run(run_command, *words)
    assert (status, out) == (2, "")
    assert err.startswith("asfound: ")
    assert err.count("\n") == 1
    assert says in err
