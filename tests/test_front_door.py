"""The front door for scripts: what is public, what it loads, and that the README's example runs."""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
import pytest
from test_house import loaded_by
from test_readme import blocks

import scrieve.model
from scrieve.model import Assembly, Finding, ScrieveError, check, open_plan

ROOT = Path(__file__).parents[1]


def example() -> str:
    return next(block for block in blocks() if "from scrieve.model import" in block)


def test_every_public_name_is_there_and_described():
    for name in scrieve.model.__all__:
        assert getattr(scrieve.model, name).__doc__ or name == "Mark", name
    assert scrieve.model.__all__ == sorted(scrieve.model.__all__)
    with pytest.raises(AttributeError, match="has no attribute 'assemble_all'"):
        _ = scrieve.model.assemble_all


def test_the_example_of_the_readme_runs_and_asks_for_nothing_that_is_not_public(monkeypatch, capsys):
    monkeypatch.chdir(ROOT)
    known: dict[str, object] = {}
    exec(example(), known)
    assert len([line for line in example().splitlines() if line]) <= 10
    assert known["boat"].frames and known["mass"] > 10
    said = capsys.readouterr().out
    assert "past the frame's outer line" in said and "Region" in said and "Span" in said


def test_the_door_loads_nothing_until_asked_and_never_a_screen():
    assert not loaded_by("import scrieve.model") & {"numpy", "shapely", "ezdxf"}
    loaded = loaded_by(example())
    assert not loaded & {"vtk", "vtkmodules", "pyvista", "PySide6", "cyclopts", "rich", "scipy", "trimesh"}


def test_marks_come_as_arrays_in_hull_axes():
    boat = open_plan(ROOT / "hulls" / "skiff-with-faults")
    assert isinstance(boat, Assembly)
    found = check(boat, only=["proud"])
    assert found and all(isinstance(finding, Finding) for finding in found)
    for mark in (mark for finding in found for mark in finding.evidence):
        assert np.array(mark.points).shape == (len(mark.points), 3)
    span = found[0].evidence[0]
    assert np.linalg.norm(np.array(span.points)[1] - np.array(span.points)[0]) == pytest.approx(
        found[0].measured, abs=0.02
    )
    assert np.linalg.norm(np.array(span.points) - found[0].at, axis=1).min() < 0.02


def test_what_cannot_be_done_is_a_scrieve_error(tmp_path):
    with pytest.raises(ScrieveError, match=r"plan\.toml"):
        open_plan(tmp_path)
    with pytest.raises(ScrieveError, match=r'no such check \(got "prud"; did you mean "proud"\?\)'):
        check(open_plan(ROOT / "hulls" / "pram"), only=["prud"])


def test_a_waiver_of_the_plan_is_kept(tmp_path):
    waiver = '\n[[waivers]]\ncheck = "foul"\nwhere = "F1"\nreason = "none"\n'
    plan = Path(shutil.copytree(ROOT / "hulls" / "pram", tmp_path / "pram")) / "plan.toml"
    plan.write_text(plan.read_text(encoding="utf-8") + waiver, encoding="utf-8")
    (note,) = check(open_plan(plan.parent), only=["foul"])
    assert "meets no finding" in note.message
