"""How the outlines of each layer lie in the frames: over the core, across its joints, in its notches, on the datum."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from numpy.typing import NDArray

from scrieve.shared.errors import DrawingError

from ..drawing.lay_out import MOST_OUTLINES
from ..proposals.battens.batten_sections import sides_of
from .frames_named import NamedFrame

Shapes = NDArray[np.object_]

_STANDING = 5.0  # mm; what comes this near to the datum line stands on it; a raked frame's legs are cut aslant
_TOUCHING = 1.0  # mm from a core part; further off it is no neighbour
_CORNER = 0.02  # share of a plate's area that lies over a part which it holds
_RECTANGLE = 0.98  # of the rectangle round it, less its round corners, that a section fills
_WIDEST = 300.0  # mm, of a batten's section; common practice, no source
_SLIM = 0.25  # of the frame's breadth that a batten's section measures at most


@dataclass(frozen=True, kw_only=True)
class Lying:
    """How one outline lies: the share of it over the core, how many core parts it holds, and the rest as said."""

    over: float
    holds: int
    named: bool
    stands: bool
    section: bool
    beside: bool


@dataclass(kw_only=True)
class Evidence:
    """What the frames show of the outlines on one layer, holes left out."""

    lying: list[Lying] = field(default_factory=list)

    def share(self, quality: str) -> float:
        """The share of them that are so: `named`, `stands`, `section` or `beside`; 0 where there are none."""
        return sum(getattr(each, quality) for each in self.lying) / len(self.lying) if self.lying else 0.0

    @property
    def over(self) -> float:
        """The share of the usual one that lies over the core."""
        return float(np.median([each.over for each in self.lying])) if self.lying else 0.0

    @property
    def holding(self) -> float:
        """The share of them that lie over two core parts or more."""
        return sum(each.holds > 1 for each in self.lying) / len(self.lying) if self.lying else 0.0


@dataclass(frozen=True, kw_only=True, eq=False)
class FrameOutlines:
    """A frame's outlines that are no holes, with their layers and the texts in them, and its core; from its origin."""

    frame: NamedFrame
    places: NDArray[np.intp]
    regions: Shapes
    layers: tuple[str, ...]
    texts: tuple[tuple[str, ...], ...]

    def on(self, layers: Iterable[str]) -> Shapes:
        """The outlines on these layers."""
        wanted = set(layers)
        return np.array(
            [r for r, layer in zip(self.regions, self.layers, strict=True) if layer in wanted], dtype=object
        )

    def wood(self, layers: Iterable[str]) -> shapely.Geometry:
        """The same as one shape; those that cross themselves are mended."""
        return shapely.union_all(shapely.buffer(self.on(layers), 0.0))


def outlines_of(frame: NamedFrame) -> FrameOutlines:
    """The outlines of a frame that are no holes: no nameless ones within another of their layer.

    Raises DrawingError where a frame has more outlines than any has.
    """
    found = frame.found
    if len(found.regions) > MOST_OUTLINES:
        what = f"frame {frame.number} may hold at most {MOST_OUTLINES} outlines (got {len(found.regions)})"
        raise DrawingError.at(what, path=frame.drawing)
    tree, areas = shapely.STRtree(found.regions), shapely.area(found.regions)
    texts: dict[int, list[str]] = defaultdict(list)
    for text in frame.texts:
        at = shapely.points(np.array(text.at) - found.origin)
        inside = tree.query(at, predicate="within").tolist()
        own = [n for n in inside if found.layers[n] == text.layer] or inside
        for n in sorted(own, key=lambda n: float(areas[n]))[:1]:
            texts[n].append(text.text)
    inner, outer = tree.query(found.regions, predicate="within")
    holes = {
        n
        for n, m in zip(inner.tolist(), outer.tolist(), strict=True)
        if n != m and found.layers[n] == found.layers[m] and n not in texts
    }
    kept = [n for n in range(len(found.regions)) if n not in holes]
    return FrameOutlines(
        frame=frame,
        places=found.pieces[kept],
        regions=found.regions[kept],
        layers=tuple(found.layers[kept].tolist()),
        texts=tuple(tuple(texts.get(n, ())) for n in kept),
    )


def evidence(frames: Sequence[FrameOutlines], cores: Sequence[str]) -> dict[str, Evidence]:
    """What the frames show of every layer with outlines, `cores` being those of the core."""
    out: dict[str, Evidence] = defaultdict(Evidence)
    for outlines in frames:
        parts = outlines.on(cores)
        whole = outlines.wood(cores)
        tree = shapely.STRtree(parts)
        breadth = outlines.frame.found.box[2] - outlines.frame.found.box[0]
        for n, region in enumerate(outlines.regions):
            area = max(region.area, 1e-9)
            near = [parts[k] for k in tree.query(region).tolist() if parts[k] is not region]
            shared = shapely.area(shapely.intersection(region, near)) if near else np.zeros(0)
            low, high = region.bounds[1], region.bounds[3]
            content, place = outlines.frame.found.content, int(outlines.places[n])
            outline = content.outlines[place]
            rounds = content.radii(place, inward=False)
            square = area + (1 - np.pi / 4) * float(np.sum(rounds**2))
            out[outlines.layers[n]].lying.append(
                Lying(
                    over=float(whole.intersection(region).area / area),
                    holds=int(np.count_nonzero(shared > _CORNER * area)),
                    named=bool(outlines.texts[n]),
                    stands=low <= _STANDING and high >= -_STANDING,
                    section=_is_section(sides_of(outline)[:2], square, len(outline.points), breadth),
                    beside=bool(whole.distance(region) <= _TOUCHING),
                )
            )
    return dict(sorted(out.items()))


def _is_section(sides: tuple[float, float], area: float, corners: int, breadth: float) -> bool:
    """Whether an outline is a batten's section, by its sides and its area if none of its corners were round."""
    long, short = sides
    slim = long <= min(_WIDEST, _SLIM * breadth)
    return slim and 4 <= corners <= 8 and area >= _RECTANGLE * long * short
