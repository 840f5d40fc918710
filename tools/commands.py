"""Write docs/commands.md: every command with its options, as the program itself tells them."""

from collections.abc import Iterator
from pathlib import Path

import click

from asfound.cli.main import asfound

TARGET = Path(__file__).parents[1] / "docs" / "commands.md"
HEAD = """# Commands

Written by `make docs` from the commands themselves. Wherever `--json` stands, the same names come out as JSON.
Bad input is one line on standard error and exit status 2; a book that cannot be read or written is exit status 3.
`--book PLACE` (or `ASFOUND_BOOK`) names a folder or a PostgreSQL URL.
"""


def reference() -> str:
    """Return the whole page."""
    return "\n".join([HEAD, *_sections(asfound, click.Context(asfound, info_name="asfound"))]) + "\n"


def _sections(command: click.Command, context: click.Context) -> Iterator[str]:
    if isinstance(command, click.Group):
        for name in command.list_commands(context):
            inner = command.get_command(context, name)
            assert inner is not None
            yield from _sections(inner, click.Context(inner, info_name=name, parent=context))
        return
    usage = " ".join(command.collect_usage_pieces(context))
    yield f"## {context.command_path}\n\n{_prose(command)}\n\n```text\n{context.command_path} {usage}\n```\n"
    options = [
        parameter for parameter in command.params if isinstance(parameter, click.Option) and not parameter.hidden
    ]
    records = [record for option in options if (record := option.get_help_record(context))]
    if records:
        yield "| option | meaning |\n| --- | --- |"
        for names, meaning in records:
            yield f"| `{names.replace('|', chr(92) + '|')}` | {' '.join(meaning.split()).replace('|', chr(92) + '|')} |"
        yield ""


def _prose(command: click.Command) -> str:
    return "\n".join(line.strip() for line in (command.help or "").replace("\b", "").strip().splitlines())


if __name__ == "__main__":
    TARGET.write_text(reference(), "utf-8")
