"""Run the commands of the README's console blocks and put what they print under them."""

import contextlib
import io
import os
import re
import shlex
import tempfile
from pathlib import Path

from asfound.cli.main import main

README = Path(__file__).parents[1] / "README.md"
BLOCK = re.compile(r"```console\n(.*?)```", re.DOTALL)


def commands(block: str) -> list[str]:
    """Return the commands of a block, those of several lines joined as they stand."""
    return [line[2:].strip() for line in block.splitlines() if line.startswith("$ ")]


def run(command: str) -> str:
    """Return what a command prints."""
    printed = io.StringIO()
    with contextlib.redirect_stdout(printed):
        main(shlex.split(command)[1:])
    return printed.getvalue().rstrip()


def rewritten(text: str) -> str:
    """Return the README with fresh output; run in an empty folder, the book in it."""

    def fresh(match: re.Match[str]) -> str:
        shown = "\n\n".join(f"$ {command}\n{run(command)}" for command in commands(match[1]))
        return f"```console\n{shown}\n```"

    return BLOCK.sub(fresh, text)


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        os.environ["ASFOUND_BOOK"] = str(Path(folder) / "book")
        os.chdir(folder)
        README.write_text(rewritten(README.read_text("utf-8")), "utf-8")
