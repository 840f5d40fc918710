"""Small threads met in old cameras: ISO metric and miniature, pre-ISO metric, British Association, US numbered.

Sizes: ISO 261 and JIS B 0205 (read in suppliers' tables; fine pitches partly from memory), ISO 1501 and BS 93:1951
(read in Machinery's Handbook, 31st ed.), US numbered by its formula .060 + .013 N inch (same, read). Old metric sizes
1.7, 2.3 and 2.6 are listed by suppliers (read); that they are older than ISO is from memory.
"""

import re
from dataclasses import dataclass
from functools import cache
from typing import Literal

Series = Literal["metric coarse", "metric fine", "miniature", "old metric", "BA", "US numbered"]

_COARSE = {1: 0.25, 1.2: 0.25, 1.4: 0.3, 1.6: 0.35, 1.8: 0.35, 2: 0.4, 2.2: 0.45, 2.5: 0.45, 3: 0.5}
_FINE = {1: 0.2, 1.2: 0.2, 1.4: 0.2, 1.6: 0.2, 1.8: 0.2, 2: 0.25, 2.2: 0.25, 2.5: 0.35, 3: 0.35}
_MINIATURE = {0.3: 0.08, 0.35: 0.09, 0.4: 0.1, 0.45: 0.1, 0.5: 0.125, 0.55: 0.125, 0.6: 0.15, 0.7: 0.175, 0.8: 0.2}
_MINIATURE |= {0.9: 0.225, 1.0: 0.25, 1.1: 0.25, 1.2: 0.25, 1.4: 0.3}
_OLD = {1.7: 0.35, 2.3: 0.4, 2.6: 0.45}
_BA_PITCH = (1.0, 0.9, 0.81, 0.73, 0.66, 0.59, 0.53, 0.48, 0.43, 0.39, 0.35, 0.31, 0.28, 0.25, 0.23, 0.21, 0.19)
_BA_MAJOR = (6.0, 5.3, 4.7, 4.1, 3.6, 3.2, 2.8, 2.5, 2.2, 1.9, 1.7, 1.5, 1.3, 1.2, 1.0, 0.9, 0.79)
_US = ((0, 80), (1, 64), (1, 72), (2, 56), (2, 64), (3, 48), (3, 56), (4, 40), (4, 48))
INCH_MM = 25.4


@dataclass(frozen=True, slots=True, kw_only=True)
class Thread:
    """A size of thread.

    Attributes
    ----------
    name : str
        As the trade writes it: "M1.4", "1.7 x 0.35", "10 BA", "0-80".
    major_mm, pitch_mm : float
        Nominal.
    flank_deg : float
        Angle between the flanks: 60, or 47.5 for BA.
    """

    name: str
    series: Series
    major_mm: float
    pitch_mm: float
    flank_deg: float = 60.0

    @property
    def pitch_diameter_mm(self) -> float:
        """The basic pitch diameter: d - 0.649519 P for 60 degrees (JIS B 0205, read); d - 0.6 P for BA (read)."""
        return self.major_mm - (0.6 if self.series == "BA" else 0.649519) * self.pitch_mm

    def largest_mm(self) -> float:
        """Return the largest diameter over its crests: the nominal, less 15 + 11 P micrometres for metric 6g."""
        ease = 0.015 + 0.011 * self.pitch_mm if self.series.startswith(("metric", "old")) else 0.0
        return self.major_mm - ease

    def smallest_mm(self) -> float:
        """Return the smallest diameter over its crests.

        The width is that of grade 6, 180 P^(2/3) - 3.15 / sqrt(P) micrometres (ISO 965-1, from memory); the same
        is taken for the others, for want of their own.
        """
        width: float = 0.180 * self.pitch_mm ** (2 / 3) - 0.00315 / self.pitch_mm**0.5
        return self.largest_mm() - width


@cache
def threads() -> tuple[Thread, ...]:
    """Return all sizes, smallest first."""
    found = [Thread(name=f"M{d:g}", series="metric coarse", major_mm=d, pitch_mm=p) for d, p in _COARSE.items()]
    found += [Thread(name=f"M{d:g} x {p:g}", series="metric fine", major_mm=d, pitch_mm=p) for d, p in _FINE.items()]
    found += [Thread(name=f"S{d:.2f}", series="miniature", major_mm=d, pitch_mm=p) for d, p in _MINIATURE.items()]
    found += [Thread(name=f"{d:g} x {p:g}", series="old metric", major_mm=d, pitch_mm=p) for d, p in _OLD.items()]
    found += [
        Thread(name=f"{n} BA", series="BA", major_mm=d, pitch_mm=p, flank_deg=47.5)
        for n, (d, p) in enumerate(zip(_BA_MAJOR, _BA_PITCH, strict=True))
    ]
    found += [
        Thread(
            name=f"{n}-{tpi}",
            series="US numbered",
            major_mm=(0.060 + 0.013 * n) * INCH_MM,
            pitch_mm=INCH_MM / tpi,
        )
        for n, tpi in _US
    ]
    return tuple(sorted(found, key=lambda thread: (thread.major_mm, thread.pitch_mm, thread.name)))


def find_thread(text: str) -> Thread | None:
    """Return the thread that a text names ("M1.4", "1,7 x 0,35", "10BA", "0-80"); None where it names none."""
    plain = re.sub(r"\s+", "", text.casefold().replace(",", ".").replace("×", "x"))
    by_name = {re.sub(r"\s+", "", thread.name.casefold()): thread for thread in threads()}
    if plain in by_name:
        return by_name[plain]
    sized = re.fullmatch(r"m?(\d+(?:\.\d+)?)(?:x(\d*\.\d+))?", plain)
    if sized is None:
        return None
    major, pitch = float(sized[1]), float(sized[2]) if sized[2] else None
    metric = [
        t for t in threads() if t.series in ("metric coarse", "old metric", "metric fine") and t.major_mm == major
    ]
    same = [t for t in metric if pitch is None or abs(t.pitch_mm - pitch) < 0.005]
    return min(same, key=lambda t: t.series == "metric fine", default=None)
