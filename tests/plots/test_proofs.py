"""The board of proofs: every line has its tile, and no tile runs out of the picture."""

import re
import uuid

import pytest

from asfound.job.bodies import Camera, Opened, Proof
from asfound.job.clock import Stamp
from asfound.job.entry import Entry
from asfound.job.fold import fold
from asfound.job.proving import proof_list
from asfound.plots import page_svg, print_svg
from asfound.plots.proofs import proofs_picture

BODIES = (
    Opened(ticket="1", camera=Camera(model="Six", marked_speeds=("1", "1/250"), marked_apertures=(4.5, 22))),
    Proof(what="infinity", verdict="within"),
    Proof(what="play", verdict="outside"),
    Proof(what="山 and a name that goes on and on", verdict="cannot tell"),
)


@pytest.fixture
def lines():
    job = uuid.UUID(int=1)
    entries = [
        Entry(id=uuid.UUID(int=n), origin="a", sequence=n, previous=None, clock=Stamp(n), job=job, body=body)
        for n, body in enumerate(BODIES, start=1)
    ]
    return proof_list(fold(entries))


@pytest.mark.parametrize("width", ["wide", "narrow"])
def test_every_proof_has_its_tile_with_its_sign(lines, width):
    svg = page_svg(proofs_picture(lines, width=width))
    words = " ".join(re.findall(r"<text[^>]*>([^<]*)", svg))
    for text in ("1/250", "f/22", "infinity", "play", "flash sync", "✓", "✕", "?"):
        assert text in words


@pytest.mark.parametrize("width", ["wide", "narrow", "print"])
def test_no_tile_runs_over_the_edge_or_into_another(lines, width):
    figure = proofs_picture(lines, width=width).figure
    axes = figure.axes[0]
    tiles = [patch.get_path().get_extents() for patch in axes.patches]
    right = axes.get_xlim()[1]
    assert len(tiles) == len(lines)
    assert all(tile.x1 <= right + 1 for tile in tiles)
    for n, one in enumerate(tiles):
        assert not any(one.overlaps(other) for other in tiles[n + 1 :])


def test_a_letter_that_the_face_lacks_is_a_dot_and_what_is_said_of_the_picture_keeps_it(lines):
    picture = proofs_picture(lines, width="print")
    drawn = [text.get_text() for text in picture.figure.axes[0].texts]
    assert "· and a name th…" in drawn
    assert "山 and a name that goes on and on" in picture.description
    assert print_svg(picture)
