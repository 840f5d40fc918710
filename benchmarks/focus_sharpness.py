"""How well the sharpest of a series of ground-glass photographs is found, and how long it takes.

Simulated photographs with a known peak: two kinds of blur, several counts and steps, a wandering exposure, and
a scatter of the sharpness itself. Run with ``python benchmarks/focus_sharpness.py --series 200``.
"""

import argparse
import math
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from benchmarks._table import Figure
from numpy.typing import NDArray
from scipy.special import j1

from asfound.focus import sharpness_of, sharpness_peak
from asfound.focus.budget import coverage_factor
from asfound.problems import BadInputError

Floats = NDArray[np.float64]
F_NUMBER, PIXEL_MM, SIDE = 3.5, 0.012, 64
BUDGET_MM = F_NUMBER * 0.05


@dataclass(frozen=True, slots=True)
class Cell:
    """One combination of conditions."""

    disc: bool
    photographs: int
    half_range_mm: float
    scatter: float

    @property
    def settings(self) -> Floats:
        return np.linspace(-self.half_range_mm, self.half_range_mm, self.photographs)


def cells() -> Iterator[Cell]:
    for disc in (True, False):
        for photographs, half in ((7, 0.4), (9, 0.6), (15, 0.6), (9, 1.5)):
            for scatter in (0.0, 0.04, 0.12):
                yield Cell(disc, photographs, half, scatter)


def photograph(rng: np.random.Generator, target: Floats, defocus_mm: float, disc: bool) -> Floats:
    fy, fx = np.meshgrid(np.fft.fftfreq(SIDE), np.fft.fftfreq(SIDE), indexing="ij")
    a = 2 * math.pi * np.hypot(fx, fy)
    radius = abs(defocus_mm) / F_NUMBER / 2 / PIXEL_MM
    argument = np.maximum(a * radius, 1e-12)
    blur = 2 * j1(argument) / argument if disc else np.exp(-((a * radius / 2) ** 2) / 2)
    seen = np.real(np.fft.ifft2(np.fft.fft2(target) * blur * np.exp(-(a**2) / 2)))
    return seen * (1 + 0.1 * rng.uniform(-1, 1)) + 0.01 * rng.standard_normal(seen.shape)


def one_series(rng: np.random.Generator, cell: Cell) -> tuple[float, Floats]:
    """Return the true peak and the sharpness of each photograph."""
    true = rng.uniform(-0.4, 0.4) * cell.half_range_mm
    target = 0.2 + 0.6 * np.kron(rng.random((8, 8)), np.ones((8, 8)))
    found = [sharpness_of(photograph(rng, target, x - true, cell.disc)) for x in cell.settings]
    return true, np.array(found) * (1 + cell.scatter * rng.standard_normal(len(found)))


def measure(rng: np.random.Generator, cell: Cell, series: int) -> tuple[float, float, float, float, float]:
    """Return share of series taken, coverage at 95 %, RMS miss and median u of the budget, ms a fit."""
    misses, stated, hits, spent = [], [], 0, 0.0
    for _ in range(series):
        true, sharpness = one_series(rng, cell)
        begun = time.perf_counter()
        try:
            peak = sharpness_peak(settings=cell.settings.tolist(), sharpness=sharpness.tolist()).peak
        except BadInputError:
            continue
        spent += time.perf_counter() - begun
        assert peak.value is not None
        assert peak.standard_uncertainty is not None
        misses.append(peak.value - true)
        stated.append(peak.standard_uncertainty)
        hits += abs(misses[-1]) <= coverage_factor(peak.degrees_of_freedom) * stated[-1]
    rms = float(np.sqrt(np.mean(np.square(misses))))
    taken = len(misses)
    return taken / series, hits / taken, rms / BUDGET_MM, float(np.median(stated)) / BUDGET_MM, spent / taken * 1e3


def telephone_photograph_s() -> float:
    """Return the seconds that the measure takes over the middle of a photograph of twelve megapixels."""
    grey = np.random.default_rng(0).random((1512, 2016), dtype=np.float32)
    begun = time.perf_counter()
    sharpness_of(grey)
    return time.perf_counter() - begun


def main(brief: bool = False) -> Sequence[Figure]:
    """Print one line a cell."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--series", type=int, default=20 if brief else 100, help="series in each cell")
    series = parser.parse_args().series
    rng, least = np.random.default_rng(1), 1.0
    print("blur  photos  step mm  scatter  taken  covered  RMS miss  median u  (of the budget)  ms a fit")
    for cell in cells():
        taken, covered, rms, u, ms = measure(rng, cell, series)
        step = 2 * cell.half_range_mm / (cell.photographs - 1)
        blur = "disc" if cell.disc else "bell"
        print(
            f"{blur}  {cell.photographs:6d}  {step:7.3f}  {cell.scatter:7.2f}  {taken:5.2f}  {covered:7.3f}"
            f"  {rms:8.4f}  {u:8.4f}  {'':15}  {ms:8.1f}"
        )
        least = min(least, covered)
    seconds = telephone_photograph_s()
    print(f"the middle of a photograph of twelve megapixels: {seconds:.2f} s")
    return (
        Figure("ground glass, truth within two standard uncertainties, worst cell", f"{least:.2f} of series"),
        Figure("ground glass, sharpness of a photograph of 12 megapixels", f"{seconds:.2f} s"),
    )


if __name__ == "__main__":
    main()
