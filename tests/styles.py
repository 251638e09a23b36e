"""Draws sound boats in styles of joinery and of drawing, straight into DXF, without any help of `draft`.

Five open or ring frames of a floor, two upright sides and where wanted a deck beam, gussets on both faces over
their joints, legs that butt under the floor. A joint is one line, given as points (n, t): n mm beyond the inner edge
of the side, t along it as a share of the depth; both parts are cut along it, and each relieved in its own inside
corners. Frame coordinates are (y, v), mm; drawings look forward, so that they hold (-y, v).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

import drawings
import numpy as np
from ezdxf.document import Drawing as Document

Point = tuple[float, float]
Path2 = list[tuple[float, float, float]]  # y, v, bulge to the next corner

STATIONS = (300.0, 900.0, 1500.0, 2100.0, 2700.0)
LOW, DEEP, WIDE, TOP, CORE = 200.0, 100.0, 90.0, 700.0, 12.0
BEAM = 80.0
CHINE_AT, CHINE, SHEER, KEEL = 440.0, (40.0, 22.0), (45.0, 20.0), (60.0, 22.0)
RAILS, FOOT = 400.0, 90.0

JOINTS: dict[str, list[Point]] = {
    "butt": [(0, 0), (0, 1)],
    "bevel": [(60, 0), (0, 1)],
    "half-lap": [(40, 0), (40, 0.5), (0, 0.5), (0, 1)],
    "finger": [(40, 0), (40, 0.25), (0, 0.25), (0, 0.5), (40, 0.5), (40, 0.75), (0, 0.75), (0, 1)],
    "tenon": [(0, 0), (0, 0.3), (22, 0.3), (22, 0.7), (0, 0.7), (0, 1)],
    "tongue": [(0, 0), (0, 0.38), (20, 0.38), (20, 0.62), (0, 0.62), (0, 1)],
    "birdsmouth": [(0, 0), (25, 0.5), (0, 1)],
    "scarf": [(50, 0), (50, 0.2), (15, 0.8), (0, 0.8), (0, 1)],
}
RELIEFS = ("dogbone", "tbone", "round")


@dataclass(frozen=True, kw_only=True)
class Style:
    """How a boat is drawn. `gap` is what the floor of F3 is cut short by to port, negative where it is too long."""

    joint: str = "butt"
    relief: str = "dogbone"
    sections: bool = True
    beams: tuple[str, ...] = ("2", "4")
    limbers: bool = False
    lightened: bool = False
    half: bool = False
    blocks: bool = False
    cutter: float = 10.0
    radius: float | None = None  # of the reliefs; the cutter's unless given
    legs: str = "plain"  # "tongue", or "" for none
    gap: float = 0.0
    shy: float = 0.0  # by which gussets stand in from the outer line
    screws: str = ""  # how those of the gussets are drawn: "circle", "cross", "line", "insert", or "" for not at all
    more: str = ""  # added to the plan
    changes: dict[str, str] = field(default_factory=dict)  # of the plan's text

    @property
    def name(self) -> str:
        said = [
            self.joint,
            self.relief if self.joint not in ("butt", "bevel") else "",
            self.legs and f"{self.legs} legs",
        ]
        flags = {"sections": self.sections, "limber": self.limbers, "light": self.lightened, "half": self.half}
        return " ".join([*filter(None, said), *(flag for flag, on in (flags | {"blocks": self.blocks}).items() if on)])


def half_breadth(x: float) -> float:
    return 540.0 - 30.0 * ((x - 1500.0) / 1200.0) ** 2


def relieved(corners: Sequence[Point], kind: str, radius: float, which: set[Point] | None = None) -> Path2:
    """The closed outline of these corners, wood to the left, its inside corners relieved: all, or those of `which`."""
    out: Path2 = []
    points = [np.array(p, float) for p in corners]
    for n, at in enumerate(points):
        before, after = points[n - 1] - at, points[(n + 1) % len(points)] - at
        turn = -before[0] * after[1] + before[1] * after[0]
        into, on = before / np.hypot(*before), after / np.hypot(*after)
        angle = np.arccos(np.clip(into @ on, -1, 1))
        if turn >= -1e-9 or angle > np.radians(150) or (which is not None and tuple(corners[n]) not in which):
            out.append((*at, 0.0))
            continue
        if kind == "tbone":
            out += [(*(at + into * 2 * radius), -1.0), (*at, 0.0)]
        elif kind == "dogbone":
            reach = 2 * radius * np.cos(angle / 2)
            out += [
                (*(at + into * reach), -np.tan((np.pi - angle) / 2)),
                (*(at + on * reach), 0.0),
            ]  # through the corner
        else:
            reach = radius / np.tan(angle / 2)
            out += [(*(at + into * reach), -np.tan((np.pi - angle) / 4)), (*(at + on * reach), 0.0)]
    return out


class _Frame:
    """One frame's outlines."""

    def __init__(self, number: str, station: float, style: Style) -> None:
        self.number, self.style = number, style
        self.half = half_breadth(station)
        self.slope = half_breadth(station + CORE / 2) - half_breadth(station - CORE / 2)
        self.radius = style.cutter / 2 if style.radius is None else style.radius
        self.ring = number in style.beams

    def joint(self, low: float, deep: float, *, up: bool, short: float = 0.0) -> list[Point]:
        """The joint's line on the port side, from its lower end up."""
        inner = self.half - WIDE
        kind = self.style.joint if up or self.style.joint not in ("bevel", "birdsmouth") else "butt"
        share = (
            0.6 if self.style.joint in ("tenon", "tongue") and not up else 1.0
        )  # over the beam the sheer's notch leaves a gusset less room
        line = [(inner + share * n - short, low + deep * (t if up else 1 - t)) for n, t in JOINTS[kind]]
        return line if up else line[::-1]

    def wood(self, corners: Sequence[Point], which: set[Point] | None = None) -> Path2:
        kind = self.style.relief
        if kind == "round":  # rounds leave the neighbour's corners fouled: only notches have them
            kind = "dogbone"
        return relieved(corners, kind, self.radius, which)

    def bar(self, low: float, deep: float, *, up: bool, keel: bool) -> Path2:
        short = self.style.gap if self.number == "3" and keel else 0.0
        port = self.joint(low, deep, up=up, short=short)
        # each half to the centreline, so that one-sided reliefs come out as mirror images too
        notch = [(0.0, low + KEEL[1]), (KEEL[0] / 2, low + KEEL[1]), (KEEL[0] / 2, low)] if keel else [(0.0, low)]
        left, right = (
            [row for row in self.wood([*notch, *line, (0.0, low + deep)]) if row[0] > 0.0]
            for line in (self.joint(low, deep, up=up), port)
        )
        return [*right, *_mirrored(left)]

    def side(self) -> Path2:
        inner, outer = self.half - WIDE, self.half
        narrow = min(half for half in (self.half - abs(self.slope) / 2, self.half))
        floor = self.joint(LOW, DEEP, up=True)
        head = self.joint(TOP - BEAM, BEAM, up=False)[::-1] if self.ring else [(inner, TOP)]
        line = [*head, *reversed(floor)]
        wall, half_chine = narrow - CHINE[1], CHINE[0] / 2
        chine = [
            (outer, CHINE_AT - half_chine), (wall, CHINE_AT - half_chine),
            (wall, CHINE_AT + half_chine), (outer, CHINE_AT + half_chine),
        ]  # fmt: skip
        sheer = [(outer, TOP - SHEER[0]), (narrow - SHEER[1], TOP - SHEER[0]), (narrow - SHEER[1], TOP)]
        start = [] if floor[0][0] >= outer else [(outer, LOW)]
        return self.wood([*line, *start, *chine, *sheer])

    def gusset(self, low: float, deep: float) -> list[Point]:
        """The rectangle over a joint, and 60 mm past it along both parts."""
        inner, shy = self.half - WIDE, self.style.shy
        outer = self.half - shy if low == LOW else self.half - 26.0
        bottom = low + shy if low == LOW else low - 50.0
        top = low + deep + 50.0 if low == LOW else low + deep
        arm = inner - 60.0
        if low == LOW:
            return [(arm, bottom), (outer, bottom), (outer, top), (inner, top), (inner, low + deep), (arm, low + deep)]
        return [(arm, low), (inner, low), (inner, bottom), (outer, bottom), (outer, top), (arm, top)]

    def sections(self) -> list[tuple[str, list[Point]]]:
        keel = [(-KEEL[0] / 2, LOW), (KEEL[0] / 2, LOW), (KEEL[0] / 2, LOW + KEEL[1]), (-KEEL[0] / 2, LOW + KEEL[1])]
        out = [("keel", keel)]
        for side in (1, -1):
            for name, (long, short), middle in (("chine", CHINE, CHINE_AT), ("sheer", SHEER, TOP - SHEER[0] / 2)):
                left, right = side * (self.half - short), side * self.half
                box = [(left, middle - long / 2), (right, middle - long / 2), (right, middle + long / 2)]
                out.append((name, [*box, (left, middle + long / 2)]))
        return out

    def legs(self) -> list[tuple[str, str, list[Point]]]:
        inner, out = RAILS / 2, []
        outer = inner + FOOT
        for layer, top in (("LEG INNER", LOW), ("LEG OUTER", LOW + DEEP - 20.0)):
            foot = [(inner, 0.0), (outer, 0.0), (outer, top), (inner, top)]
            if self.style.legs == "tongue":
                foot = [(inner - 40, -60.0), (inner, -60.0), *foot[:3], (inner - 40, top)]
            out.append((layer, "leg", foot))
        return out


def _mirrored(path: Path2) -> Path2:
    """The mirror image, wood to the left again."""
    rows = [(-y, v, path[n - 1][2]) for n, (y, v, _) in enumerate(path)]
    return rows[::-1]


def _straight(corners: Sequence[Point]) -> Path2:
    return [(y, v, 0.0) for y, v in corners]


def _drawn(document: Document, path: Path2, layer: str, label: str, style: Style, at: Point | None = None) -> None:
    """Draws an outline as seen from aft, with its label inside."""
    space = document.modelspace()
    if style.blocks and label:
        name = f"PART{len(document.blocks)}"
        block = document.blocks.new(name)
        drawings.polyline(block, [(-y, v) for y, v, _ in path], [-b for *_, b in path], layer=layer)
        space.add_blockref(name, (0, 0), dxfattribs={"layer": layer})
    else:
        drawings.polyline(space, [(-y, v) for y, v, _ in path], [-b for *_, b in path], layer=layer)
    if label:
        y, v = at or (float(np.mean([p[0] for p in path])), float(np.mean([p[1] for p in path])))
        drawings.text(space, label, (-y, v))


def _screws(frame: _Frame, style: Style, space) -> None:
    """Those of the port and starboard chine gussets, on both faces, staggered."""
    inner = frame.half - WIDE
    spots = [(inner - 44, LOW + 20), (inner - 44, LOW + 60), (inner + 22, LOW + 130), (inner + 60, LOW + 130)]
    for face, up in (("FWD", 0.0), ("AFT", 16.0)):
        layer = f"SCREWS {face}"
        for u, v in [(side * y, v + (up if v < LOW + 100 else -up)) for y, v in spots for side in (1, -1)]:
            if style.screws == "circle":
                space.add_circle((u, v), 2.1, dxfattribs={"layer": layer})
            elif style.screws == "insert":
                space.add_blockref("SCREW", (u, v), dxfattribs={"layer": layer})
            else:
                drawings.line(space, (u - 4, v), (u + 4, v), layer=layer)
                if style.screws == "cross":
                    drawings.line(space, (u, v - 4), (u, v + 4), layer=layer)


def _drawing(frame: _Frame, style: Style) -> Document:
    document = drawings.new()
    space = document.modelspace()
    mark = document.blocks.new("SCREW")
    for start, end in (((-3, -3), (3, 3)), ((-3, 3), (3, -3))):
        drawings.line(mark, start, end, layer="0")
    _drawn(document, frame.bar(LOW, DEEP, up=True, keel=True), "CORE", "floor", style, (120.0, LOW + 40))
    sides = (1,) if style.half else (1, -1)
    if frame.ring:
        _drawn(document, frame.bar(TOP - BEAM, BEAM, up=False, keel=False), "CORE", "deck beam", style, (0, TOP - 40))
    for side in sides:
        hand = (lambda path: path) if side > 0 else _mirrored
        word = "" if style.half else "port " if side > 0 else "starboard "
        at = side * (frame.half - 60)
        _drawn(document, hand(frame.side()), "CORE", f"{word}side", style, (at, 400.0))
        _drawn(document, hand(_straight(frame.gusset(LOW, DEEP))), "GUSSETS", f"{word}chine gusset", style, (at, 310.0))
        if frame.ring:
            gusset = hand(_straight(frame.gusset(TOP - BEAM, BEAM)))
            _drawn(document, gusset, "GUSSETS", f"{word}sheer gusset", style, (at, TOP - 90))
        for layer, label, foot in frame.legs() if style.legs else ():
            which = None
            path = relieved(foot, "dogbone" if style.relief == "round" else style.relief, frame.radius, which)
            inside = (side * (RAILS / 2 + 40), 60.0 if layer == "LEG INNER" else LOW + 40)
            _drawn(document, hand(path), layer, f"{word}{label} {layer.split()[-1].lower()}", style, inside)
        if style.limbers:
            space.add_circle((-side * 150, LOW + 50), 12, dxfattribs={"layer": "CORE"})
        if style.lightened:
            space.add_circle((-side * 350, LOW + 50), 20, dxfattribs={"layer": "CORE"})
    if style.sections:
        for name, corners in frame.sections():
            if not style.half or np.mean([y for y, _ in corners]) > -1:
                middle = np.mean(np.array(corners), axis=0)
                drawings.polyline(space, [(-y, v) for y, v in corners], layer="BATTENS")
                drawings.text(space, name, (-middle[0], middle[1]), layer="BATTENS")
    if style.screws:
        _screws(frame, style, space)
    return document


_PLAN = """[plan]
name = "Sedge"
units = "mm"
seen = "from aft"
build = "upright"
[cutter]
diameter = {cutter}
[stock.ply12]
thickness = 12
[stock.ply9]
thickness = 9
[dowels]
diameter = 10
[screws.gusset]
diameter = 4.2
length = 19
head = "countersunk"
[battens.keel]
section = [60, 22]
arris = 6
sides = "centre"
[battens.chine]
section = [40, 22]
arris = 6
sides = "both"
[battens.sheer]
section = [45, 20]
arris = 6
sides = "both"
[layers]
"CORE" = {{ makes = "part", face = "core", stock = "ply12" }}
"GUSSETS" = {{ makes = "part", face = "both", stock = "ply9", role = "gusset" }}
"LEG INNER" = {{ makes = "part", face = "core", stock = "ply12", role = "leg" }}
"LEG OUTER" = {{ makes = "part", face = "forward", stock = "ply12", role = "leg" }}
"SCREWS FWD" = {{ makes = "screw", screw = "gusset", driven_from = "forward" }}
"SCREWS AFT" = {{ makes = "screw", screw = "gusset", driven_from = "aft" }}
"BATTENS" = {{ makes = "batten" }}
"LABELS" = {{ makes = "label" }}
"""

_RAILS = f"""[strongback]
inside_width = {RAILS:g}
rail = [45, 145]
from = -100
to = 3000
"""


def drawn(folder: Path, style: Style) -> Path:
    """The plan folder of a boat in this style."""
    (folder / "frames").mkdir(parents=True, exist_ok=True)
    plan = _PLAN.format(cutter=style.cutter) + (_RAILS if style.legs else "") + style.more
    for n, station in enumerate(STATIONS, start=1):
        document = _drawing(_Frame(str(n), station, style), style)
        drawings.saved(folder / "frames", document, name=f"{n}.dxf")
        mirror = "mirror = true\n" if style.half else ""
        plan += (
            f'[[frames]]\nnumber = "{n}"\nstation = {station:g}\nstation_at = "middle"\n'
            f'drawing = "frames/{n}.dxf"\norigin = [0, 0]\n{mirror}'
        )
    for old, new in style.changes.items():
        assert old in plan
        plan = plan.replace(old, new)
    (folder / "plan.toml").write_text(plan)
    return folder


def sound() -> list[Style]:
    """Sound boats in all styles."""
    out = []
    for joint in JOINTS:
        for relief in RELIEFS[:2] if joint not in ("butt", "bevel") else RELIEFS[:1]:
            out.append(Style(joint=joint, relief=relief))
            out.append(Style(joint=joint, relief=relief, legs="tongue", limbers=True, sections=False))
            out.append(Style(joint=joint, relief=relief, legs="", lightened=True, blocks=True))
            out.append(Style(joint=joint, relief=relief, sections=False, beams=("1", "2", "3", "4", "5")))
    return out
