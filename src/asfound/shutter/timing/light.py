"""Firings from a light sensor on a sound input, heard block by block."""

from asfound.shutter.timing.block import Block
from asfound.shutter.timing.firing import Firing
from asfound.shutter.timing.measure import Conditions, measure_span
from asfound.shutter.timing.scan import LightScan, Span


class LightListener:
    """The `Listener` for light: give it blocks, it gives firings.

    Parameters
    ----------
    sample_rate_hz : float
    resolution : float
        Smallest step of the samples, full scale 1 (1/128 for 8 bits): nothing near it is a firing.
    clip_level : float
        Magnitude from which a sample counts as overdriven.
    """

    def __init__(self, *, sample_rate_hz: float, resolution: float = 2.0**-15, clip_level: float = 0.999) -> None:
        self._conditions = Conditions(sample_rate_hz=sample_rate_hz, clip_level=clip_level, resolution=resolution)
        self._scan = LightScan(sample_rate_hz=sample_rate_hz, floor=max(1e-3, 4 * resolution))

    def feed(self, block: Block) -> tuple[Firing, ...]:
        """Take the next block; return the firings that it finished."""
        return self._measure(self._scan.feed(block.samples))

    def provisional(self, *, settle_s: float = 0.0, after_index: int = -1) -> Firing | None:
        """Return the firing that has just closed but is not finished, as far as it can be told now.

        `feed` gives the final one when the light has been seen to stay away for 60 ms.

        Parameters
        ----------
        settle_s : float
            How long it must have been dark since the closing.
        after_index : int
            Nothing whose first light came up to this sample of the recording is measured again.
        """
        spans = [span for span in self._scan.so_far() if span.ending == "closed"]
        if not spans or spans[-1].start_index + spans[-1].onset <= after_index:
            return None
        dark = spans[-1].samples.size - spans[-1].closing
        if dark < settle_s * self._conditions.sample_rate_hz:
            return None
        return measure_span(spans[-1], self._conditions, quick=True)

    def close(self) -> tuple[Firing, ...]:
        """Say that nothing follows; return the firing that was still open."""
        return self._measure(self._scan.close())

    def _measure(self, spans: list[Span]) -> tuple[Firing, ...]:
        firings = (measure_span(span, self._conditions) for span in spans)
        return tuple(firing for firing in firings if firing is not None)
