"""Shape: rings, planes and fits."""

import click

from asfound.cli.shape_ring import ring


@click.group()
def shape() -> None:
    """Say how round a ring is, how flat a plane lies, how much play a fit has."""


for _command in (ring,):
    shape.add_command(_command)
