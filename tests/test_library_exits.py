"""Libraries find no settings and write no cache where we load them, and their exits are never taken for our own."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest
from faults import HULLS
from test_house import ROOT, modules, tree

from scrieve.shared.errors import UseError
from scrieve.viewer import plan_items
from scrieve.viewer.pictures import graphics
from scrieve.viewer.system.probe import Answer
from scrieve.viewer.verbs.commands import VERBS, run
from scrieve.viewer.window.messages import Inbox, PlanRefused

PRAM = str(HULLS / "pram")


def python(code: str, *words: str, **more: object) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-P", "-c", textwrap.dedent(code), *words]
    return subprocess.run(command, capture_output=True, text=True, timeout=300, check=False, **more)


# ---- settings and caches


def test_the_dxf_library_is_loaded_in_one_place():
    loading = set()
    for path in modules():
        for node in ast.walk(tree(path)):
            names = [node.module or ""] if isinstance(node, ast.ImportFrom) and not node.level else []
            names += [each.name for each in node.names] if isinstance(node, ast.Import) else []
            names += [node.value] if isinstance(node, ast.Constant) and isinstance(node.value, str) else []
            loading |= {str(path) for name in names if name.split(".")[0] == "ezdxf" and len(name.split()) == 1}
    assert loading == {str(Path("model/dxf_library.py")), str(Path("model/drawing/document.py"))}
    logs = 'logging.getLogger("ezdxf")'  # what its log is called is no import
    assert (ROOT / "model/drawing/document.py").read_text(encoding="utf-8").count('ezdxf"') == 1
    assert logs in (ROOT / "model/drawing/document.py").read_text(encoding="utf-8")


SETTINGS = {
    "not UTF-8": lambda path: path.write_bytes(b"\xff\xfe[\x00c\x00o\x00r\x00e\x00]\x00"),
    "garbage": lambda path: path.write_text("one = two\n[["),
    "a value that is none": lambda path: path.write_text("[core]\nload_proxy_graphics = maybe\n"),
    "a pipe": os.mkfifo,
    "a device": lambda path: path.symlink_to("/dev/zero"),
    "a home that is none": lambda path: None,
}

WATCHED = """
    import os, sys
    place, seen = os.path.realpath(sys.argv[1]), []
    def watch(event, about):
        if event in ("open", "os.mkdir", "os.rename", "os.listdir", "os.scandir") and isinstance(about[0], str):
            seen.append(os.path.realpath(about[0]))
    sys.addaudithook(watch)
    from scrieve.viewer.verbs.commands import run
    ending = run(sys.argv[2:])
    touched = [path for path in seen if path.startswith(place + os.sep) and "__editable__" not in path]
    assert not touched, touched
    sys.exit(ending)
"""


@pytest.mark.parametrize("kind", SETTINGS)
def test_no_settings_of_whatever_kind_change_a_check_and_no_cache_is_written(kind, tmp_path):
    for name in ("ezdxf.ini", "config/ezdxf/ezdxf.ini", "named.ini"):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        SETTINGS[kind](tmp_path / name)
    before = sorted(tmp_path.rglob("*"))
    places = {
        "XDG_CONFIG_HOME": "config",
        "XDG_CACHE_HOME": "cache",
        "HOME": "named.ini",
        "EZDXF_CONFIG_FILE": "named.ini",
    }
    if kind == "a home that is none":
        places = {"HOME": "none", "XDG_CONFIG_HOME": "", "XDG_CACHE_HOME": ""}
    environ = {**os.environ, **{name: str(tmp_path / place) if place else "" for name, place in places.items()}}
    words = [str(tmp_path), "check", PRAM, "--only", "station", "--fail-on", "note"]
    done = python(WATCHED, *words, cwd=tmp_path, env=environ)
    assert (done.returncode, done.stderr) == (0, "")
    assert "Looked at: station." in done.stdout
    assert sorted(tmp_path.rglob("*")) == before


def test_pictures_are_made_without_the_settings_of_the_working_folder(tmp_path):
    os.mkfifo(tmp_path / "matplotlibrc")
    code = """
        import sys
        from scrieve.viewer.system.extra import from_extra
        with from_extra(verb="scrieve picture"):
            import matplotlib
        import os
        print(os.getcwd(), matplotlib.matplotlib_fname.__module__, sorted(os.listdir()))
    """
    environ = {**os.environ, "XDG_CACHE_HOME": str(tmp_path / "cache")}
    done = python(code, cwd=tmp_path, env=environ)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout == f"{tmp_path} matplotlib ['cache', 'matplotlibrc']\n"
    assert [path.name for path in (tmp_path / "cache").iterdir()] == ["scrieve"]


# ---- exits

EXITING = {
    "check": ("scrieve.model.drawing.document.read", ["check", PRAM]),
    "compare": ("scrieve.model.drawing.document.read", ["compare", PRAM, PRAM]),
    "mend": ("scrieve.model.drawing.document.read", ["mend", PRAM, "OUT"]),
    "steps": ("scrieve.model.drawing.document.read", ["steps", PRAM]),
    "board": ("scrieve.model.drawing.document.read", ["board", PRAM, "OUT.dxf"]),
    "begin": ("scrieve.model.drawing.document.read", ["begin", f"{PRAM}/frames"]),
    "book": ("scrieve.model.drawing.document.read", ["book", PRAM, "OUT.html"]),
    "share": ("scrieve.model.drawing.document.read", ["share", PRAM, "OUT.html"]),
    "export": ("scrieve.model.drawing.document.read", ["export", PRAM, "OUT.3mf"]),
    "screws": ("scrieve.model.drawing.document.read", ["screws", PRAM, "OUT.dxf"]),
    "picture": ("scrieve.model.drawing.document.read", ["picture", PRAM, "OUT.svg", "--frame", "2"]),
    "draft": ("scrieve.model.drawing.dxf_file.new", ["draft", f"{PRAM}/lines.toml", "OUT"]),
    "explain": ("scrieve.viewer.verbs.explain.listing", ["explain"]),
    "view": ("scrieve.viewer.system.display.Probe", ["view", PRAM]),
}


@pytest.mark.parametrize("code", [0, None, 1])
@pytest.mark.parametrize("verb", [verb.name for verb in VERBS])
@pytest.mark.usefixtures("reads_anew")
def test_a_verb_whose_library_exits_has_not_done_its_work(verb, code, tmp_path, monkeypatch, capsys):
    def leave(*_: object, **__: object) -> None:
        raise SystemExit(code)

    where, words = EXITING[verb]
    monkeypatch.setenv("DISPLAY", ":0")
    monkeypatch.setattr(where, leave)
    assert run([str(tmp_path / word) if "OUT" in word else word for word in words]) == 2
    said = capsys.readouterr()
    assert (said.out, said.err) == ("", f"scrieve: a library ended the run before the work was done (exit {code!r})\n")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("leaving", ["sys.exit(0)", "os._exit(0)", "raise SystemExit"])
def test_nor_has_one_whose_library_exits_while_it_is_loaded(leaving):
    code = f"""
        import os, sys
        class Leaving:
            def find_spec(self, name, path=None, target=None):
                if name == "ezdxf":
                    {leaving}
        sys.meta_path.insert(0, Leaving())
        from scrieve.viewer.command import main
        main()
    """
    done = python(code, "check", PRAM)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith("scrieve: a library ended the run") and done.stderr.count("\n") == 1


def test_a_verb_that_ends_without_an_ending_has_not_done_it_either(monkeypatch, capsys):
    monkeypatch.setattr("scrieve.viewer.verbs.explain.explain", lambda: None)
    assert run(["explain"]) == 2
    assert "a verb ended with None" in capsys.readouterr().err


@pytest.mark.parametrize("name", ["read_plan", "review"])
def test_no_test_of_a_plan_passes_by_an_exit(name, pytester, monkeypatch):
    def leave(*_: object, **__: object) -> None:
        raise SystemExit(0)

    monkeypatch.setattr(plan_items, name, leave)
    result = pytester.runpytest("--plans", PRAM, "-k", "station")
    result.assert_outcomes(failed=1)
    assert result.ret == 1


def test_nor_by_one_while_the_plugin_is_loaded(pytester, monkeypatch):
    def leave(name: str) -> None:
        raise SystemExit(0)

    monkeypatch.setattr("scrieve.viewer.pytest_plugin.import_module", leave)
    assert pytester.runpytest("--plans", PRAM).ret == pytest.ExitCode.USAGE_ERROR


def test_no_graphics_are_had_by_an_exit(monkeypatch):
    class Leaving:
        """A process that ends 0 and says nothing."""

        def __init__(self, *_: object) -> None: ...
        def __enter__(self) -> Leaving:
            return self

        def __exit__(self, *_: object) -> None: ...
        def answer(self, _: float) -> Answer:
            return Answer((), 0)

    monkeypatch.setattr(graphics, "Probe", Leaving)
    with graphics.Graphics() as asked, pytest.raises(UseError, match="pictures need OpenGL"):
        asked.use()


def test_the_windows_reader_tells_of_an_exit():
    code = """
        import sys
        from scrieve.viewer.window import reader
        reader.read_boat = lambda path, tell: sys.exit(0)
        reader.main()
    """
    command = [sys.executable, "-c", textwrap.dedent(code), PRAM]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as process:
        assert process.stdout is not None
        (message,) = Inbox().take(process.stdout.read())
    assert isinstance(message, PlanRefused) and "a library ended the run" in message.why[0]
