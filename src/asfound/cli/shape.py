"""Shape: rings, planes and fits."""

import click

from asfound.cli.shape_fit import fitted
from asfound.cli.shape_leaks import leaks
from asfound.cli.shape_photograph import photograph, target
from asfound.cli.shape_plane import erected, plane, standard
from asfound.cli.shape_ring import ring


@click.group()
def shape() -> None:
    """Say how round a ring is, how flat a plane lies, how much play a fit has."""


for _command in (ring, photograph, target, plane, standard, erected, fitted, leaks):
    shape.add_command(_command)
