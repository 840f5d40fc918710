"""Run every benchmark of this folder, or those named: ``python -m benchmarks springs_choose``.

They are run one after the other, one thread to each numeric library, and each prints its figures as they come; at the
end all stand in one table with the bounds they are held to. With ``--brief`` fewer shutters and firings are drawn.
Timings on a busy machine are worse than on a quiet one; say how it was when quoting them.
"""

import importlib
import os
import sys
import time
from pathlib import Path

for threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ.setdefault(threads, "1")


def main(arguments: list[str]) -> None:
    """Run the named benchmarks, or all."""
    from benchmarks._table import Figure, table

    brief, names = "--brief" in arguments, [name for name in arguments if name != "--brief"]
    figures: list[Figure] = []
    known = sorted(path.stem for path in Path(__file__).parent.glob("[!_]*.py"))
    unknown = set(names) - set(known)
    if unknown:
        sys.exit(f"no benchmark {', '.join(sorted(unknown))}; there are {', '.join(known)}")
    sys.argv = sys.argv[:1]
    for name in names or known:
        print(f"\n== {name.replace('_', ' ')}")
        begun = time.perf_counter()
        figures += importlib.import_module(f"benchmarks.{name}").main(brief=brief)
        print(f"   ({time.perf_counter() - begun:.0f} s)")
    print(f"\n{table(figures)}")


main(sys.argv[1:])
