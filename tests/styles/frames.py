"""The pieces of every frame of a boat, in (y, v) of its own plane, before anybody draws them."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from .habit import JOINTS, Style
from .hull import BATTENS, BEAM, DEEP, FOOT, PLATE, RAILS, Lines
from .shapes import Corner, Piece, Point, both_halves, circle, mirrored, without_straight


@dataclass(kw_only=True)
class Hole:
    """A screw or a dowel: where its axis is, and for a screw the face that it is driven from."""

    at: Point
    face: str = ""


@dataclass(kw_only=True)
class Frame:
    """What stands at one station. `sections` are battens' names with their corners."""

    index: int
    number: str
    station: float
    rake: float  # radians
    kind: str  # "open", "ring", "transom", "bulkhead", "one piece"
    pieces: list[Piece] = field(default_factory=list)
    sections: list[tuple[str, list[Point]]] = field(default_factory=list)
    screws: list[Hole] = field(default_factory=list)
    dowels: list[Point] = field(default_factory=list)
    cut: list[Piece] | None = None  # what of it is on the cut sheets, if not each of its pieces once

    def piece(self, what: str, hand: int = 0) -> Piece:
        return next(p for p in self.pieces if p.what == what and p.hand == hand)


def boat(style: Style) -> list[Frame]:
    """The frames of a sound boat."""
    lines = Lines(style)
    return [_Maker(lines, n).frame() for n in range(len(lines.stations))]


def _kind(style: Style, n: int) -> str:
    if style.transoms and n in (0, style.frames - 1):
        return "transom"
    if style.bulkhead and n == style.frames // 2:
        return "bulkhead"
    if style.one_piece:
        return "one piece"
    return "ring" if style.beams == "all" or (style.beams == "some" and n % 2 == 1) else "open"


class _Maker:
    def __init__(self, lines: Lines, n: int) -> None:
        self.lines, self.n, self.style = lines, n, lines.style
        self.rake = lines.rake(n)
        self.low, self.beam, self.top = (lines.at(n, lines.heights[h])[1] for h in ("low", "beam", "top"))
        self.kind = _kind(self.style, n)

    def frame(self) -> Frame:
        frame = Frame(
            index=self.n,
            number=str(self.n + 1),
            station=self.lines.stations[self.n],
            rake=self.rake,
            kind=self.kind,
        )
        port = [*self.members(), *self.gussets(), *self.legs()]
        for piece in port:
            frame.pieces.append(piece)
            if piece.hand:
                frame.pieces.append(piece.mirrored())
        frame.sections = [(name, corners) for name in BATTENS for corners in self.sections(name)]
        if self.style.screws and self.kind in ("open", "ring"):
            frame.screws = self.screws()
        if self.style.dowels and self.kind in ("open", "ring"):
            frame.dowels = self.dowels()
        return frame

    # ---- the side's own coordinates

    def outer(self, v: float) -> float:
        return self.lines.outer(self.n, v)

    def inner(self, v: float) -> float:
        return self.outer(v) - self.lines.wide / np.cos(self.lines.flare)

    def point(self, s: float, m: float) -> Point:
        foot = np.array([self.outer(self.low), self.low])
        y, v = foot + s * self.lines.up - m * self.lines.out
        return float(y), float(v)

    def notch(self, name: str) -> list[Corner]:
        """The corners of a batten's notch in the outer line, from its lower mouth on."""
        least, most = self.lines.passes(self.n, name, self.lines.thick)
        long, short = BATTENS[name]
        middle = np.array(self.lines.place(self.n, name))
        axes = (self.lines.out, self.lines.up) if not self.rake else np.eye(2)
        low, high, deep = -long / 2 + least[1], long / 2 + most[1], -short / 2 + least[0]

        def at(side: float, along: float, mark: str) -> Corner:
            y, v = middle + side * axes[0] + along * axes[1]
            if side > 0:  # on the outer line itself
                y = self.outer(v)
            return Corner(float(y), float(v), f"{name} {mark}")

        if name == "sheer":
            top = self.point(self.lines.length, short - least[0]) if not self.rake else (0.0, self.top)
            return [
                at(short / 2, low, "low mouth"), at(deep, low, "low wall"),
                Corner(top[0] if not self.rake else at(deep, low, "").y, top[1], "sheer high wall"),
            ]  # fmt: skip
        return [
            at(short / 2, low, "low mouth"), at(deep, low, "low wall"),
            at(deep, high, "high wall"), at(short / 2, high, "high mouth"),
        ]  # fmt: skip

    def keel(self, ply: float = 0.0) -> list[Corner]:
        """The port half of the keel's notch, from its bottom to the mouth; in the core, or in a ply before it."""
        low, high = self.lines.thick
        _, most = self.lines.passes(self.n, "keel", (high, high + ply) if ply else (low, high))
        long, short = BATTENS["keel"]
        wall, bottom = long / 2 + most[0], self.lines.place(self.n, "keel")[1] + short / 2 + most[1]
        return [Corner(wall, bottom, "keel wall"), Corner(wall, self.low, "keel mouth")]

    def joint(self, low: float, deep: float, *, up: bool) -> list[Corner]:
        """The joint's line on the port side, from its lower end up."""
        named = self.style.joint
        kind = named if up or named not in ("bevel", "birdsmouth", "scarf", "standing") else "butt"
        # over the beam the sheer's notch leaves a gusset less room
        share = 1.0 if up else {"tenon": 0.6, "tongue": 0.6, "half-lap": 0.35, "finger": 0.35}.get(named, 1.0)
        if kind == "standing":
            return [
                Corner(self.inner(low + deep), low + deep, "joint"),
                Corner(self.outer(low + deep), low + deep, "joint"),
            ]
        line = []
        for n, t in JOINTS[kind]:
            v = low + deep * (t if up else 1 - t)
            line.append(Corner(self.inner(v) + share * n, v, "joint"))
        return line if up else line[::-1]

    # ---- members

    def members(self) -> list[Piece]:
        if self.kind in ("transom", "bulkhead", "one piece"):
            return [self.board(), *self.doubler(), *self.motor_board()]
        style = self.style
        floor_line = self.joint(self.low, DEEP, up=True)
        if style.joint == "standing":
            ends = [Corner(self.outer(self.low), self.low), Corner(self.outer(self.low + DEEP), self.low + DEEP)]
        else:
            ends = floor_line
        floor = Piece(
            what="floor", kind="core", hand=0, at=(226.0, self.low + 50),
            corners=both_halves([*self.keel(), *ends]),
        )  # fmt: skip
        for side in (1, -1):
            if style.limbers:
                floor.holes.append(circle((side * 105, self.low + 50), 12))
            if style.lightened:
                floor.holes.append(circle((side * 258, self.low + 50), 12))
        head = [Corner(*self.point(self.lines.length, self.lines.wide), "head")]
        out = [floor, *self.doubler()]
        if self.kind == "ring":
            head = self.joint(self.beam, BEAM, up=False)[::-1]
            corners = both_halves([Corner(0.0, self.beam), *reversed(head), Corner(0.0, self.top)])
            out.append(Piece(what="deck beam", kind="core", hand=0, corners=corners, at=(0.0, self.beam + 40)))
        start = [] if floor_line[0].y >= self.outer(self.low) - 1e-6 else [Corner(self.outer(self.low), self.low)]
        foot = floor_line if style.joint == "standing" else [*reversed(floor_line), *start]
        if style.sawn:
            s = (self.lines.heights["cut"] - self.lines.heights["low"]) / np.cos(self.lines.flare)
            askew = 0.5 * self.lines.reach if style.cut == "scarf" else 0.0
            inside, outside = (
                Corner(*self.point(s + way * askew, m), "cut") for m, way in ((self.lines.wide, -1), (0.0, 1))
            )
            out.append(
                self.side("lower side", [inside, *foot, *self.notch("chine"), outside], DEEP + self.lines.reach + 12)
            )
            out.append(
                self.side(
                    "upper side", [*head, inside, outside, *self.notch("sheer")], s + askew + self.lines.reach + 10
                )
            )
        else:
            out.append(self.side("side", [*head, *foot, *self.notch("chine"), *self.notch("sheer")], None))
        return out

    def side(self, what: str, corners: list[Corner], s: float | None) -> Piece:
        s = self.lines.length / 2 + 20 if s is None else s
        return Piece(what=what, kind="core", hand=1, corners=without_straight(corners), at=self.point(s, 70))

    def board(self) -> Piece:
        """A frame in one piece: a transom, a bulkhead with its door, a ring."""
        outside = [
            *self.keel(), Corner(self.outer(self.low), self.low), *self.notch("chine"), *self.notch("sheer"),
            Corner(self.inner(self.top), self.top),
        ]  # fmt: skip
        what = {"transom": "transom", "bulkhead": "bulkhead", "one piece": "ring"}[self.kind]
        board = Piece(what=what, kind="core", hand=0, corners=both_halves(outside), at=(226.0, self.low + 50))
        if self.kind == "bulkhead":
            left, low, high = 180.0, self.low + DEEP + 20, self.top - 110
            b = float(np.tan(np.pi / 8))
            board.holes.append([
                (left - 40, low, b), (left, low + 40, 0), (left, high - 40, b), (left - 40, high, 0),
                (40 - left, high, b), (-left, high - 40, 0), (-left, low + 40, b), (40 - left, low, 0),
            ])  # fmt: skip
        if self.kind == "one piece":
            low, high = self.low + DEEP, self.beam
            half = [(self.inner(low), low, 0.0), (self.inner(high), high, 0.0)]
            board.holes.append([*half, *mirrored(half)])
        return board

    def doubler(self) -> list[Piece]:
        if not self.style.doubler:
            return []
        wide, top = 80.0, self.low + DEEP - 10
        corners = both_halves([*self.keel(PLATE), Corner(wide, self.low, "arm"), Corner(wide, top, "arm")])
        return [Piece(what="keel doubler", kind="doubler", hand=0, corners=corners, at=(10.0, top - 15))]

    def motor_board(self) -> list[Piece]:
        if not self.style.motor_board or self.n:
            return []
        corners = [Corner(y, v) for y, v in ((150, self.top - 180), (150, self.top), (-150, self.top))]
        corners.append(Corner(-150, self.top - 180))
        return [Piece(what="motor board", kind="doubler", hand=0, corners=corners, at=(-60.0, self.top - 60))]

    # ---- what lies over them

    def gussets(self) -> list[Piece]:
        if self.kind not in ("open", "ring"):
            return []
        reach, shy, flat = self.lines.reach, self.style.shy, self.style.shy / np.cos(self.lines.flare)
        low, top = self.low + shy, self.low + DEEP
        high = top + reach
        chine = [
            Corner(self.inner(low) - reach, low, "arm"), Corner(self.outer(low) - flat, low, "outer"),
            Corner(self.outer(high) - flat, high, "outer"), Corner(self.inner(high), high),
            Corner(self.inner(top), top), Corner(self.inner(top) - reach, top, "arm"),
        ]  # fmt: skip
        out = [self.gusset("chine gusset", chine, self.point(DEEP / 2 + 20, 30))]
        if self.style.sawn:
            s = (self.lines.heights["cut"] - self.lines.heights["low"]) / np.cos(self.lines.flare)
            far = 1.5 * reach if self.style.cut == "scarf" else reach
            places = ((s - far, self.lines.wide), (s - far, shy), (s + far, shy), (s + far, self.lines.wide))
            marks = ("arm", "arm", "", "")
            corners = [Corner(*self.point(*p), mark) for p, mark in zip(places, marks, strict=True)]
            plate = self.gusset("side gusset", corners, self.point(s + 12, 60))
            if self.style.cut == "block":
                plate.what = plate.kind = "butt block"
            out.append(plate)
        if self.kind == "ring":
            bottom, s = self.beam - reach, self.lines.length
            foot = (bottom - self.low) / np.cos(self.lines.flare)
            sheer = [
                Corner(self.inner(self.beam) - reach, self.beam, "arm"), Corner(self.inner(self.beam), self.beam),
                Corner(self.inner(bottom), bottom), Corner(*self.point(foot, 30)),
                Corner(*self.point(s - shy, 30)), Corner(*self.point(s - shy, self.lines.wide)),
                Corner(self.inner(self.top) - reach, self.top - shy, "arm"),
            ]  # fmt: skip
            out.append(
                self.gusset("sheer gusset", without_straight(sheer), (self.inner(self.beam - 15) + 14, self.beam - 15))
            )
        return out

    def gusset(self, what: str, corners: list[Corner], at: Point) -> Piece:
        return Piece(what=what, kind="gusset", hand=1, corners=corners, at=at, relieved=False)

    def legs(self) -> list[Piece]:
        style, (low, high) = self.style, self.lines.thick
        if not style.legs:
            return []
        one = style.legs in ("past", "one-ply")
        spans = {"leg outer": (high, high + (15.0 if style.thickness else style.core))}
        if not one:
            spans["leg inner"] = (low, high)
        all_of = [w for span in spans.values() for w in span]
        start, past = (self.low, self.low + DEEP - 20) if not style.inverted else (self.top, self.top - BEAM + 20)
        if style.legs == "past":
            past = self.low + DEEP + 40
        out = []
        for kind, span in sorted(spans.items()):
            # the corner that touches first stands on the rail, of each ply or of the leg
            down = -1.0 if style.inverted else 1.0
            foot = down * max(-down * w * np.tan(self.rake) for w in (span if style.own_corner else all_of))
            out.append(self.leg(kind, start if kind == "leg inner" else past, foot))
        return out

    def leg(self, kind: str, top: float, foot: float) -> Piece:
        inner, outer = RAILS / 2, RAILS / 2 + FOOT
        rows: list[tuple[float, float, str]]
        up = -1.0 if self.style.inverted else 1.0
        rows = [(inner, foot, "foot in"), (outer, foot, "foot out"), (outer, top, "head"), (inner, top, "head in")]
        if self.style.legs == "tongue":
            hang = foot - up * 60
            rows = [(inner - 40, hang, "tongue"), (inner, hang, "foot in"), *rows[:3], (inner - 40, top, "head")]
        if self.style.legs == "foot":
            rows[1:2] = [(outer + 60, foot, "foot out"), (outer + 60, foot + 30, "toe"), (outer, foot + 30, "")]
        corners = [Corner(*row) for row in rows]
        if self.style.inverted:
            corners.reverse()
        middle = self.low - 50 if not self.style.inverted else self.top + 50
        overlap = self.low + 45 if not self.style.inverted else self.top - 30
        at = (RAILS / 2 + 10, middle if kind == "leg inner" else overlap)
        return Piece(what=kind, kind=kind, hand=1, corners=corners, at=at)

    # ---- battens and fasteners

    def sections(self, name: str) -> list[list[Point]]:
        long, short = BATTENS[name]
        middle = np.array(self.lines.place(self.n, name))
        if name == "keel":
            axes, sides = np.eye(2), [long, short / np.cos(self.rake)]
        else:
            axes = np.eye(2) if self.rake else np.array([self.lines.out, self.lines.up])
            sides = [short, long / np.cos(self.rake)]
        corners = [(a * sides[0] / 2, b * sides[1] / 2) for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
        port = [tuple(map(float, middle + a * axes[0] + b * axes[1])) for a, b in corners]
        return [port] if name == "keel" else [port, [(-y, v) for y, v in port]]

    def screws(self) -> list[Hole]:
        """Those of the gussets, on both faces, staggered, two in every member."""
        out = []
        top, reach = self.low + DEEP, self.lines.reach
        far = reach - 14
        spots = {
            "forward": [(self.inner(self.low + n) - far, self.low + n) for n in (20, 55)],
            "aft": [(self.inner(self.low + n) - far, self.low + n) for n in (37, 75)],
        }
        for face, v, shift in (("forward", top + 30, 0), ("aft", top + 14, 0)):
            spots[face] += [(self.inner(v) + n + shift, v) for n in (18, 60)]
        if self.kind == "ring":
            wide = self.lines.wide - 30
            for face, ends, v in (("forward", (16, 50), self.beam - 30), ("aft", (28, 62), self.beam - 42)):
                spots[face] += [(self.inner(self.beam + n) - far, self.beam + n) for n in ends]
                spots[face] += [(self.inner(v) + n, v) for n in (14, wide - 14)]
        for face, at in spots.items():
            out += [Hole(at=(side * y, v), face=face) for y, v in at for side in (1, -1)]
        return out

    def dowels(self) -> list[Point]:
        """Under and over the bars, in the keel's notch, along both edges of the sides and in the chine's notch."""
        keel = self.keel()[0].y
        port = [(keel - 5, self.low + 5), (60.0, self.low - 5), (75.0, self.low + DEEP + 5)]
        s = (self.lines.heights["chine"] - self.lines.heights["low"]) / np.cos(self.lines.flare)
        notch = self.notch("chine")
        for corner, side in ((notch[0], 1), (notch[3], -1)):
            y, v = np.array(corner.at) - 4 * self.lines.out + side * 5 * self.lines.up
            port.append((float(y), float(v)))
        port += [
            self.point(s - 60, -5),
            self.point(self.lines.length - 65, -5),
            self.point(s + 55, self.lines.wide + 5),
        ]
        if self.kind == "ring":
            port += [(60.0, self.beam - 5), (75.0, self.top + 5)]
        return [(side * y, v) for y, v in port for side in (1, -1)]
