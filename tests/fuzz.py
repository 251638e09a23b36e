"""Tries the readers on spoilt plans, drawings and lines files, through the whole chain, checks and reports included.

    python tests/fuzz.py [--seed 1] [--cases 60] [--kind dropped ...] [--from 0]

`--cases` of each kind, or of the kinds named: a case is made from the seed, its kind and its number alone, so that
`--from` begins again at the one that failed. Ends 1 where a case ended in a traceback, ran on, wanted too much memory,
wrote a file, or was refused without a line; and where objects were only taken away, if there was no report.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import os
import random
import re
import resource
import shutil
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator
from itertools import pairwise
from pathlib import Path
from types import FrameType

import ezdxf

from scrieve.viewer.verbs.commands import run

HULLS = Path(__file__).parents[1] / "hulls"
BOATS = ("pram", "skiff", "skiff-with-faults")
FORMATS = ("text", "json", "sarif", "junit", "github")

LONGEST = 30
"""s of processor time that a case may take; most take one."""

MOST_MEMORY = 1536 * 1024 * 1024
"""bytes that the process may hold."""

NUMBERS = (
    *("0", "-0.0", "1", "-1", "2", "0.5", "1e-300", "1e-9", "1e3", "-1e5", "1e6", "1e7", "1e9", "-1e12", "1e18"),
    *("1e150", "1e308", "-1e308", "1e400", "inf", "-inf", "nan", "32767", "65536", "-2147483648", "9" * 30, "", "x"),
)
IN_TOML = (
    *NUMBERS,
    "true",
    '"3/4 in"',
    '"1e9 ft"',
    '"nan mm"',
    "[]",
    "{}",
    '""',
    "1979-05-27",
    "[1, 2, 3]",
    '"\\u0000"',
)
ENTITY = re.compile(rb"(?m)^ *0\r?\n(?=[A-Z0-9]+\r?\n)")
NUMERIC = (*range(10, 60), *range(60, 80), *range(90, 100), *range(140, 150), *range(170, 180), *range(210, 240))


MADE = {"draft": "drafted", "begin": "boat"}
"""Verbs that write a plan, and the folder that it is then in."""


class StillRunningError(BaseException):
    """A case ran on; no `except Exception` keeps it."""


def main() -> int:
    """1 where a case failed, else 0; prints a line for each failure and one for each kind."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--cases", type=int, default=60)
    parser.add_argument("--from", type=int, default=0, dest="first")
    parser.add_argument("--kind", choices=sorted(KINDS), action="append")
    wanted = parser.parse_args()
    resource.setrlimit(resource.RLIMIT_DATA, (MOST_MEMORY, MOST_MEMORY))
    os.environ["SCRIEVE_DEBUG"] = "1"
    failed = 0
    for kind in wanted.kind or sorted(KINDS):
        ended: Counter[int] = Counter()
        slowest = (0.0, 0)
        for number in range(wanted.first, wanted.first + wanted.cases):
            begun = time.process_time()
            ending, wrong = case(kind, number, wanted.seed)
            slowest = max(slowest, (time.process_time() - begun, number))
            ended[ending] += 1
            if wrong:
                failed += 1
                print(f"{kind} {number} of seed {wanted.seed}: {wrong}", flush=True)
        ways = ", ".join(f"{times} ended {ending}" for ending, times in sorted(ended.items()))
        print(f"{kind}: {ended.total()} cases, {ways}; the slowest, {slowest[1]}, took {slowest[0]:.1f} s", flush=True)
    print(f"{failed} failed")
    return int(failed > 0)


def case(kind: str, number: int, seed: int) -> tuple[int, str]:
    """How one case ended, and what is wrong with that; empty if nothing is."""
    chance = random.Random(f"{seed} {kind} {number}")
    home = os.getcwd()
    with tempfile.TemporaryDirectory() as made:
        try:
            (Path(made) / "here").mkdir()
            words = KINDS[kind](Path(made), chance, number)
            os.chdir(Path(made) / "here")
            before = _state(Path(made))
            ending, said = _ran(words)
            wrong = _wrong(ending, said, must_report=kind == "dropped")
            if not wrong and words[0] in MADE and ending == 0:
                made_plan = Path(made) / MADE[words[0]]
                before = {**before, **_state(made_plan)}
                ending, said = _ran(["check", str(made_plan)])
                wrong = _wrong(ending, said, must_report=words[0] == "draft")
                if words[0] == "begin" and any("still blank: " not in line for line in said.splitlines()):
                    wrong = f"a plan that is no plan was begun: {said}"
            if not wrong and _state(Path(made)) != before:
                wrong = "a file was written"
            return ending, wrong
        finally:
            os.chdir(home)


def _ran(words: list[str]) -> tuple[int, str]:
    """How a command line ended, and what it said on stderr."""
    said = io.StringIO()
    signal.signal(signal.SIGPROF, _stop)
    signal.setitimer(signal.ITIMER_PROF, LONGEST)
    try:
        with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(said):
            ending = run(words)
    except StillRunningError:
        return -1, f"still running after {LONGEST} s"
    except BaseException as error:  # what `run` lets out is what is looked for
        return -1, f"{type(error).__name__}: {error}"
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
    return ending, said.getvalue()


def _wrong(ending: int, said: str, *, must_report: bool) -> str:
    if ending not in (0, 1, 2) or "mistake in Scrieve" in said or "memory" in said or (must_report and ending == 2):
        return f"ended {ending}: {said.strip()}"
    return "" if ending != 2 or said.strip() else "ended 2 without a line"


def _stop(number: int, frame: FrameType | None) -> None:
    raise StillRunningError


def _state(folder: Path) -> dict[Path, tuple[int, int]]:
    """What lies in a folder and below."""
    found = ((path, path.lstat()) for path in folder.rglob("*") if not path.is_dir())
    return {path: (stat.st_size, stat.st_mtime_ns) for path, stat in found}


def boat_in(made: Path, name: str) -> Path:
    """A demonstration boat copied into a folder."""
    return Path(shutil.copytree(HULLS / name, made / "boat"))


def _checked(folder: Path, chance: random.Random) -> list[str]:
    return ["check", str(folder), "--format", chance.choice(FORMATS)]


def objects_of(content: bytes) -> list[tuple[int, int]]:
    """Where each object of a drawing's ENTITIES begins and ends."""
    start = content.index(b"ENTITIES")
    end = content.index(b"ENDSEC", start)
    places = [match.start() for match in ENTITY.finditer(content, start, end + 6)]
    return list(pairwise(places))


def every_object() -> Iterator[tuple[str, str, int]]:
    """Boat, drawing and number of every object of the demonstration boats."""
    for boat in BOATS:
        for path in sorted((HULLS / boat).glob("*/*.dxf")):
            shown = path.relative_to(HULLS / boat).as_posix()
            yield from ((boat, shown, number) for number in range(len(objects_of(path.read_bytes()))))


def _dropped(made: Path, chance: random.Random, number: int) -> list[str]:
    """A demonstration boat without one of its objects, each in turn; past those without two or three of them."""
    all_of = list(every_object())
    if number < len(all_of):
        chosen = [all_of[number]]
    else:
        boat = chance.choice(BOATS)
        chosen = chance.sample([each for each in all_of if each[0] == boat], chance.choice((2, 2, 3)))
    folder = boat_in(made, chosen[0][0])
    for _, shown, at in sorted(chosen, reverse=True):
        content = (folder / shown).read_bytes()
        start, end = objects_of(content)[at]
        (folder / shown).write_bytes(content[:start] + content[end:])
    return _checked(folder, chance)


def _emptied(made: Path, chance: random.Random, number: int) -> list[str]:
    """A demonstration boat without most of what is drawn in some of its frames."""
    folder = boat_in(made, chance.choice(BOATS))
    for path in chance.sample(sorted(folder.glob("frames/*.dxf")), chance.randint(1, 3)):
        content = path.read_bytes()
        left = chance.random()
        for start, end in reversed(objects_of(content)):
            if chance.random() > left:
                content = content[:start] + content[end:]
        path.write_bytes(content)
    return _checked(folder, chance)


def _numbers(made: Path, chance: random.Random, number: int) -> list[str]:
    """A drawing that holds every kind of object, with a few of its numbers put to extremes."""
    folder = boat_in(made, "pram")
    path = folder / chance.choice(("frames/2.dxf", "sheets/ply9-1.dxf"))
    document = ezdxf.readfile(path)
    draw_every_kind(document, chance.choice(("FRAME", "GUSSETS", "LABELS", sorted(_layers(document))[0])))
    document.saveas(path)
    lines = path.read_bytes().split(b"\n")
    start = lines.index(b"BLOCKS") if chance.random() < 0.9 else 0
    places = [at for at in range(start - start % 2, len(lines) - 1, 2) if _is_numeric(lines[at])]
    for _ in range(chance.choice((1, 1, 1, 2, 3))):
        lines[chance.choice(places) + 1] = chance.choice(NUMBERS).encode()
    path.write_bytes(b"\n".join(lines))
    return _checked(folder, chance)


def _layers(document: ezdxf.document.Drawing) -> set[str]:
    return {entity.dxf.layer for entity in document.modelspace()}


def _is_numeric(code: bytes) -> bool:
    return code.strip().isdigit() and int(code) in NUMERIC


def draw_every_kind(document: ezdxf.document.Drawing, layer: str) -> None:
    """One or two of every kind of object that is read, on a layer."""
    space, on = document.modelspace(), {"layer": layer}
    block = document.blocks.new("FUZZ")
    block.add_circle((0, 0), 4)
    block.add_attdef("NAME", (0, 0), "x")
    block.add_lwpolyline([(0, 0, 0.3), (9, 0, 0), (5, 7, -0.2)], format="xyb", close=True)
    for x in (0.0, 400.0):
        space.add_line((x, 700), (x + 50, 730), dxfattribs=on)
        space.add_circle((x, 750), 12, dxfattribs=on)
        space.add_arc((x, 790), 20, 15, 200, dxfattribs=on)
        space.add_ellipse((x, 830), (30, 5), 0.4, 0, 5, dxfattribs=on)
        space.add_point((x, 860), dxfattribs=on)
        space.add_text("FLOOR", height=8, dxfattribs={**on, "rotation": 20, "width": 0.8}).set_placement((x, 880))
        space.add_mtext("FLOOR\\PTWO", dxfattribs={**on, "insert": (x, 910), "char_height": 8, "rotation": 5})
        insert = space.add_blockref("FUZZ", (x, 950), dxfattribs={**on, "xscale": 2, "yscale": 1, "rotation": 10})
        insert.grid((2, 3), (40, 50))
        insert.add_attrib("NAME", "HULL", (x, 955))
        space.add_lwpolyline([(x, 1000, 0.4), (x + 60, 1000, 0), (x + 60, 1050, -1)], "xyb", close=True, dxfattribs=on)
        space.add_polyline2d([(x, 1100), (x + 60, 1100), (x + 60, 1150)], close=True, dxfattribs=on)
        space.add_polyline3d([(x, 1200, 0), (x + 60, 1200, 0), (x + 60, 1250, 0)], dxfattribs=on)
        space.add_open_spline([(x, 1300), (x + 20, 1340), (x + 60, 1290), (x + 90, 1330)], dxfattribs=on)
        space.add_rational_spline(
            [(x, 1400), (x + 20, 1440), (x + 60, 1390), (x + 90, 1430)], [1, 2, 1, 1], dxfattribs=on
        )
        space.add_spline([(x, 1500), (x + 20, 1540), (x + 60, 1490)], dxfattribs=on)
        space.add_hatch(dxfattribs=on).paths.add_polyline_path([(0, 0), (9, 0), (5, 7)])


def _bytes(made: Path, chance: random.Random, number: int) -> list[str]:
    """A drawing with bytes changed, lines repeated or left out, or its end cut off."""
    folder = boat_in(made, "pram")
    path = folder / chance.choice(("frames/1.dxf", "frames/3.dxf", "sheets/ply6-1.dxf"))
    path.write_bytes(_spoilt(path.read_bytes(), chance))
    return _checked(folder, chance)


def _spoilt(content: bytes, chance: random.Random) -> bytes:
    for _ in range(chance.choice((1, 1, 2, 5, 20))):
        how = chance.randrange(6)
        at = chance.randrange(len(content))
        lines = content.split(b"\n")
        line = chance.randrange(len(lines))
        if how == 0:
            content = content[:at] + chance.randbytes(chance.choice((1, 1, 4))) + content[at + 1 :]
        elif how == 1:
            content = b"\n".join(lines[:line] + lines[line + chance.choice((1, 2, 2, 50)) :])
        elif how == 2:
            content = b"\n".join(lines[: line + 2] + lines[line:])
        elif how == 3:
            content = b"\n".join([*lines[:line], chance.choice(NUMBERS).encode(), *lines[line + 1 :]])
        elif how == 4:
            content = b"\n".join([*lines[:line], chance.choice(lines), *lines[line + 1 :]])
        elif chance.random() < 0.2:
            content = content[: at + 1]
    return content


def _plan(made: Path, chance: random.Random, number: int) -> list[str]:
    """A plan with values changed, lines left out, repeated or moved, or bytes changed."""
    folder = boat_in(made, chance.choice(BOATS[:2]))
    path = folder / "plan.toml"
    path.write_bytes(_spoilt_toml(path.read_bytes(), chance))
    return _checked(folder, chance)


def _lines(made: Path, chance: random.Random, number: int) -> list[str]:
    """A lines file spoilt the same way, to be drafted; what comes of it is checked."""
    path = made / "lines.toml"
    path.write_bytes(_spoilt_toml((HULLS / chance.choice(BOATS[:2]) / "lines.toml").read_bytes(), chance))
    return ["draft", str(path), str(made / "drafted")]


def _spoilt_toml(content: bytes, chance: random.Random) -> bytes:
    if chance.random() < 0.15:
        return _spoilt(content, chance)
    for _ in range(chance.choice((1, 1, 1, 2, 4))):
        numbers = list(re.finditer(rb"(?<![\w.\"'-])-?\d+(?:\.\d+)?(?![\w.])", content))
        values = list(re.finditer(rb"(?m)(?<== ).+$", content))
        if numbers and chance.random() < 0.5:
            found = chance.choice(numbers)
            # near what is there as well as far from it
            near = [f"{float(found[0]) * factor:g}" for factor in (0.1, 0.5, 0.9, 1.1, 1.5, 2, 10, 25.4, -1)]
            new = chance.choice((*near, *NUMBERS[:-2]))
        elif values and chance.random() < 0.7:
            found, new = chance.choice(values), chance.choice(IN_TOML)
        else:
            lines = list(re.finditer(rb"(?m)^.*\n", content))
            found = chance.choice(lines)
            new = chance.choice(("", found[0].decode() * 2, chance.choice(lines)[0].decode()))
        content = content[: found.start()] + new.encode() + content[found.end() :]
    return content


def _begun(made: Path, chance: random.Random, number: int) -> list[str]:
    """A boat without a plan, one of her drawings spoilt."""
    folder = chance.choice((_bytes, _bytes, _numbers, _emptied))(made, chance, number)[1]
    (Path(folder) / "plan.toml").unlink()
    return ["begin", folder]


KINDS: dict[str, Callable[[Path, random.Random, int], list[str]]] = {
    "begun": _begun,
    "bytes": _bytes,
    "dropped": _dropped,
    "emptied": _emptied,
    "lines": _lines,
    "numbers": _numbers,
    "plan": _plan,
}
"""What a case is made of: writes it into a folder and gives the command line that reads it."""

if __name__ == "__main__":
    sys.exit(main())
