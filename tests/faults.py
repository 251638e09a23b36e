"""The faults of `hulls/skiff-with-faults`, and the command that plants them in the skiff.

python tests/faults.py        makes the folder anew from hulls/skiff
"""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

import faults_of_battens
import faults_of_board
import faults_of_dowels
import faults_of_fit
import faults_of_joints
import faults_of_order
import faults_of_sheets
import faults_of_steps
from planting import Fault, planted, readme

HULLS = Path(__file__).parents[1] / "hulls"
SOUND, FAULTY = HULLS / "skiff", HULLS / "skiff-with-faults"

FAULTS: tuple[Fault, ...] = (
    *faults_of_fit.FAULTS,
    *faults_of_battens.FAULTS,
    *faults_of_joints.FAULTS,
    *faults_of_dowels.FAULTS,
    *faults_of_board.FAULTS,
    *faults_of_order.FAULTS,
    *faults_of_steps.FAULTS,
    *faults_of_sheets.FAULTS,
)

if __name__ == "__main__":
    target = Path(sys.argv[1]) if len(sys.argv) > 1 else FAULTY
    shutil.rmtree(target, ignore_errors=True)
    planted(SOUND, target, FAULTS)
    (target / "README.md").write_text(readme(FAULTS), encoding="utf-8")
