"""Paths in reports: told from where the command was given, or from the checkout around it."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

import making
import pytest
from reported import BOAT, FOUL, STATION, report

from scrieve.viewer.reports.located import path_of, place_of, relative, root_of
from scrieve.viewer.reports.report import Report


def test_the_root_is_where_the_command_was_given(tmp_path):
    assert root_of(tmp_path, {}) == tmp_path


def test_on_a_runner_it_is_the_checkout_around_that_place(tmp_path):
    (tmp_path / "boats").mkdir()
    assert root_of(tmp_path / "boats", {"GITHUB_WORKSPACE": str(tmp_path)}) == tmp_path
    assert root_of(tmp_path, {"GITHUB_WORKSPACE": str(tmp_path / "boats")}) == tmp_path


def test_a_checkout_reached_by_a_link_is_the_same(tmp_path):
    (tmp_path / "real").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "real")
    assert root_of(tmp_path / "real", {"GITHUB_WORKSPACE": str(tmp_path / "link")}) == tmp_path / "real"


@pytest.mark.parametrize(
    ("given", "shown"),
    [("hulls/skiff", "hulls/skiff"), ("./hulls//skiff/", "hulls/skiff"), ("", ""), (".", "."), ("../x", "../x")],
)
def test_a_path_is_told_from_the_root(given, shown):
    assert relative(given, Path.cwd()) == shown


def test_an_absolute_path_and_one_from_deeper_in_are_told_from_the_root_too(tmp_path, monkeypatch):
    (tmp_path / "boats").mkdir()
    monkeypatch.chdir(tmp_path / "boats")
    assert relative(str(tmp_path / "boats" / "skiff"), tmp_path) == "boats/skiff"
    assert relative("skiff", tmp_path) == "boats/skiff"


def test_a_findings_file_stands_beside_the_plan_file():
    root = Path(os.getcwd())
    assert path_of(FOUL, report(), root) == "hulls/burdock/frames/5.dxf"
    assert path_of(BOAT, report(), root) == "hulls/burdock/plan.toml"
    assert path_of(FOUL, report(plan="b", file="b/other.toml"), root) == "b/frames/5.dxf"


@pytest.mark.parametrize(
    ("plan", "file"),
    [("hulls/x", "hulls/x/plan.toml"), ("hulls/x/", "hulls/x/plan.toml"), (".", "./plan.toml"), ("a/plan.toml",) * 2],
)
def test_a_report_knows_its_plan_file_from_how_the_plan_was_named(plan, file):
    boat = making.assembly([making.frame([making.part("side", making.rectangle(0, 0, 10, 10))])])
    assert Report.of(boat, (), plan=plan, ran=(), left_out=()).file == file


def test_what_is_known_of_the_place_in_a_file_is_told():
    assert place_of(FOUL, "a.dxf") == "a.dxf, object 2F"
    assert place_of(STATION, "plan.toml") == "plan.toml:41"
    assert place_of(replace(FOUL, source=None), "plan.toml") == "plan.toml"
