"""The faults of `hulls/skiff-with-faults`, and the command that plants them in the skiff.

python tests/faults.py        makes the folder anew from hulls/skiff
"""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

import faults_of_fit
from planting import Fault, planted, readme

HULLS = Path(__file__).parents[1] / "hulls"
SOUND, FAULTY = HULLS / "skiff", HULLS / "skiff-with-faults"

FAULTS: tuple[Fault, ...] = (*faults_of_fit.FAULTS,)

if __name__ == "__main__":
    target = Path(sys.argv[1]) if len(sys.argv) > 1 else FAULTY
    shutil.rmtree(target, ignore_errors=True)
    planted(SOUND, target, FAULTS)
    (target / "README.md").write_text(readme(FAULTS), encoding="utf-8")
