"""Begins a plan: a folder's drawings -> what they show -> the text of `plan.toml`, and what was found on the way."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import shapely

from scrieve.shared.errors import ScrieveError, UseError
from scrieve.shared.plain_text import plain
from scrieve.shared.units import PLAN_UNITS, UNIT_NAMES

from ..plan.toml_fields import name_in_plan
from .begun_text import Readings, plan_text
from .content import Content, content_of
from .core_layers import core_layers
from .drawings_found import drawings_in, read_all
from .frames_found import frames_in
from .frames_named import NamedFrame, named, seen_of
from .layer_evidence import FrameOutlines, evidence, outlines_of
from .layer_taken import LayerTaken
from .layers_taken import layers_taken
from .measures import BattenGuess, battens, cutter, inside_width, usual
from .notch_guess import notched_battens
from .sheets_found import FoundSheet, sheets_among, stocks
from .side_words import side_words
from .unit_guess import unit_of

_MOST_FRAMES = 500  # and other views of them
_OPENING = 0.1  # share of a board's wood that its holes take at most; a ring or a door in a bulkhead takes more


@dataclass(frozen=True, kw_only=True, eq=False)
class Begun:
    """A plan that is begun: its `text`, and the keys of it that are `blank`.

    `layers` are those of the frame drawings; `rest` are drawings that show neither frames nor their parts, `drawings`
    the files of all. So many sections of battens are `nameless`, so many `views` left out.
    """

    text: str
    blanks: tuple[str, ...]
    layers: tuple[LayerTaken, ...]
    frames: tuple[NamedFrame, ...]
    sheets: tuple[FoundSheet, ...]
    stock_of: dict[str, str]
    rest: tuple[str, ...]
    nameless: int
    views: int
    drawings: tuple[Path, ...]


def begin(folder: Path, plan_folder: Path | None = None) -> Begun:
    """The first plan for the drawings in a folder, to lie in it or in one above, the `plan_folder`; nothing is written.

    Raises UseError for a folder without drawings, or without frames in them, DrawingError for one that cannot be read;
    their paths are as the user named the folder.
    """
    files = drawings_in(folder, plan_folder or folder)
    try:
        return _begun(folder, files)
    except ScrieveError as problem:
        paths = {plain(shown): plain(str(path)) for shown, path in files.items()}
        raise type(problem)(replace(each, path=paths.get(each.path, each.path)) for each in problem.mistakes) from None


def _begun(folder: Path, files: dict[str, Path]) -> Begun:
    contents = {shown: content_of(drawing) for shown, drawing in read_all(files, "mm").items()}
    unit, unit_because = _unit(contents)
    if unit != "mm" and any(content.drawing.unit_assumed for content in contents.values()):
        again = {shown: files[shown] for shown, content in contents.items() if content.drawing.unit_assumed}
        contents |= {shown: content_of(drawing) for shown, drawing in read_all(again, unit).items()}
    found = [frame for content in contents.values() for frame in frames_in(content)]
    bare = not found
    if bare:
        found = [frame for content in contents.values() for frame in frames_in(content, bare=True)]
    if len(found) > _MOST_FRAMES:
        raise UseError.at(f"at most {_MOST_FRAMES} frames are wanted (got {len(found)})", path=str(folder))
    words = side_words(text.text for content in contents.values() for text in content.drawing.texts)
    frames = named(found, words)
    if not frames:
        what = "no frame is found in these drawings: closed outlines to both sides of a centreline are wanted"
        raise UseError.at(what, path=str(folder))
    if bare and _laid_out(frames):
        what = "no frame is found in these drawings: they look like cut sheets; those of the frames are wanted too"
        raise UseError.at(what, path=str(folder))
    with_frames = [content for shown, content in contents.items() if shown in {frame.drawing for frame in frames}]
    others = [content for content in contents.values() if content not in with_frames]
    outlined = [outlines_of(frame) for frame in frames]
    cores = core_layers(outlined)
    sheets, times = sheets_among(others, outlined)
    layers = layers_taken(with_frames, outlined, cores, evidence(outlined, cores), times=times)
    of_parts = {layer.layer: _kind(layer) for layer in layers if layer.makes_part}
    guessed, stock_of = stocks(sheets, of_parts)
    drawn, nameless = battens(outlined, [layer.layer for layer in layers if layer.makes == "batten"], words)
    size = cutter(outlined, of_parts)
    if not drawn:
        drawn = notched_battens(outlined, cores, size)
    seen = seen_of(frames)
    read = Readings(
        name=name_in_plan(folder.resolve().name) or "boat",
        unit=unit,
        unit_because=unit_because,
        seen=seen,
        build=_build(outlined, cores),
        cutter=size,
        stocks=guessed,
        stock_of=stock_of,
        width=inside_width(outlined, [layer.layer for layer in layers if layer.role == "leg"]),
        dowel=usual(size for layer in layers if layer.makes == "dowel" for size in layer.diameters),
        screws=_screws(layers),
        battens=[_sided(batten, seen[0]) for batten in drawn],
        layers=layers,
        words=words,
        frames=frames,
        boards=_boards(outlined, cores),
        sheets=[sheet for sheet in sheets if sheet.shown in stock_of],
    )
    text = plan_text(read)
    return Begun(
        text=text,
        blanks=tuple(read.blanks),
        layers=tuple(layers),
        frames=tuple(frames),
        sheets=tuple(read.sheets),
        stock_of=stock_of,
        rest=tuple(content.drawing.shown for content in others if content.drawing.shown not in stock_of),
        nameless=nameless,
        views=len(found) - len(frames),
        drawings=tuple(files.values()),
    )


def _laid_out(frames: Sequence[NamedFrame]) -> bool:
    """Whether outlines without a centreline are parts on a sheet: several in one drawing that say no number."""
    many = Counter(frame.drawing for frame in frames)
    return any(many[frame.drawing] > 1 and not frame.told for frame in frames)


def _unit(contents: dict[str, Content]) -> tuple[str, str]:
    """The plan's unit and why: that of drawings which say none, as these are in the plan's; else the drawings' own."""
    silent = [content for content in contents.values() if content.drawing.unit_assumed]
    if silent:
        unit, why = unit_of(silent)
        return unit, "guess: the drawings say no unit" + (f"; {why}" if why else " and their sizes do not tell")
    own = Counter(content.drawing.unit for content in contents.values()).most_common(1)[0][0]
    if own in PLAN_UNITS:
        return own, "as the drawings say"
    return "mm", f"the drawings are in {UNIT_NAMES[own]}, which a plan has not"


def _kind(layer: LayerTaken) -> str:
    """What stock the parts on a layer are likely cut from: legs from that of the core, plates by what they are."""
    if layer.face == "core" or layer.role == "leg":
        return "core"
    name = "".join(c if c.isascii() and c.isalnum() else "-" for c in layer.layer.casefold()).strip("-")
    return "gussets" if layer.role == "gusset" else name or "plates"


def _build(outlined: Sequence[FrameOutlines], cores: Sequence[str]) -> tuple[str, str]:
    woods = [outlines.wood(cores) for outlines in outlined]
    heights = [float(whole.centroid.y) for whole in woods if not whole.is_empty]
    if 2 * sum(height > 0 for height in heights) >= len(heights):
        return "upright", "the frames are drawn above the datum line"
    return "inverted", "the frames are drawn below the datum line"


def _boards(outlined: Sequence[FrameOutlines], cores: Sequence[str]) -> frozenset[str]:
    """The frames at the ends of the boat whose core is one board, with no opening to speak of."""
    out = set()
    for outlines in {id(each): each for each in (outlined[0], outlined[-1])}.values():
        parts, found = outlines.on(cores), outlines.frame.found
        wood = float(shapely.area(parts).sum())
        drawn = float(shapely.area(found.regions[np.isin(found.layers, cores)]).sum())
        if len(parts) == 1 and drawn - wood < _OPENING * wood and not found.half:
            out.add(outlines.frame.number)
    return frozenset(out)


def _screws(layers: Sequence[LayerTaken]) -> list[tuple[str, float, tuple[str, ...]]]:
    """The kinds of screws: name, diameter (0 where none is drawn), layers. Two from one face differ in something."""
    kinds: dict[tuple[float, int], list[str]] = defaultdict(list)
    alike: Counter[tuple[float, str]] = Counter()
    for layer in sorted(layers, key=lambda layer: -sum(layer.counts.values())):
        if layer.makes == "screw":
            size = usual(layer.diameters) or 0.0
            kinds[size, alike[size, layer.driven_from]].append(layer.layer)
            alike[size, layer.driven_from] += 1
    most_first = sorted(kinds.items(), key=lambda kind: (-len(kind[1]), kind[0]))
    return [
        (f"screws-{n}" if n > 1 else "gusset", size, tuple(names))
        for n, ((size, _), names) in enumerate(most_first, start=1)
    ]


def _sided(batten: BattenGuess, seen: str) -> BattenGuess:
    """The batten with its side in words of the boat."""
    sides = {"left": "port", "right": "starboard"} if seen == "from aft" else {"left": "starboard", "right": "port"}
    return replace(batten, sides=sides.get(batten.sides, batten.sides))
