"""What the README shows is what the program prints."""

import importlib.util
import re
import shlex
from pathlib import Path

from asfound.cli.main import COMMANDS, main

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text("utf-8")
# What differs from one run to the next: dates, sizes of files.
CHANGING = ((r"\d{4}-\d\d-\d\d \d\d:\d\d", "DATE"), (r"\d+ kB", "SIZE"))


def examples(text):
    """Yield each command of the README's console blocks with the output shown under it."""
    for block in re.findall(r"```console\n(.*?)```", text, re.DOTALL):
        for example in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
            command, _, output = example.partition("\n")
            yield command.strip(), output.rstrip()


def settled(text):
    for pattern, stands_for in CHANGING:
        text = re.sub(pattern, stands_for, text)
    return "\n".join(line.rstrip() for line in text.strip().splitlines())


def test_the_commands_print_what_the_readme_shows(capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("ASFOUND_BOOK", str(tmp_path / "book"))
    shown = list(examples(README))
    assert len(shown) >= 6
    for command, expected in shown:
        program, *arguments = shlex.split(command)
        assert program == "asfound"
        main(arguments)
        assert settled(capsys.readouterr().out) == settled(expected), command


def test_the_job_comes_first_then_the_two_commands(capsys):
    assert README.index("repair") < README.index("make bench") < README.index("make test") < README.index("```console")


def test_what_the_readme_points_at_is_there():
    for target in re.findall(r"\]\((?!http)([^)#]+)", README):
        assert (ROOT / target).exists(), target


def test_the_page_of_commands_is_as_the_commands_are():
    spec = importlib.util.spec_from_file_location("commands", ROOT / "tools" / "commands.py")
    commands = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(commands)
    written = (ROOT / "docs" / "commands.md").read_text("utf-8")
    assert written == commands.reference(), "run: make docs"
    assert all(f"asfound {name}" in written for name in COMMANDS)
