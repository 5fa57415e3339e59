"""How much of a start is ours: ``python tests/benchmarks/bench_import.py`` from the checkout.

Builds a wheel into an environment of its own, because an editable install finds modules in a slower way,
and compares with the bare interpreter of that environment. The budget: 1.3 for the import, 1.6 with a call.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
import venv
from pathlib import Path

ROOT = Path(__file__).parents[2]
ROUNDS = 60
STARTS = {
    "bare interpreter": "pass",
    "import weavefuncs": "import weavefuncs",
    "import and one call": "import weavefuncs; weavefuncs.ends(15, 24)",
    "import, yarn and weave": "import weavefuncs; weavefuncs.sett_from_diameters('8/2 Ne', 'plain')",
}


def main() -> None:
    """Print the shortest start of each kind, and its ratio to the bare interpreter."""
    with tempfile.TemporaryDirectory() as folder:
        venv.create(folder, with_pip=True)
        python = next(Path(folder).glob("[bS]*/python*"))
        subprocess.run([python, "-m", "pip", "install", "-q", "--no-deps", ROOT], cwd=folder, check=True)
        shortest = dict.fromkeys(STARTS, float("inf"))
        for _ in range(ROUNDS):
            for name, code in STARTS.items():
                started = time.perf_counter()
                subprocess.run([python, "-c", code], cwd=folder, check=True)
                shortest[name] = min(shortest[name], time.perf_counter() - started)
        bare = shortest["bare interpreter"]
        for name, seconds in shortest.items():
            print(f"{name:40} {1000 * seconds:6.1f} ms  {seconds / bare:5.2f}")
        check = (
            "import sys, weavefuncs; weavefuncs.ends(15, 24); print({'numpy', 'pandas'} & set(sys.modules))"
        )
        loaded = subprocess.run([python, "-c", check], cwd=folder, check=True, capture_output=True, text=True)
        print(f"numpy or pandas loaded: {'no' if loaded.stdout.strip() == 'set()' else 'YES'}")


if __name__ == "__main__":
    sys.exit(main())
