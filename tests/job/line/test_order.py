"""After its first words, a line may say its clauses in any order."""

from uuid import UUID

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from asfound.job.line import LineMemory, parse_line

MEMORY = LineMemory(steps={"3": UUID(int=3), "4": UUID(int=4)})
LINES = {
    "off cover": [
        "3 screws M1.4 x 2.5 slot",
        "tray a1",
        "with spanner",
        "freed by 3 4",
        "face down",
        "held by lacquer",
    ],
    "slack cover": ["by 1 1/2 turns", "2 grub screws at left", "tool driver", "in solvent", "pose door down"],
    "spacer brass": ["0.1 mm", "+-0.01", "between plate and ring", "after step 4", "tray b2", "dirty"],
    "height tl": ["0.35 mm", "+-0.01 mm", "with depth gauge", "as left", "needs helical", "pushed", "f/8"],
    "gap tl": [".35 loose", ".40 no", "f/8", "dial 1/25", "working", "focus at 2 m", "held to 0.3 to 0.4 mm by sheet"],
    "reading strut pull": ["at door", "12 gf", "struts locked", "with balance", "dof 4", "how twice", "cocked"],
    "state": ["cocked", "dial B", "f/5.6", "door open", "struts locked", "focus infinity", "seated push", "dry"],
    "adjust cell": ["clockwise", "2 deg", "from 3", "to 3.25"],
    "ordered spring": ["from friend", "due 2026-05-01"],
    "proof focus": ["within", "0.01 mm", "+-0.01", "held to -0.05 to 0.05 mm", "needs helical", "as left", "f/4"],
}


def sorted_answers(body):
    """Return a body with its feeler tries sorted: they are kept in the order typed."""
    return body.model_copy(update={"raw": tuple(sorted(body.raw))}) if body.kind == "reading" else body


@pytest.mark.parametrize("beginning", LINES)
def test_clauses_come_in_any_order(beginning):
    clauses = LINES[beginning]
    expected = parse_line(" ".join([beginning, *clauses]), MEMORY)
    assert expected.problems == ()

    @settings(max_examples=30, deadline=None)
    @given(st.permutations(clauses), st.sampled_from([" ", ", ", "  "]))
    def law(order, between):
        line = between.join([beginning, *order]) if between != ", " else f"{beginning} {', '.join(order)}"
        found = parse_line(line, MEMORY)
        assert found.problems == (), line
        assert [*map(sorted_answers, found.bodies)] == [*map(sorted_answers, expected.bodies)], line

    law()
