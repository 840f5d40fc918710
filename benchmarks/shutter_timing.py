"""How near the effective times of simulated firings come to the Cramér-Rao bound.

Forty cells of sample rate, edges, time, coupling and noise. Run a slice with
``python benchmarks/shutter_timing.py --firings 200 --cells 0:10``.
"""

import argparse
import math
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from benchmarks._table import Figure

from asfound.shutter import Block, Exposure, Firing, LightListener, SoundInput, exposure_lasting, simulate
from asfound.shutter.simulated.bound import effective_time_bound_s

LEAD_S, TAIL_S = 0.2, 0.2


@dataclass(frozen=True, slots=True)
class Cell:
    """One combination of conditions."""

    rate_hz: float
    opening_s: float
    closing_s: float
    shapes: tuple[str, str]
    effective_s: float
    coupling_hz: tuple[float, ...]
    noise_db: float

    def exposure(self) -> Exposure:
        opening, closing = self.shapes
        return exposure_lasting(
            self.effective_s,
            opening_s=self.opening_s,
            closing_s=self.closing_s,
            opening_shape=opening,
            closing_shape=closing,
        )

    def line(self) -> SoundInput:
        return SoundInput(
            sample_rate_hz=self.rate_hz,
            coupling_hz=self.coupling_hz,
            noise_rms=0.5 * 10 ** (-self.noise_db / 20),
        )


def cells() -> list[Cell]:
    """Return the forty cells: every level of every factor, mixed; a plateau of at least half a millisecond."""
    edges = [(3e-4, 3e-4), (3e-4, 1e-3), (1e-3, 1e-3), (2e-3, 1e-3), (4e-3, 4e-3)]
    shapes = [("area", "area"), ("area", "diameter"), ("diameter", "area"), ("diameter", "diameter")]
    times = [1 / 500, 1 / 250, 1 / 125, 1 / 60, 1 / 15, 1 / 4, 1.0]
    rates = [44_100.0, 48_000.0, 96_000.0, 192_000.0]
    couplings: list[tuple[float, ...]] = [(), (1.0,), (5.0,), (20.0,)]
    found = []
    for i in range(40):
        opening, closing = edges[i % 5]
        cell = Cell(
            rates[i % 4],
            opening,
            closing,
            shapes[(i // 2 + i // 20) % 4],
            times[i % 7],
            couplings[(i // 4) % 4],
            (20.0, 40.0, 60.0)[i % 3],
        )
        found.append(_with_plateau(cell, times))
    return found


def _with_plateau(cell: Cell, times: list[float]) -> Cell:
    """Return the cell at the first time, from its own on, that leaves half a millisecond fully open."""
    for effective in sorted(t for t in times if t >= cell.effective_s):
        tried = Cell(*(effective if name == "effective_s" else getattr(cell, name) for name in cell.__slots__))
        try:
            if tried.exposure().fully_open_s >= 5e-4:
                return tried
        except ValueError:
            continue
    return cell


def measure(cell: Cell, seed: int) -> tuple[Firing | None, float]:
    """Return one simulated firing as measured, and the processor time it took."""
    phase = np.random.default_rng([seed, 77]).uniform(0, 1) / cell.rate_hz
    samples, _ = simulate([cell.exposure()], cell.line(), lead_s=LEAD_S + phase, tail_s=TAIL_S, seed=seed)
    begin = time.process_time()
    listener = LightListener(sample_rate_hz=cell.rate_hz)
    firings = (*listener.feed(Block(samples, cell.rate_hz, 0)), *listener.close())
    return (firings[0] if len(firings) == 1 else None), time.process_time() - begin


def run(firings: int = 2000, first: int = 0, last: int = 40) -> Iterator[dict[str, float]]:
    """Yield one row of results a cell."""
    for number, cell in list(enumerate(cells()))[first:last]:
        results = [measure(cell, seed) for seed in range(firings)]
        found = [f for f, _ in results if f is not None and f.effective_s is not None]
        error = np.array([f.effective_s - cell.effective_s for f in found])
        random = np.array([f.u_random_s for f in found])
        full = np.array([f.u_effective_s for f in found])
        bound = effective_time_bound_s(cell.exposure(), cell.line(), lead_s=LEAD_S, tail_s=TAIL_S)
        rmse = math.sqrt(float(np.mean(error**2)))
        yield {
            "cell": number,
            "lost": firings - len(found),
            "bound_us": bound * 1e6,
            "rmse_over_bound": rmse / bound,
            "bias_us": float(np.mean(error)) * 1e6,
            "bias_se_us": float(np.std(error)) * 1e6 / math.sqrt(len(error)),
            "cover_random": float(np.mean(np.abs(error) < 1.96 * random)),
            "cover_full": float(np.mean(np.abs(error) < 1.96 * full)),
            "ms": 1e3 * sum(spent for _, spent in results) / firings,
        }


def verdict(row: dict[str, float], cell: Cell) -> str:
    """Return what a row misses; nothing when it keeps every limit."""
    most = 1.6 if cell.noise_db <= 20 else 1.2
    missed = {
        "lost": row["lost"] > 0,
        "rmse": row["rmse_over_bound"] > most,
        "bias": abs(row["bias_us"]) > max(0.1 * row["bound_us"], 2.0),
        "cover": not 0.92 <= row["cover_random"] <= 0.98,
        "full": row["cover_full"] < 0.92,
    }
    return " ".join(name for name, true in missed.items() if true)


def main(brief: bool = False) -> Sequence[Figure]:
    """Print one line a cell."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--firings", type=int, default=100 if brief else 2000)
    parser.add_argument("--cells", default="0:40")
    options = parser.parse_args()
    first, last = (int(part) for part in options.cells.split(":"))
    print("cell   rate  open close shapes  eff ms coupling dB | bound us rmse/b   bias±se us  cover  full    ms missed")
    worst = {"loud": 0.0, "quiet": 0.0, "bias": 0.0, "cover": 1.0}
    missed = 0
    for row in run(options.firings, first, last):
        cell = cells()[int(row["cell"])]
        coupling = cell.coupling_hz[0] if cell.coupling_hz else 0
        print(
            f"{row['cell']:4.0f} {cell.rate_hz:6.0f}  {cell.opening_s * 1e3:.1f}  {cell.closing_s * 1e3:.1f}   "
            f"{cell.shapes[0][0]}{cell.shapes[1][0]} {cell.effective_s * 1e3:9.2f} {coupling:5.0f} Hz "
            f"{cell.noise_db:3.0f} | "
            f"{row['bound_us']:7.3f} {row['rmse_over_bound']:7.3f} {row['bias_us']:7.3f}±{row['bias_se_us']:.3f} "
            f"{row['cover_random']:6.3f} {row['cover_full']:6.3f} {row['ms']:5.1f} {verdict(row, cell)}",
            flush=True,
        )
        noisy = "loud" if cell.noise_db <= 20 else "quiet"
        worst[noisy] = max(worst[noisy], row["rmse_over_bound"])
        worst["bias"] = max(worst["bias"], abs(row["bias_us"]))
        worst["cover"] = min(worst["cover"], row["cover_full"])
        missed += bool(verdict(row, cell))
    said = f"{options.firings} firings a cell"
    return (
        Figure(f"timing against the Cramer-Rao bound, 40 dB and above, {said}", f"RMSE {worst['quiet']:.2f} of it",
               "<= 1.2", worst["quiet"] <= 1.2),
        Figure(f"timing against the Cramer-Rao bound, 20 dB, {said}", f"RMSE {worst['loud']:.2f} of it", "<= 1.6",
               worst["loud"] <= 1.6),
        Figure("largest bias of a cell", f"{worst['bias']:.2f} us"),
        Figure("truth within 1.96 u, worst cell", f"{worst['cover']:.3f}", ">= 0.92", worst["cover"] >= 0.92),
        Figure("cells that miss any of their bounds (scatter of few firings counts)", f"{missed} of {last - first}"),
    )  # fmt: skip


if __name__ == "__main__":
    main()
