"""What the tests of several commands share."""

import pytest

from asfound.cli.main import main

RATE = """1: 1.6, 1.62, 1.58
1/2: 0.81, 0.8, 0.79
1/5: 318, 322, 320 ms
1/10: 156, 158, 161 ms
1/25: 40, 41, 39 ms
1/50: 20, 20.4, 19.8 ms
1/100: 10, 10.2, 9.8 ms
1/250: 4, 4.1, 3.9 ms
"""


@pytest.fixture
def times(tmp_path):
    """Give a file of times in which the rate is off where the pallet is in."""
    path = tmp_path / "times.txt"
    path.write_text(RATE, "utf-8")
    return path


@pytest.fixture
def run_command(capsys):
    """Give a function that runs a command line and returns its exit status and what it printed."""

    def run(*arguments):
        status = 0
        try:
            main([str(argument) for argument in arguments])
        except SystemExit as stop:
            status = stop.code or 0
        out, err = capsys.readouterr()
        return status, out, err

    return run
