"""How a boat is built and how she is drawn: habits that are switched one by one, or all together by a seed."""

from __future__ import annotations

import random
from dataclasses import dataclass, field, fields

Line = list[tuple[float, float]]

JOINTS: dict[str, Line] = {
    "butt": [(0, 0), (0, 1)],
    "bevel": [(60, 0), (0, 1)],
    "half-lap": [(40, 0), (40, 0.5), (0, 0.5), (0, 1)],
    "finger": [(40, 0), (40, 0.25), (0, 0.25), (0, 0.5), (40, 0.5), (40, 0.75), (0, 0.75), (0, 1)],
    "tenon": [(0, 0), (0, 0.3), (22, 0.3), (22, 0.7), (0, 0.7), (0, 1)],
    "tongue": [(0, 0), (0, 0.38), (20, 0.38), (20, 0.62), (0, 0.62), (0, 1)],
    "birdsmouth": [(0, 0), (25, 0.5), (0, 1)],
    "scarf": [(50, 0), (50, 0.2), (15, 0.8), (0, 0.8), (0, 1)],
    "standing": [],
}
"""Lines of joints between floor and side as points (n, t): n mm beyond the inner edge of the side, t along it as a
share of the depth. Where sides stand upon the floor the line is their lower end."""


AS_THEY_ARE = {"radius", "gap", "scale", "more", "changes"}  # no habits


@dataclass(frozen=True, kw_only=True)
class Style:
    """One boat's habits; the first group is of the boat, the second of her drawings, the third of her plan."""

    joint: str = "butt"
    relief: str = "dogbone"  # or "tbone"
    cutter: float = 10.0
    radius: float | None = None  # of the reliefs, mm; the cutter's unless given
    frames: int = 5
    flare: float = 0.0  # degrees
    core: float = 12.0
    sawn: bool = False  # of timber pieces: each side in two lengths
    cut: str = "plates"  # how they are joined: by "plates" on both faces, a "block" on one, a "scarf" under plates
    beams: str = "some"  # "none", "some", "all"
    one_piece: bool = False  # rings cut from one sheet
    bulkhead: bool = False  # the middle frame is one, with a door
    transoms: bool = False  # at both ends, raked
    limbers: bool = False
    lightened: bool = False
    doubler: bool = False  # over the keel's notch
    motor_board: bool = False  # on the inside of the aftmost transom
    gussets: str = "both"  # or "forward", "aft"
    shy: float = 0.0  # by which they stand in from the outer line, mm
    legs: str = "plain"  # "tongue", "foot", "past" (beyond the floor), "one-ply", or "" for none
    own_corner: bool = False  # each ply of a raked leg stands on the rail by its own corner
    inverted: bool = False

    sections: bool = True
    screws: str = ""  # "circle", "cross", "line", "insert", or "" for not at all
    dowels: bool = False
    half: bool = False
    blocks: bool = False
    loose: str = ""  # lines and arcs: "each" part with all its own, "once" where two share them
    engraved: str = ""  # names as strokes as well: on a layer that is not "named", or on "labels"
    labels: str = "words"  # "number", "behind", "comma", "letter", "marks"
    texts: str = "labels"  # layer: "labels", or the part's "own"
    views: bool = False  # both views of a frame beside one another
    together: bool = False  # all frames in one drawing
    thickness: bool = False  # layers are named by thickness alone

    sheets: bool = False  # cut sheets, one a stock
    gap: float = 20.0  # mm from part to part on them
    scale: float = 1.0  # of what is on the last of them

    station_at: str = "middle"
    unit: str = "mm"
    unitless: bool = False  # the drawings say no unit
    quoted: bool = False  # lengths in units of their own, timber and cutters in fractions of an inch
    more: str = ""  # added to the plan
    changes: dict[str, str] = field(default_factory=dict)  # of the plan's text

    @property
    def habits(self) -> tuple[str, ...]:
        """What sets it apart from the plainest boat, in words."""
        plain = Style()
        out = []
        for each in fields(self):
            value = getattr(self, each.name)
            if value == getattr(plain, each.name) or each.name in AS_THEY_ARE:
                continue
            shown = value if isinstance(value, str) else f"{value:g}"
            out.append(each.name if value is True else f"{each.name}={shown or 'none'}")
        return tuple(out)


def at_random(seed: int) -> Style:
    """The habits that this seed draws; those that exclude one another never together."""
    pick = random.Random(seed)

    def one(*these: object, plain: float = 0.0) -> object:
        """The first with this chance, else any."""
        return these[0] if pick.random() < plain else pick.choice(these)

    def some(chance: float) -> bool:
        return pick.random() < chance

    inverted, sawn, thickness = some(0.2), some(0.15), some(0.12)
    one_piece = not sawn and some(0.15)
    transoms = some(0.25)
    joint = "butt" if sawn else one(*JOINTS)
    half = not transoms and some(0.15)
    together = some(0.2)
    screws = "" if one_piece or sawn or some(0.6) else one("circle", "cross", "line", "insert")
    legs = one("one-ply", "past", "") if thickness else one("plain", "tongue", "foot", "past", "one-ply", "")
    gussets = "both" if screws else one("both", "forward", "aft", plain=0.6)
    dowels = not sawn and some(0.25)
    unit = one("mm", "mm", "in", "cm")
    quoted = some(0.2)
    labels = one("words", "number", "behind", "comma", "letter", "marks", plain=0.3)
    return Style(
        joint=joint,
        relief=one("dogbone", "tbone"),
        cutter=one(9.525, 6.35) if quoted else one(10.0, 6.0, 8.0),
        frames=5 if dowels else pick.randint(5, 7),
        flare=0.0 if transoms else one(0.0, 5.0, 9.0),
        core=20.0 if sawn else one(12.0, 18.0) if thickness else one(12.7, 19.05) if quoted else one(12.0, 15.0, 18.0),
        sawn=sawn,
        cut=one("plates", "block", "scarf") if sawn and gussets == "both" else "plates",
        beams="all" if inverted or one_piece else one("none", "some", "all"),
        one_piece=one_piece,
        bulkhead=some(0.2),
        transoms=transoms,
        limbers=some(0.4),
        lightened=some(0.3),
        doubler=not thickness and some(0.25),
        motor_board=transoms and not thickness and some(0.5),
        gussets=gussets,
        shy=one(0.0, 2.0, 5.0, plain=0.5),
        legs="" if inverted and legs in ("past", "foot") else legs,
        own_corner=some(0.5),
        inverted=inverted,
        sections=some(0.5),
        screws=screws,
        dowels=dowels,
        half=half,
        blocks=some(0.2),
        loose="" if half else one("", "each", "once", plain=0.6),
        engraved=one("", "named", "labels", plain=0.7),
        labels=labels,
        texts=one("labels", "own", plain=0.6),
        views=not half and some(0.15),
        together=together,
        thickness=thickness,
        sheets=some(0.3),
        station_at="middle" if dowels else one("middle", "aft face", "forward face"),
        unit=unit,
        unitless=some(0.2),
        quoted=quoted,
    )
