"""Run every benchmark of this folder, or those named: ``python -m benchmarks springs_choose``.

They are run one after the other, one thread to each numeric library, and each prints its figures with the bounds it is
held to. Timings on a busy machine are worse than on a quiet one; say how it was when quoting them.
"""

import importlib
import os
import sys
import time
from pathlib import Path

for threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ.setdefault(threads, "1")


def main(names: list[str]) -> None:
    """Run the named benchmarks, or all."""
    known = sorted(path.stem for path in Path(__file__).parent.glob("[!_]*.py"))
    unknown = set(names) - set(known)
    if unknown:
        sys.exit(f"no benchmark {', '.join(sorted(unknown))}; there are {', '.join(known)}")
    sys.argv = sys.argv[:1]
    for name in names or known:
        print(f"\n== {name.replace('_', ' ')}")
        begun = time.perf_counter()
        importlib.import_module(f"benchmarks.{name}").main()
        print(f"   ({time.perf_counter() - begun:.0f} s)")


main(sys.argv[1:])
