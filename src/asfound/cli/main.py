"""The command line: each command group in its own file, imported only when called."""

import importlib
import importlib.util
import sys

import click

from asfound import __version__
from asfound.problems import AsfoundError, StorageError

# name -> "module:command"; the order is the order of the help page.
COMMANDS = {
    "bench": "asfound.cli.bench:bench",
    "devices": "asfound.cli.devices:devices",
    "practice": "asfound.cli.practice:practice",
    "jobs": "asfound.cli.jobs:jobs",
    "open": "asfound.cli.jobs:open_command",
    "show": "asfound.cli.jobs:show",
    "write": "asfound.cli.jobs:write",
    "undo": "asfound.cli.jobs:undo",
    "book": "asfound.cli.book:book",
    "line": "asfound.cli.line:line",
    "wayback": "asfound.cli.wayback:wayback",
    "ledger": "asfound.cli.ledger:ledger",
    "access": "asfound.cli.access:access",
    "notes": "asfound.cli.notes:notes",
    "screw": "asfound.cli.screw:screw",
    "reach": "asfound.cli.reach:reach",
    "drivers": "asfound.cli.drivers:drivers",
    "proofs": "asfound.cli.proofs:proofs",
    "instruments": "asfound.cli.instruments:instruments",
    "report": "asfound.cli.report:report",
    "card": "asfound.cli.report:card",
    "labels": "asfound.cli.report:labels",
    "estimate": "asfound.cli.costs:estimate",
    "account": "asfound.cli.costs:account",
    "shutter": "asfound.cli.shutter:shutter",
    "focus": "asfound.cli.focus:focus",
    "shape": "asfound.cli.shape:shape",
    "gap": "asfound.cli.gap:gap",
    "spring": "asfound.cli.spring:spring",
    "drawer": "asfound.cli.drawer:drawer",
}


class LazyCommands(click.Group):
    """A group that imports a command's file when the command is asked for, so that starting stays quick."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return [name for name, target in COMMANDS.items() if importlib.util.find_spec(target.split(":")[0])]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        target = COMMANDS.get(cmd_name)
        if target is None:
            return None
        module, _, attribute = target.partition(":")
        command = getattr(importlib.import_module(module), attribute)
        assert isinstance(command, click.Command)
        return command


@click.group(cls=LazyCommands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="asfound")
def asfound() -> None:
    """Record, measure, prove and hand over the repair of an old folding camera."""


def main(arguments: list[str] | None = None) -> None:
    """Run the command line; every expected error is one line on stderr and an exit status."""
    try:
        status = asfound.main(args=arguments, prog_name="asfound", standalone_mode=False)
        if isinstance(status, int) and status:
            sys.exit(status)
    except click.Abort:
        click.echo("asfound: stopped; everything written so far is kept", err=True)
        sys.exit(130)
    except click.UsageError as error:
        hint = f" (see {error.ctx.command_path} --help)" if error.ctx else ""
        click.echo(f"asfound: {error.format_message()}{hint}", err=True)
        sys.exit(2)
    except AsfoundError as error:
        for problem in error.problems:
            click.echo(f"asfound: {problem}", err=True)
        sys.exit(3 if isinstance(error, StorageError) else 2)
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(0)
