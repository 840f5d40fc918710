"""Every part and fastener is on the tray, in the camera, waiting or missing, at every moment."""

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from asfound.teardown import FastenerGroup, ledger, put_back_otherwise, tray_map

SHORT = FastenerGroup(count=3, thread="M1.4", length_mm=2.0)
LONG = FastenerGroup(count=1, thread="M1.4", length_mm=2.4)


def test_a_part_off_lies_on_the_tray_with_its_fasteners(step):
    account = ledger([step(1, fasteners=(SHORT, LONG))])
    assert account.counts(fasteners=False)["tray"] == 1
    assert account.by_sort()["screw M1.4 × 2 mm"]["tray"] == 3
    assert {row.lies for row in account.rows} == {"A1"}


def test_a_part_slackened_is_in_the_camera(step):
    account = ledger([step(1, action="slackened", fasteners=(SHORT,))])
    assert account.counts(fasteners=True) == {"tray": 0, "camera": 3, "waiting": 0, "missing": 0}


def test_a_part_away_waits_while_its_fasteners_stay_on_the_tray(step, ident):
    account = ledger([step(1, fasteners=(SHORT,))], waiting={ident(1): "at the plater"})
    assert account.counts(fasteners=False)["waiting"] == 1
    assert account.counts(fasteners=True)["tray"] == 3


def test_a_screw_that_did_not_go_back_is_missing(step):
    two = FastenerGroup(count=2)
    steps = [step(1, "cover", fasteners=(SHORT,), back=True, fasteners_back=(two,))]
    assert ledger(steps).by_sort()["screw M1.4 × 2 mm"] == {"tray": 0, "camera": 2, "waiting": 0, "missing": 1}
    assert put_back_otherwise(steps) == ("cover: 2 × screw M1.4 × 2 mm back, 3 came off",)


def test_a_wrong_length_is_told_by_thread_and_length(step):
    steps = [
        step(
            1,
            "cover",
            fasteners=(SHORT,),
            back=True,
            fasteners_back=(FastenerGroup(count=3, thread="M1.4", length_mm=2.4),),
        )
    ]
    assert len(put_back_otherwise(steps)) == 2


def test_without_a_word_what_came_off_went_back(step):
    steps = [step(1, fasteners=(SHORT, LONG), back=True)]
    assert ledger(steps).counts(fasteners=True) == {"tray": 0, "camera": 4, "waiting": 0, "missing": 0}
    assert put_back_otherwise(steps) == ()


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_nothing_is_ever_in_two_places_or_none(step, ident, data):
    steps = []
    for n in range(1, data.draw(st.integers(1, 8)) + 1):
        groups = tuple(data.draw(st.lists(st.sampled_from([SHORT, LONG]), max_size=2)))
        action = data.draw(st.sampled_from(["off", "slackened"]))
        steps.append(step(n, fasteners=groups, action=action, back=data.draw(st.booleans())))
    waiting = {s.id: "soaking" for s in steps if data.draw(st.booleans())}
    lost = frozenset(s.id for s in steps if data.draw(st.booleans()))
    account = ledger(steps, waiting=waiting, lost=lost)
    assert sum(account.counts(fasteners=False).values()) == len(steps)
    assert sum(account.counts(fasteners=True).values()) == sum(g.count for s in steps for g in s.fasteners)


def test_the_tray_is_mapped_by_row_and_column(step):
    account = ledger([step(1, lies="B10"), step(2, lies="B2"), step(3, lies="in solvent"), step(4, lies="")])
    found = tray_map(account)
    assert [(cell.row, cell.column) for cell in found.cells] == [("B", 2), ("B", 10)]
    assert found.size == (1, 10)
    assert [place for place, _ in found.elsewhere] == ["in solvent"]
    assert [row.part for row in found.nowhere] == ["part 4"]
