"""How long `scrieve check` takes as a whole process, as a multiple of importing what it depends on.

    python tests/bench/process_time.py [PLAN]

Both are started anew and by turns, so that a busy machine slows them alike; medians are compared.
The budget is 2 (whole process of a 7-frame plan against the imports alone).
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from pathlib import Path

# pydantic, cyclopts and rich load next to nothing until something is asked of them: what any use of them needs is asked
DEPENDENCIES = "import numpy, shapely, ezdxf, manifold3d; from pydantic import BaseModel; from cyclopts import App; \
from rich.progress import Progress"
BUDGET = 2.0
ROUNDS = 9


def seconds(command: list[str]) -> float:
    """Wall time of one process, which must end 0."""
    start = time.perf_counter()
    # compiled modules are kept, as they are once anybody has run it
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    subprocess.run(command, check=True, capture_output=True, env=kept)
    return time.perf_counter() - start


def main() -> None:
    """Prints both medians and their ratio."""
    root = Path(__file__).parents[2]
    plan = sys.argv[1] if len(sys.argv) > 1 else str(root / "hulls" / "skiff")
    imports = [sys.executable, "-c", DEPENDENCIES]
    check = [sys.executable, "-c", "from scrieve.viewer.verbs.commands import main; main()", "check", plan]
    seconds(imports), seconds(check)  # both once unmeasured, so that neither pays for a cold disk
    rounds = [(seconds(imports), seconds(check)) for _ in range(ROUNDS)]
    base, whole = (statistics.median(column) for column in zip(*rounds, strict=True))
    print(f"importing the dependencies  {1000 * base:6.0f} ms")
    print(f"scrieve check               {1000 * whole:6.0f} ms")
    print(f"ratio                       {whole / base:6.2f}    (budget {BUDGET:g})")


if __name__ == "__main__":
    main()
