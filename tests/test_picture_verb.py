"""`scrieve picture` from the command line: what it writes, what it refuses, and where it cannot be done."""

from __future__ import annotations

import os
import subprocess
import sys
from contextlib import AbstractContextManager
from importlib.util import find_spec
from pathlib import Path

import pytest
from picture_making import HULLS, boat, drawn, finding_of, pixels, without_screen, words_in

from scrieve.viewer.pictures import graphics
from scrieve.viewer.pictures.graphics import WINDOW, Graphics
from scrieve.viewer.system import extra, probe
from scrieve.viewer.system.probe import Answer
from scrieve.viewer.verbs.commands import run

SKIFF, FAULTY = str(HULLS / "skiff"), str(HULLS / "skiff-with-faults")


@pytest.fixture(autouse=True)
def in_its_own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where pictures go, the environment kept as it is."""
    monkeypatch.chdir(tmp_path)
    without_screen(monkeypatch)
    return tmp_path


def process(*words: str, **environ: str) -> subprocess.CompletedProcess[str]:
    """The verb as a process of its own."""
    return subprocess.run(
        [sys.executable, "-c", "from scrieve.viewer.verbs.commands import main; main()", "picture", *words],
        capture_output=True,
        text=True,
        timeout=300,
        env={**os.environ, **environ},
    )


# ---- what it writes


def test_a_picture_of_the_whole_boat(capsys):
    assert run(["picture", FAULTY, "boat.png", "--size", "320x200", "--side", "quarter"]) == 0
    assert pixels(Path("boat.png").read_bytes()).shape == (200, 320, 3)
    out = capsys.readouterr().out
    assert out.startswith("wrote boat.png\n") and "--finding NUMBER" in out


def test_a_picture_is_never_written_over_without_leave(capsys):
    Path("boat.png").write_text("mine")
    assert run(["picture", SKIFF, "boat.png", "--size", "100x80", "--bare"]) == 2
    assert capsys.readouterr().err == "boat.png: is there already; --replace writes over it\n"
    assert Path("boat.png").read_text() == "mine"
    assert run(["picture", SKIFF, "boat.png", "--size", "100x80", "--bare", "--replace"]) == 0
    assert pixels(Path("boat.png").read_bytes()).shape == (80, 100, 3)


@pytest.mark.parametrize(
    "words",
    [
        ["--frame", "4"],
        ["--frame", "F4", "--side", "aft", "--bare"],
        ["--step", "12"],
        ["--finding", "3"],
        ["--all", "findings", "--frame", "4"],
    ],
)
def test_each_kind_of_picture(words):
    assert run(["picture", FAULTY, "out.png", "--size", "900x720", *words]) == 0
    assert pixels(Path("out.png").read_bytes()).std() > 3.0


def test_two_runs_write_the_same_bytes_with_a_display_and_without():
    for name, environ in (("a.png", {}), ("b.png", {"DISPLAY": "", WINDOW: ""})):
        done = process(FAULTY, name, "--size", "240x150", **environ)
        assert (done.returncode, done.stderr) == (0, "")
    assert Path("a.png").read_bytes() == Path("b.png").read_bytes()


def test_a_drawing_of_a_frame_and_of_a_finding():
    assert run(["picture", FAULTY, "frame.svg", "--frame", "3", "--side", "forward"]) == 0
    said = words_in(drawn(Path("frame.svg").read_text(encoding="utf-8")))
    assert "Teasel, F3" in said and any("seen from forward, port on the right" in words for words in said)
    number, finding = finding_of(boat("skiff-with-faults"), "joint-gap")
    assert run(["picture", FAULTY, "finding.svg", "--finding", str(number), "--size", "420x297"]) == 0
    root = drawn(Path("finding.svg").read_text(encoding="utf-8"))
    assert f"{finding.measured:.2f} mm" in words_in(root) and root.get("width") == "420mm"


def test_a_drawing_needs_nothing_but_the_base_install():
    code = (
        "import sys\n"
        "class Gone:\n"
        "    def find_spec(self, name, path=None, target=None):\n"
        "        if name.partition('.')[0] in ('vtkmodules', 'vtk', 'pyvista', 'PIL', 'matplotlib', 'trimesh'):\n"
        "            raise ModuleNotFoundError(name)\n"
        "sys.meta_path.insert(0, Gone())\n"
        "from scrieve.viewer.verbs.commands import run\n"
        "assert run(sys.argv[1:]) == 0\n"
        "print(*sorted({name.partition('.')[0] for name in sys.modules}))\n"
    )
    words = ["picture", FAULTY, "frame.svg", "--finding", "3"]
    done = subprocess.run([sys.executable, "-c", code, *words], capture_output=True, text=True, timeout=120)
    assert done.returncode == 0, done.stderr
    assert not set(done.stdout.split()) & {"scipy", "vtkmodules", "pyvista"}
    assert Path("frame.svg").stat().st_size > 10_000


def test_a_page_of_nothing_is_not_written(capsys):
    assert run(["picture", SKIFF, "out.png", "--all", "findings"]) == 0
    assert capsys.readouterr().out == "Teasel: no errors and no warnings; out.png was not written\n"
    assert not Path("out.png").exists()


# ---- what it refuses


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["out.jpg"], 'out.jpg: a name ending in .png, .svg or .webp is wanted (got ".jpg")'),
        (["out.webp", "--frame", "3"], "a moving picture shows steps: --all steps is wanted"),
        (["out.webp", "--all", "findings"], "a moving picture shows steps: --all steps is wanted"),
        (["out"], 'out: a name ending in .png, .svg or .webp is wanted (got "")'),
        (["out.svg"], "a drawing shows a frame or a finding: --frame NUMBER or --finding NUMBER is wanted"),
        (["out.svg", "--frame", "3", "--side", "port"], "frame's faces: --side aft or forward (got port)"),
        (["out.svg", "--step", "0", "--frame", "3"], "--step is for pictures: a name ending in .png is wanted"),
        (["out.png", "--step", "1", "--finding", "1"], "--step and --finding do not go together"),
        (["out.png", "--frame", "3", "--step", "1"], "--frame does not go with --step, which has its own"),
        (["out.png", "--finding", "1", "--bare"], "--bare goes with the whole boat or with --frame alone"),
        (["out.png", "--size", "20"], '--size must be a width and a height, such as 1600x1000 (got "20")'),
        (["out.png", "--size", "20x20"], "--size of a picture must be from 64x64 to 12000 points a side"),
        (["out.png", "--size", "12000x12000"], "50 million in all (got 12000x12000)"),
        (["out.png", "--size", "100.5x100"], "--size of a picture must be in whole points (got 100.5x100)"),
        (["out.svg", "--frame", "3", "--size", "100x100"], "--size of a drawing must be from 180x150 to 2000 mm"),
        (["out.png", "--all", "steps", "--size", "200x200"], "--size is too small for a page of"),
        (["out.png", "--frame", "33"], '--frame must name a frame (got "33"; did you mean "3"?)'),
        (["out.png", "--finding", "0"], "--finding must be from 1 to"),
        (["out.png", "--finding", "9999"], "--finding must be from 1 to"),
        (["out.png", "--step", "9999"], "--step must be from 1 to"),
        (["out.png", "--side", "prot"], '--side must be one of quarter, bow, starboard-quarter, starboard-bow, port'),
        (["out.png", "--all", "frames"], '--all must be one of steps, findings'),
        (["no/such/out.png"], "no/such/out.png: cannot be written: there is no such folder"),
    ],
)  # fmt: skip
def test_what_cannot_be_asked_is_told_in_a_line(words, said, capsys):
    assert run(["picture", FAULTY, *words]) == 2
    err = capsys.readouterr().err
    assert said in err and "Traceback" not in err
    assert not Path("out.png").exists() and not Path("out.svg").exists()


def test_all_that_is_wrong_is_told_at_once(capsys):
    assert run(["picture", FAULTY, "out.svg", "--step", "1", "--finding", "1", "--size", "1x1"]) == 2
    assert len(capsys.readouterr().err.splitlines()) == 3


def test_a_finding_of_the_whole_boat_has_no_drawing(capsys):
    number = next(n for n, f in enumerate(boat("skiff").findings, start=1) if not f.frame)
    assert run(["picture", SKIFF, "out.svg", "--finding", str(number)]) == 2
    assert (
        "belongs to no single frame, so it has no drawing: a name ending in .png is wanted" in capsys.readouterr().err
    )


def test_a_plan_that_cannot_be_read_is_told_and_no_process_is_left(capsys):
    assert run(["picture", "nowhere", "out.png"]) == 2
    assert len(capsys.readouterr().err.splitlines()) == 1


# ---- where it cannot be done


def test_without_the_extra_there_is_one_line_with_the_cure(monkeypatch, capsys):
    monkeypatch.setattr(extra, "find_spec", lambda name: None if name == "pyvista" else find_spec(name))
    assert run(["picture", SKIFF, "out.png"]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert 'pip install "scrieve[window]"' in line and ".svg" in line


def test_without_opengl_there_is_one_line_with_the_cure_and_not_a_segmentation_fault(capfd):
    done = process(SKIFF, "out.png", **{WINDOW: "vtkOSOpenGLRenderWindow"})
    assert done.returncode == 2
    (line,) = done.stderr.splitlines()
    assert "OpenGL" in line and "vtkOSOpenGLRenderWindow" in line and ".svg" in line
    assert not Path("out.png").exists()


def test_the_ways_to_render_are_tried_one_after_the_other(monkeypatch):
    tried = []

    class Stand(AbstractContextManager):
        """A process that ends as it is told to."""

        def __init__(self, module, environ):
            tried.append(environ[WINDOW])
            self.works = environ[WINDOW] == works

        def __exit__(self, *_):
            return None

        def answer(self, patience):
            return graphics.RENDERS if self.works else Answer((), -11)

    monkeypatch.setattr(graphics, "Probe", Stand)
    monkeypatch.setattr(graphics.sys, "platform", "linux")
    monkeypatch.delenv(WINDOW, raising=False)
    monkeypatch.setenv("DISPLAY", ":7")
    works = "vtkXOpenGLRenderWindow"
    with Graphics() as found:
        found.use()
    assert tried == ["vtkEGLRenderWindow", "vtkXOpenGLRenderWindow"] and os.environ[WINDOW] == works
    monkeypatch.delenv(WINDOW)
    monkeypatch.delenv("DISPLAY")
    tried.clear()
    with Graphics() as found, pytest.raises(graphics.UseError, match="apt-get install libegl1"):
        found.use()
    assert tried == ["vtkEGLRenderWindow"] and WINDOW not in os.environ


def test_a_process_that_never_answers_is_ended(monkeypatch):
    monkeypatch.setattr(graphics, "PATIENCE", 0.05)
    monkeypatch.setattr(probe, "command", lambda module: [sys.executable, "-c", "import time; time.sleep(60)"])
    asked = []
    begun = probe.Probe.__init__
    monkeypatch.setattr(probe.Probe, "__init__", lambda self, *words: (asked.append(self), begun(self, *words))[1])
    with Graphics() as found, pytest.raises(graphics.UseError, match="OpenGL"):
        found.use()
    assert asked and all(each._process.returncode is not None for each in asked)


def test_leaving_early_leaves_no_process():
    with Graphics() as found:
        asked = found._probe
    assert asked is not None and asked._process.returncode is not None


def test_nothing_of_the_folder_one_stands_in_is_run(tmp_path, monkeypatch, capsys):
    """Neither by the process that is asked for OpenGL."""
    (tmp_path / "vtkmodules.py").write_text("open('ran', 'w').close()", "utf-8")
    monkeypatch.chdir(tmp_path)
    with Graphics() as found:
        found.use()
    assert not (tmp_path / "ran").exists()
