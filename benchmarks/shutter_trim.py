"""In how many moves simulated shutters come within tolerance, following the proposals.

Each shutter is drawn anew, set right, and then k of its adjusters are put off; so every one of them can be
reached. Somebody with an unsteady hand follows what is said: he nudges (each time by what he thinks is needed,
half as much again or half of it), tightens (which shifts it), fires the pilot speed once, and goes on until the
reading is in the band, eight nudges at most: that is one move. Then he fires the whole dial, three shots a speed.

``python benchmarks/shutter_trim.py --shutters 60``
"""

import argparse
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from benchmarks._table import Figure
from numpy.typing import NDArray

from asfound.shutter.simulated.faulty import SCATTER, UNEVEN_STOPS, Cameras, draw_cameras
from asfound.shutter.speeds.groups import USUAL_TRAIN
from asfound.shutter.speeds.series import Shot, Speed
from asfound.shutter.trimming.effects import Adjuster, Kind, Move
from asfound.shutter.trimming.trim import Aim, next_move

MARKS = {"1": 1.0} | {f"1/{n}": 1 / n for n in (2, 5, 10, 25, 50, 100, 250)}
NOMINAL = np.array(list(MARKS.values()))
TOLERANCE = [1 / 3] * 7 + [1 / 2]
SHOTS, NUDGES = 3, 8
Floats = NDArray[np.float64]


@dataclass
class Shutter:
    """One simulated shutter, where its adjusters stand, and the chance in everything done to it."""

    camera: Cameras
    uneven: Floats
    generator: np.random.Generator
    stands: dict[Kind, float]
    nudges: int = 0

    def times_s(self) -> Floats:
        """Return the true times as the adjusters stand."""
        m = self.camera.mechanism
        drive = 2.0 ** self.stands.get("main spring", 0.0)
        moved = replace(
            m,
            torque_n_mm=m.torque_n_mm * drive,
            fall_n_mm_rad=m.fall_n_mm_rad * drive,
            pallet_inertia_g_mm2=m.pallet_inertia_g_mm2 * 2.0 ** self.stands.get("pallet", 0.0),
        )
        arc = self.camera.train_arc_rad + 0.03 * self.stands.get("engagement", 0.0)
        return self.camera.times_s(moved, arc)[0, :, 0] * 2.0**self.uneven

    def fire(self, shots: int) -> Floats:
        """Return so many shots at each speed."""
        return self.times_s()[:, None] * (1 + SCATTER * self.generator.normal(size=(NOMINAL.size, shots)))

    def follow(self, aim: Aim) -> None:
        """Nudge until the pilot reads in the band."""
        pilot, kind = list(MARKS).index(aim.pilot), kind_of(aim.adjuster)
        reading = aim.now_s
        slope = self.feel(pilot, kind)
        for _ in range(NUDGES):
            wanted = math.log2(aim.aim_s / reading) / slope
            hand = float(np.clip(wanted * self.generator.uniform(0.5, 1.5), -1, 1))
            self.stands[kind] += hand + 0.03 / abs(slope) * self.generator.normal()
            self.nudges += 1
            reading = float(self.fire(1)[pilot, 0])
            if aim.low_s <= reading <= aim.high_s:
                return

    def feel(self, pilot: int, kind: Kind) -> float:
        """Return roughly how far the pilot goes for a small travel: what a hand learns at the first nudge."""
        here = self.stands[kind]
        ends = []
        for step in (-0.5, 0.5):
            self.stands[kind] = here + step
            ends.append(self.times_s()[pilot])
        self.stands[kind] = here
        sign = -1.0 if kind == "main spring" else 1.0
        return sign * max(0.1, abs(float(np.log2(ends[1] / ends[0]))))


def kind_of(name: str) -> Kind:
    """Return the kind of an adjuster by its name."""
    kinds: dict[str, Kind] = {"engagement": "engagement", "pallet": "pallet", "main spring": "main spring"}
    return kinds[name]


def put_off(adjusters: tuple[Kind, ...], seed: int) -> Shutter:
    """Return a shutter with these adjusters off, its largest error between 0.5 and 2 stops."""
    generator = np.random.default_rng(seed)
    while True:
        camera = draw_cameras(1, list(NOMINAL), generator)
        stands = {kind: float(generator.uniform(-2, 2)) for kind in adjusters}
        shutter = Shutter(camera, generator.normal(0, UNEVEN_STOPS, NOMINAL.size), generator, stands)
        times = shutter.times_s()
        if np.all(np.isfinite(times)) and 0.5 <= np.max(np.abs(np.log2(times / NOMINAL))) <= 2:
            return shutter


def series(shots: Floats) -> tuple[Speed, ...]:
    """Return shots as the planner takes them."""
    return tuple(
        Speed(marked=m, nominal_s=t, group=USUAL_TRAIN.group(t), shots=tuple(Shot(time_s=float(x)) for x in row))
        for (m, t), row in zip(MARKS.items(), shots, strict=True)
    )


def trim(shutter: Shutter, adjusters: tuple[Kind, ...], most: int) -> tuple[int, str]:
    """Return the number of moves until the planner says it is within (or gives up), and its last word."""
    u = np.full(NOMINAL.size, SCATTER / math.log(2) / math.sqrt(SHOTS))
    moves: list[Move] = []
    shots = shutter.fire(SHOTS)
    for count in range(most + 1):
        planned = next_move(
            series(shots),
            tolerance_stops=TOLERANCE,
            u_stops=list(u),
            adjusters=[Adjuster(kind) for kind in adjusters],
            moves=moves,
        )
        if planned.verdict != "move" or count == most:
            return count, planned.verdict
        shutter.follow(planned.aims[0])
        before, shots = shots, shutter.fire(SHOTS)
        name = planned.aims[0].adjuster
        moves.append(Move(adjuster=name, before_s=before.mean(axis=1), after_s=shots.mean(axis=1), u_stops=u))
    raise AssertionError


def main(brief: bool = False) -> Sequence[Figure]:
    """Print for each set of adjusters how often the bound is kept."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--shutters", type=int, default=10 if brief else 60, help="of each set of adjusters")
    parser.add_argument("--seed", type=int, default=1000)
    asked = parser.parse_args()
    sets: list[tuple[Kind, ...]] = [
        ("engagement",), ("pallet",), ("engagement", "pallet"), ("engagement", "pallet", "main spring"),
    ]  # fmt: skip
    print(
        "adjusters                        k   within, said and true, in k+2   mean moves  nudges  gave up  wrongly done"
    )
    figures = []
    for adjusters in sets:
        k, good, moved, nudged, gave_up, wrong = len(adjusters), 0, [], [], 0, 0
        for n in range(asked.shutters):
            shutter = put_off(adjusters, asked.seed + n)
            count, last = trim(shutter, adjusters, k + 2)
            true = bool(np.all(np.abs(np.log2(shutter.times_s() / NOMINAL)) <= TOLERANCE))
            good += last == "within" and true
            wrong += last == "within" and not true
            gave_up += last == "out of reach"
            moved.append(count)
            nudged.append(shutter.nudges)
        share = good / asked.shutters
        print(
            f"{', '.join(adjusters):<32} {k}   {share:>6.3f} (wanted: 0.90) {np.mean(moved):>20.2f} "
            f"{np.mean(nudged):>8.1f} {gave_up:>8} {wrong:>8}"
        )
        told = f"trimmed within k + 2 moves, {asked.shutters} shutters (own simulator): {', '.join(adjusters)}"
        figures.append(Figure(told, f"{share:.2f} of them", ">= 0.90", share >= 0.9))
    said = sum(beyond_reach(asked.seed + n) for n in range(asked.shutters))
    print(
        f"one stop slow at the top speed, engagement and pallet to move: out of reach, said of {said}/{asked.shutters}"
    )
    return figures


def beyond_reach(seed: int) -> bool:
    """Return whether a weak booster is called out of reach of engagement and pallet, within four moves."""
    shutter = put_off(("engagement", "pallet"), seed)
    shutter.uneven[-1] += 1.0
    return trim(shutter, ("engagement", "pallet"), 4)[1] == "out of reach"


if __name__ == "__main__":
    main()
