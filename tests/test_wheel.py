"""The wheel that people install. NEEDS THE NETWORK: building fetches the build backend from the package index."""

from __future__ import annotations

import shutil
import subprocess
import sys
import tomllib
from email.parser import Parser
from pathlib import Path
from zipfile import ZipFile

import pytest

ROOT = Path(__file__).parents[1]
FOLDERS = ("shared", "model", "viewer")
LEFT_BEHIND = shutil.ignore_patterns(".*", "build", "dist", "*.egg-info", "__pycache__", "hulls", "tests")


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> ZipFile:
    """The wheel, built from a copy so that nothing is left in the tree and nothing old gets in."""
    place = tmp_path_factory.mktemp("wheel")
    shutil.copytree(ROOT, place / "tree", ignore=LEFT_BEHIND)
    built = subprocess.run(
        [sys.executable, "-m", "build", "--wheel", "--outdir", str(place / "dist"), str(place / "tree")],
        capture_output=True,
        text=True,
        timeout=300,
    )
    assert built.returncode == 0, built.stdout + built.stderr
    (made,) = (place / "dist").glob("*.whl")
    return ZipFile(made)


def test_the_wheel_holds_every_module_of_the_tree_and_no_other(wheel):
    inside = {name for name in wheel.namelist() if ".dist-info/" not in name}
    files = (path for folder in FOLDERS for path in (ROOT / folder).rglob("*"))
    wanted = {
        f"scrieve/{path.relative_to(ROOT).as_posix()}"
        for path in files
        if path.is_file() and "__pycache__" not in path.parts
    }
    assert inside == wanted


def test_the_wheel_says_its_name_version_and_command(wheel):
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    folder = f"{project['name']}-{project['version']}.dist-info"
    metadata = Parser().parsestr(wheel.read(f"{folder}/METADATA").decode("utf-8"))
    assert (metadata["Name"], metadata["Version"]) == (project["name"], project["version"])
    assert metadata["License-Expression"] == "MIT"
    assert "scrieve = scrieve.viewer.command:main" in wheel.read(f"{folder}/entry_points.txt").decode("utf-8")
    assert any(name.endswith("licenses/LICENSE") for name in wheel.namelist())


def test_the_types_are_shipped(wheel):
    assert {f"scrieve/{folder}/py.typed" for folder in FOLDERS} <= set(wheel.namelist())
