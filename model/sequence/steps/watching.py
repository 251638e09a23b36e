"""What to watch in a step: measured on the boat, said in a sentence each."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from math import degrees

from scrieve.shared.tolerances import SLIVER
from scrieve.shared.wording import mm

from ...boat.frame import Frame
from ...boat.part import Part
from ...relations.joints.joint import joints
from ...relations.joints.lap import seat_of
from ..measurements.batten_runs import BattenRun
from ..measurements.leg_lengths import LegLength, LegPlyLength
from ..measurements.resting import Resting, standing_out
from .cards import BEVELS
from .words import in_a_row, named, short, sideless, signed


def pockets_lie(parts: Iterable[Part], up: str) -> Iterator[str]:
    """On which face each part has pockets, how deep they are, and whether that face lies `up`."""
    for part in parts:
        cut = sorted({(pocket.face, pocket.depth) for pocket in part.pockets})
        for face in dict.fromkeys(face for face, _ in cut):
            depths = in_a_row([f"{depth:g}" for own, depth in cut if own == face])
            way = "up" if face == up else "down"
            yield f"{short(part.name)}: pockets {depths} mm deep in its {face} face, which lies {way}"


def let_in(parts: Iterable[Part], frame: Frame) -> Iterator[str]:
    """Which plates are let into the core, and how they end."""
    for plate in parts:
        seat = seat_of(plate, frame)
        if seat is not None:
            out = standing_out(plate, frame)
            ends = "flush with" if abs(out) <= SLIVER else f"{abs(out):.1f} mm {'past' if out > 0 else 'below'}"
            yield f"{short(plate.name)}: let into the {short(seat[0].name)}, {ends} its {plate.face} face"


def joints_made(part: Part, placed: Iterable[Part], frame: Frame) -> Iterator[str]:
    """The joints of a core part with those that lie already, where they are drawn tight or open."""
    there = set(placed)
    for joint in joints(frame):
        if part not in (joint.first, joint.second) or joint.other(part) not in there:
            continue
        other = short(joint.other(part).name)
        if joint.overlap > SLIVER:
            yield f"tight against the {other}: drawn {mm(joint.overlap)} over it, ease it until it goes in by hand"
        if joint.gap > SLIVER:
            yield f"open against the {other}: drawn {mm(joint.gap)} off it, to be filled with glue"


LEG_LETTERS = (
    "A, B outer and inner edge, foot to head; C tongue below the foot; D over all; E lap on the core; "
    "F, G inner and outer edge, H edge for the rail, off the centreline; J foot to the core's lowest edge"
)
"""By which letters the measures of legs go, in mm; the drawing has the same."""

LEGS_STAND = (
    "the plies of each glued to one another first, flush at the foot; one of each hand, head tight on the core; "
    "clamped until the glue is hard"
)
"""Common practice, no source."""

_OF_PLIES = "ABDE"  # the others are mostly those of all plies


def ply_letters(ply: LegPlyLength, leg: LegLength) -> dict[str, float]:
    """The measures of a ply and its leg that there are, by their letters."""
    found = {
        "A": ply.outer, "B": ply.inner, "C": ply.tongue, "D": ply.whole, "E": ply.lap, "F": ply.across[0],
        "G": ply.across[1], "H": leg.rail, "J": leg.off_core,
    }  # fmt: skip
    return {
        letter: value for letter, value in found.items() if value is not None and (letter not in "CE" or value > SLIVER)
    }


def leg_measures(legs: Sequence[LegLength]) -> Iterator[str]:
    """How long the plies of these legs are and where they stand, by letters; what plies have alike together."""
    own: dict[str, list[str]] = {}
    alike: dict[str, list[str]] = {}
    for leg in legs:
        for ply in leg.plies:
            letters = {letter: f"{letter} {value:.1f}" for letter, value in ply_letters(ply, leg).items()}
            own.setdefault(_in_mm(letters, _OF_PLIES), []).append(ply.name)
            for some in ("CFGH", "J"):
                alike.setdefault(_in_mm(letters, some), []).append(ply.name)
            if ply.face != "core":
                alike.setdefault(f"on the {ply.face} face", []).append(ply.name)
    for measures, names in own.items():
        yield f"{_plies(names)}: {measures}"
    every = sum(len(leg.plies) for leg in legs)
    for measures, names in alike.items():
        if measures:
            yield measures if len(names) == every else f"{_plies(names)} {measures}"
    if legs:
        yield LEG_LETTERS


def _in_mm(letters: Mapping[str, str], wanted: str) -> str:
    found = [words for letter, words in letters.items() if letter in wanted]
    return f"{', '.join(found)} mm" if found else ""


def _plies(names: Sequence[str]) -> str:
    """ "inner" for the plies "port leg inner" and "starboard leg inner"; else their names."""
    kinds = {sideless(name) for name in names}
    both = len(names) == 2 and len(kinds) == 1 and " and " in named(names)
    return kinds.pop().removeprefix("leg ") if both else named(names)


def on_strips(rests: Resting) -> str:
    """What a turned frame lies on, and why so high."""
    packed = f", {in_a_row([f'{each:g}' for each in rests.packing])} mm under the plates" if rests.packing else ""
    clear = f", clear of the dowels, which stand {rests.dowels:g} mm" if rests.dowels else ""
    return f"on strips of {rests.strips:g} mm under the core{packed}{clear}"


def wetting(notches: str, *, turned: bool) -> Iterator[str]:
    """What is wet out, how, and what is not. Common practice, no source."""
    yield "both faces of each joint; end grain again when it has drunk the first"
    if turned:
        yield "the other face's joints not before the frame is turned"
    if notches:
        yield f"no glue in the notches: {notches}"


def glueing(*, plates: bool, turned: bool) -> Iterator[str]:
    """How a frame is glued up. Common practice, no source: the data sheet goes first."""
    yield "thickened glue on one face, film under every joint, the parts back as they lay dry, on their dowels if any"
    yield f"wipe what comes out, take the mask off{'; weights on film on the corners' if plates else ''}"
    if turned:
        yield "turn it when the first face is hard, never wet; then wet out and glue the other, on the same strips"
    yield "hard is when a dab of the same mix on a scrap is; flat until then"


def notch_bevels(frame: Frame, runs: Mapping[str, BattenRun]) -> Iterator[str]:
    """How the notches of a frame are eased, once it is hard and off its dowels; a pair that is alike once."""
    told: dict[str, None] = {}
    for name, run in runs.items():
        for bevel in (bevel for bevel in run.bevels if bevel.frame == frame.name):
            walls = f"/{degrees(bevel.walls):.1f}°" if round(degrees(bevel.walls), 1) else ""
            told[f"{sideless(name)} {signed(degrees(bevel.floor))}°{walls}"] = None
    if told:
        yield f"hard: ease the notches, {', '.join(told)}: {BEVELS}"


def open_notches(frame: Frame) -> str:
    """The battens whose notches have to stay free of glue: "keel, chine"; empty for none."""
    return ", ".join(dict.fromkeys(sideless(section.batten) for section in frame.sections))
