"""Files are written whole or not at all, one or several, whatever goes wrong in the middle."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest
import replanning
from faults import HULLS
from test_written import contents

from scrieve.shared import whole_files
from scrieve.shared.errors import UseError
from scrieve.shared.whole_files import write_each, write_files
from scrieve.viewer.verbs.commands import run

LINES = str(HULLS / "pram" / "lines.toml")
NEW = {"plan.toml": b"new", "frames/1.dxf": b"new 1", "sheets/a/b.dxf": b"new b"}
OLD = {"plan.toml": b"old", "frames/1.dxf": b"old 1", "frames/9.dxf": b"old 9", "notes.txt": b"mine"}

NEWER = {"plan.toml": b"new", "frames/1.dxf": b"new", "more/2.dxf": b"new"}


@pytest.fixture(params=["a folder that is there", "one that is not", "nor the one above"])
def folder(request, tmp_path: Path) -> Path:
    """A place for files, with others in it or not there."""
    place = tmp_path / "above" / "boat"
    if request.param == "a folder that is there":
        for name, content in OLD.items():
            (place / name).parent.mkdir(parents=True, exist_ok=True)
            (place / name).write_bytes(content)
    elif request.param == "one that is not":
        place.parent.mkdir()
    return place


def everything(folder: Path) -> set[Path]:
    return set(folder.rglob("*"))


def test_several_files_are_put_beside_those_that_are_there(folder, tmp_path):
    before = contents(folder)
    write_files(folder, NEW)
    assert contents(folder) == before | NEW
    assert everything(tmp_path) - everything(folder) == {folder.parent, folder}


@pytest.mark.parametrize("way", ["_write", "os.rename", "Path.mkdir"])
def test_wherever_it_fails_all_is_as_it_was(folder, way, tmp_path, monkeypatch):
    before, held = everything(tmp_path), contents(tmp_path)
    where, name = {
        "_write": (whole_files, "_write"),
        "os.rename": (os, "rename"),
        "Path.mkdir": (Path, "mkdir"),
    }[way]
    real = getattr(where, name)
    for fails in range(20):
        calls = 0

        def failing(*given, fails=fails, **how):
            nonlocal calls
            calls += 1
            if calls == fails + 1:
                raise OSError(28, "No space left on device")
            return real(*given, **how)

        with monkeypatch.context() as patched:
            patched.setattr(where, name, failing)
            try:
                write_files(folder, NEW)
            except UseError as error:
                assert str(error) == f"{folder}: cannot be written (No space left on device)"
            else:
                assert fails >= 1  # it was called that often, and no more
                return
        assert (everything(tmp_path), contents(tmp_path)) == (before, held)
    raise AssertionError("it never ended")


def test_being_told_to_stop_leaves_all_as_it_was_at_whatever_moment(tmp_path):
    place = tmp_path / "boat"
    write_files(place, OLD)
    code = """
        import os, signal, sys
        from pathlib import Path
        from scrieve.shared.whole_files import write_files
        from scrieve.viewer.system.stopping import end_when_told
        end_when_told()
        count, at = 0, int(sys.argv[2])
        def stopping(event, about):
            global count
            if event in ("open", "os.rename", "os.mkdir") and ".scrieve-" in str(about):
                count += 1
                if count == at:
                    os.kill(os.getpid(), signal.SIGTERM)
        sys.addaudithook(stopping)
        write_files(Path(sys.argv[1]), {name: b"new" for name in sys.argv[3:]})
        sys.exit(count)
    """
    command = [sys.executable, "-c", textwrap.dedent(code), str(place)]
    many = subprocess.run([*command, "0", *NEWER], timeout=60, check=False).returncode
    assert many > 8
    for at in range(1, many + 1, 3):
        write_files(place, OLD)
        for name in ("more/2.dxf", "more"):
            ((path := place / name).is_dir() and path.rmdir()) or path.unlink(missing_ok=True)
        assert subprocess.run([*command, str(at), *NEWER], timeout=60, stderr=subprocess.DEVNULL).returncode == 143
        held = contents(place)
        assert held == OLD or (held == OLD | NEWER and at > many / 2)  # told while the old files are thrown away
        assert not [path for path in everything(tmp_path) if ".scrieve-" in path.name]


# ---- one file


@pytest.mark.parametrize("way", ["several", "one"])
def test_permissions_are_kept_and_the_umask_obeyed(way, tmp_path):
    def put(name: str) -> int:
        if way == "one":
            write_each([(tmp_path / name, b"new", name)])
        else:
            write_files(tmp_path, {name: b"new"})
        assert (tmp_path / name).read_bytes() == b"new"
        return stat.S_IMODE((tmp_path / name).stat().st_mode)

    old = tmp_path / "old"
    old.write_text("old")
    for mode in (0o600, 0o444, 0o664):
        old.chmod(mode)
        assert put("old") == mode
    before = os.umask(0o027)
    try:
        assert put("new") == 0o640
    finally:
        os.umask(before)


def test_a_link_planted_in_its_way_is_not_followed(tmp_path, monkeypatch):
    monkeypatch.setattr(whole_files, "token_hex", lambda _: "guessed")
    (tmp_path / "mine").write_text("mine")
    (tmp_path / ".scrieve-guessed.part").symlink_to(tmp_path / "mine")
    with pytest.raises(UseError, match="File exists"):
        write_each([(tmp_path / "out", b"new", "out")])
    assert (tmp_path / "mine").read_text() == "mine"
    assert not (tmp_path / "out").exists()


def test_files_in_several_folders_are_written_all_or_none(tmp_path, monkeypatch):
    """Whichever call fails: what stood at each place stands there still, and nothing else."""
    places = [tmp_path / name for name in ("a/old", "b/new", "c/old")]
    for place in places:
        place.parent.mkdir()
    for place in (places[0], places[2]):
        place.write_bytes(b"old")
    before, held, real = everything(tmp_path), contents(tmp_path), os.rename
    for fails in range(9):
        calls = 0

        def failing(*given, fails=fails):
            nonlocal calls
            calls += 1
            if calls == fails + 1:
                raise OSError(28, "No space left on device")
            return real(*given)

        with monkeypatch.context() as patched:
            patched.setattr(os, "rename", failing)
            try:
                write_each([(place, b"new", place.name) for place in places])
            except UseError:
                assert (everything(tmp_path), contents(tmp_path)) == (before, held)
                continue
        assert fails == 5  # two for each that is replaced, one for each that is new
        assert [place.read_bytes() for place in places] == [b"new"] * 3
        assert len(everything(tmp_path)) == len(before) + 1
        return
    raise AssertionError("it never ended")


WRITERS = {
    "check": "check PLAN --only station --output OUT.json --format json",
    "cures": "check PLAN --only station --cure OUT.csv",
    "steps": "steps PLAN --output OUT.txt",
    "board": "board PLAN OUT.dxf",
    "share": "share PLAN OUT.html",
    "export": "export PLAN OUT.3mf",
    "picture": "picture PLAN OUT.svg --frame 2",
    "draft": f"draft {LINES} OUT",
}


def given(writer: str, plan: Path, out: Path) -> list[str]:
    return [word.replace("PLAN", str(plan)).replace("OUT", str(out)) for word in WRITERS[writer].split()]


@pytest.mark.parametrize("writer", WRITERS)
def test_a_full_disk_leaves_nothing_and_is_told_in_a_line(writer, tmp_path):
    """A limit on the size of files stands for it: the system refuses the same write."""
    code = """
        import resource, sys
        from scrieve.viewer.verbs.commands import run
        resource.setrlimit(resource.RLIMIT_FSIZE, (64, 64))
        sys.exit(run(sys.argv[1:]))
    """
    command = [sys.executable, "-B", "-c", textwrap.dedent(code), *given(writer, HULLS / "pram", tmp_path / "out")]
    done = subprocess.run(command, capture_output=True, text=True, timeout=300, check=False)
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1 and "cannot be written (File too large)" in done.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("writer", sorted(set(WRITERS) - {"draft"}))
def test_a_name_may_be_as_long_as_the_system_allows(writer, tmp_path, capsys):
    assert run(given(writer, HULLS / "pram", tmp_path / ("o" * 246))) == 0
    assert len(list(tmp_path.iterdir())) == 1


def test_a_draft_that_fails_leaves_the_plan_it_would_replace(tmp_path, monkeypatch, capsys):
    plan = replanning.copy_of(HULLS / "skiff", tmp_path / "boat")
    before, real = contents(plan), whole_files._write

    def full(part: Path, content: bytes, *, like: Path) -> None:
        if like.name == "3.dxf":
            raise OSError(28, "No space left on device")
        real(part, content, like=like)

    monkeypatch.setattr(whole_files, "_write", full)
    assert run(["draft", LINES, str(plan), "--replace"]) == 2
    assert capsys.readouterr().err == f"{plan}: cannot be written (No space left on device)\n"
    assert contents(plan) == before
