"""Measuring as the pool runs it: an end that was asked for is a stop, not a failure."""

from collections.abc import Callable
from pathlib import Path

from asfound.bench.recordings import measure
from asfound.capture import Recording
from asfound.problems import AsfoundError, Problem, StoppedError


def measure_stoppably(path: Path, *, progress: Callable[[float], None], cancelled: Callable[[], bool]) -> Recording:
    """Measure a recording in a worker, which should import no more than this needs.

    Raises
    ------
    StoppedError
        If it ended because it was asked to.
    """
    try:
        return measure(path, progress=progress, cancelled=cancelled)
    except AsfoundError as error:
        if cancelled():
            raise StoppedError(Problem("measuring", "it was stopped", "start it again")) from error
        raise
