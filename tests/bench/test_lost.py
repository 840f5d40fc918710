"""A part that is lost is offered what the drawer holds that fits: springs, felt, screws, donors."""

import pytest

from asfound.bench.jobs import load_job
from asfound.bench.line import write_line
from asfound.bench.lost import lost_parts
from asfound.bench.springs import write_rate
from asfound.bench.stock import put
from asfound.job.bodies import Camera
from asfound.springs import CONSTANTS, TorsionSpring
from asfound.springs.loaded import load_torsion
from asfound.springs.wire import find_material

SPRING = {
    "name": "bag 7", "wire": "0.5", "outside diameter": "5.5", "turns": "6.25", "leg 1": "10", "leg 2": "10",
    "hand": "right",
}  # fmt: skip


@pytest.fixture
def job_id(book):
    return book.open_job(Camera(maker="Invented", model="Six"))[0].job


def offered(book, job_id, *lines):
    """Write lines, and return for each lost part what is offered and what differs."""
    for line in lines:
        write_line(book, job_id, line)
    return {
        one.part: [(str(held.item), held.but) for held in one.held] for one in lost_parts(book, load_job(book, job_id))
    }


def measure(book, job_id, which):
    typed = {"which": which, "wire": "0.5 mm", "outside": "5.5", "turns": "6.25", "leg_1": "10", "leg_2": "10"}
    made = TorsionSpring(
        wire_diameter_mm=0.5, mean_diameter_mm=5.0, body_turns=6.25, leg_lengths_mm=(10, 10), modulus_mpa=203_400,
        constant=CONSTANTS["textbook"],
    )  # fmt: skip
    loaded = load_torsion(made, torque_n_mm=10.0, material=find_material("music wire"))
    write_rate(book, job_id, which=which, loaded=loaded, typed=typed, stage="as found")


def test_a_lost_spring_that_was_measured_is_offered_the_most_alike_first_and_said_how_it_differs(book, job_id):
    put(book, "springs", SPRING | {"name": "stiffer", "wire": "0.55", "outside diameter": "5.55"})
    put(book, "springs", SPRING)
    put(book, "springs", SPRING | {"name": "far too stiff", "wire": "0.8"})
    measure(book, job_id, "left strut")
    (alike, stiffer) = offered(book, job_id, "off left strut spring, tray A1", "lost left strut spring")[
        "left strut spring"
    ]
    assert "bag 7" in alike[0]
    assert alike[1] == ()
    # Rate goes as the fourth power of the wire on the same mean diameter: 1.1^4 = 1.464 (Shigley, from memory); the
    # modulus of music wire hardly changes between the two sizes.
    assert stiffer[1] == ("46% stiffer",)


def test_a_lost_spring_that_was_never_measured_is_offered_all_with_that_said(book, job_id):
    put(book, "springs", SPRING)
    measure(book, job_id, "right strut")
    ((_, but),) = offered(book, job_id, "off left strut spring", "lost left strut spring")["left strut spring"]
    assert but == ("nothing was measured of the lost one",)


def test_a_part_that_is_not_lost_is_offered_nothing(book, job_id):
    put(book, "springs", SPRING)
    assert offered(book, job_id, "off left strut spring, tray A1") == {}
    offered(book, job_id, "lost left strut spring")
    assert offered(book, job_id, "fitted left strut spring") == {}


def test_a_donor_that_has_the_part_comes_before_one_of_the_same_model_of_which_nobody_said(book, job_id):
    put(book, "donors", {"camera": "Six", "has": ""})
    put(book, "donors", {"camera": "Another", "has": "bellows, rear cells"})
    put(book, "donors", {"camera": "Invented  six", "has": "rear cell", "gone": "struts"})
    put(book, "donors", {"camera": "Invented Six", "gone": "rear cell"})
    put(book, "donors", {"camera": "Elsewhere", "has": "front cell"})
    found = offered(book, job_id, "off rear cell", "lost rear cell")["rear cell"]
    assert [but for _, but in found] == [
        (),
        ("nobody said whether it still has it",),
        ("another model: hold it against its place",),
    ]


def test_felt_is_offered_for_felt_and_screws_for_a_screw(book, job_id):
    put(book, "felt", {"thickness": "1.2", "colour": "black"})
    put(book, "screws", {"thread": "M1.4", "length": "2.5", "count": "3"})
    lines = ("off back felt", "off stop screw, 1 screw M1.4 x 2.5", "lost back felt", "lost stop screw")
    found = offered(book, job_id, *lines)
    assert [words for words, _ in found["back felt"]] == ["felt 1.2 mm, black"]
    assert found["stop screw"][0][0].startswith("screw M1.4 × 2.5 mm")
