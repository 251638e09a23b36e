"""Goes through the objects of a drawing, down into its blocks, and sorts what they draw by layer."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Sequence
from itertools import islice

from scrieve.shared.errors import DrawingError, Mistake
from scrieve.shared.findings import Level, Source
from scrieve.shared.nearest import nearest
from scrieve.shared.sentences import Name, Quantity, Sentence
from scrieve.shared.wording import joined

from ..boat.defect import Defect
from ..dxf_library import AttDef, BlocksSection, Circle, DXFEntity, Insert, MText, Point, Text
from ..geometry.outline import Outline
from .broken import decoded, plain
from .drawn import DrawnCircle, DrawnOutline, DrawnPoint, DrawnText
from .plane_map import PlaneMap
from .run import CurveError, Run, check_place
from .shapes_of import (
    NoOutlineError,
    NotFlatError,
    RunObject,
    array_size,
    block_maps,
    circle_drawn,
    own_axes,
    point_drawn,
    run_drawn,
    text_drawn,
)

MOST_OBJECTS = 200_000
"""objects of one drawing, those in blocks counted each time they are inserted; a frame drawing has hundreds."""

MOST_CORNERS = 2_000_000
"""corners and letters of one drawing, curves flattened; what is closed counts as a sixth, as it takes less memory."""

_LIGHTER = 6

_DEEPEST = 64  # blocks within blocks
_TOLD = 20  # objects that cannot be read that are told one by one
_MISSPELT = 0.85  # how like two names of layers are where one is taken for a slip of the other
_NAMED = 8  # layers or kinds that a note names before it only counts the rest
_BLOCK_LAYER = "0"  # objects of a block on it take the layer of the INSERT


class Collector:
    """Sorts what the objects of one drawing draw.

    `runs` that are open, `outlines`, `circles`, `points` and `texts` fill up with what lies on the layers asked for,
    in drawing axes, mm; `unnamed` counts objects on other layers.
    """

    def __init__(
        self, blocks: BlocksSection, *, shown: str, layers: Collection[str] | None, budget: int, gap: float
    ) -> None:
        self._blocks = blocks
        self._shown = shown
        self._named = None if layers is None else {name.casefold(): name for name in sorted(layers)}
        self._spelled: dict[str, str] = {}
        self._budget = budget
        self._objects = 0
        self._sizes: dict[str, int] = {}
        self._corners = 0
        self._gap = gap
        self.runs: dict[str, list[tuple[Run, Source]]] = defaultdict(list)
        self.outlines: dict[str, list[DrawnOutline]] = defaultdict(list)
        self.circles: list[DrawnCircle] = []
        self.points: list[DrawnPoint] = []
        self.texts: list[DrawnText] = []
        self.unnamed: Counter[str] = Counter()
        self._no_outline: Counter[tuple[str, str]] = Counter()
        self._tilted: Counter[tuple[str, str]] = Counter()
        self._no_block: Counter[str] = Counter()
        self._unread: list[tuple[str, str, str]] = []

    def take_all(self, objects: Iterable[DXFEntity], place: PlaneMap) -> None:
        """Takes the objects of model space. Raises DrawingError."""
        for entity in objects:
            self._take(entity, place, _own_layer(entity), str(entity.dxf.handle or ""), ())

    def defects(self) -> list[Defect]:
        """What was left out, a note or warning for each reason."""
        source = Source(file=self._shown)
        left: tuple[tuple[Level, str, str, Counter[str]], ...] = (
            (Level.NOTE, "not read: {many} on layers that the plan does not name: {tally}", "object", self.unnamed),
            (Level.NOTE, "not read, as they draw no outline: {many}: {tally}", "object", _on_layers(self._no_outline)),
            (
                Level.WARNING,
                "left out, as they do not lie flat in the drawing's plane: {many}: {tally}",
                "object",
                _on_layers(self._tilted),
            ),
            (
                Level.WARNING,
                "left out, as the drawing does not hold their block: {many}: {tally}",
                "insert",
                self._no_block,
            ),
        )
        defects = [
            Defect(
                message=Sentence.of(template, many=counted(counts.total(), what), tally=_tally(counts)),
                level=level,
                source=source,
                cure=misspelt(self.unnamed, (self._named or {}).values()) if counts is self.unnamed else "",
            )
            for level, template, what, counts in left
            if counts
        ]
        unread = dict.fromkeys(self._unread)  # one object of a block inserted often is told once
        defects += [
            Defect(
                message=Sentence.of("{what} cannot be read, and is left out: {why}", what=Name(what), why=why),
                source=Source(file=self._shown, handle=handle),
                cure="draw it anew, or take it out of the drawing",
            )
            for what, why, handle in islice(unread, _TOLD)
        ]
        if len(unread) > _TOLD:
            more = Quantity.of(len(unread) - _TOLD, str(len(unread) - _TOLD))
            defects.append(Defect(message=Sentence.of("{more} more objects cannot be read", more=more), source=source))
        return defects

    def _take(self, entity: DXFEntity, place: PlaneMap, layer: str, handle: str, within: tuple[str, ...]) -> bool:
        """Takes one object; True if it draws a circle or a point, which may be what a block stands for."""
        self._objects += 1
        if self._objects > self._budget:
            raise self._error(f"at most {self._budget} objects are wanted, those in blocks counted at every place")
        kind = entity.dxftype()
        try:
            if isinstance(entity, Insert):
                return self._insert(entity, place, layer, handle, within)
            if isinstance(entity, AttDef) and within and not entity.is_const:
                return False  # the pattern of the attributes, not drawn itself
            name = self._layer(layer)
            if name is None:
                self.unnamed[plain(layer)] += 1
                return False
            return self._draw(
                entity, place, name, Source(file=self._shown, handle=handle, layer=name, bound=bool(within))
            )
        except NotFlatError:
            self._tilted[kind, self._layer(layer) or plain(layer)] += 1
        except NoOutlineError:
            self._no_outline[kind, self._layer(layer) or plain(layer)] += 1
        except CurveError as problem:
            self._unread.append((f"{kind} {handle} on layer {plain(layer)}", str(problem), handle))
        return False

    def _draw(self, entity: DXFEntity, place: PlaneMap, layer: str, source: Source) -> bool:
        if isinstance(entity, RunObject):
            return self._keep(run_drawn(entity, place, self._gap), layer, source)
        if isinstance(entity, Circle):
            drawn = circle_drawn(entity, place)
            if isinstance(drawn, tuple):
                centre, radius = drawn
                if radius > 0.0:
                    self._spend(Outline.circle(centre, radius).count_flattened() // _LIGHTER)
                    self.circles.append(DrawnCircle(layer=layer, centre=centre, radius=radius, source=source))
                else:
                    self.points.append(DrawnPoint(layer=layer, at=centre, source=source))
                return True
            return self._keep(drawn, layer, source)
        if isinstance(entity, Point):
            self.points.append(DrawnPoint(layer=layer, at=point_drawn(entity, place), source=source))
            return True
        if isinstance(entity, Text | MText):
            written = text_drawn(entity, place)
            self._spend(len(written.text))
            if written.text:
                self.texts.append(
                    DrawnText(
                        layer=layer,
                        text=written.text,
                        at=written.at,
                        middle=written.middle,
                        source=source,
                        mirrored=written.mirrored,
                    )
                )
            return False
        raise NoOutlineError

    def _keep(self, run: Run | None, layer: str, source: Source) -> bool:
        if run is None:
            return False
        if not run.closed:
            self._spend(len(run.points))
            self.runs[layer].append((run, source))
            return False
        outline = Outline.of(run.points, run.bulges)
        self._spend(1 + outline.count_flattened() // _LIGHTER)
        self.outlines[layer].append(DrawnOutline(layer=layer, outline=outline, source=source))
        return all(run.bulges)

    def _insert(self, entity: Insert, place: PlaneMap, layer: str, handle: str, within: tuple[str, ...]) -> bool:
        name = str(entity.dxf.get("name", ""))
        block = self._blocks.get(name)
        if block is None or block.block_record.is_xref:
            self._no_block[plain(name)] += 1
            return False
        key = name.casefold()
        if key in within:
            raise self._error(f"a block may not hold itself (got block {plain(name)} within itself)")
        if len(within) >= _DEEPEST:
            raise self._error(f"blocks at most {_DEEPEST} deep are wanted (got more)")
        rows, columns = array_size(entity)
        self._objects += rows * columns - 1
        if self._objects + rows * columns * self._size(name) > self._budget:
            array = f"INSERT {handle} is an array of {rows} x {columns} blocks"
            nested = f"INSERT {handle} alone draws more by block {plain(name)}"
            raise self._error(f"at most {self._budget} objects are wanted ({array if rows * columns > 1 else nested})")
        outer = own_axes(entity, place)
        x, y, _ = block.base_point
        inner, shifts = block_maps(entity, (x, y))
        if inner.flat:
            raise CurveError("its scale is 0 or no number")
        for u, v in (shifts[0], shifts[-1]):
            check_place(outer.point(inner.e + u, inner.f + v))
        content = list(block)
        marks = False
        for u, v in shifts:
            moved = outer.of(inner._replace(e=inner.e + u, f=inner.f + v))
            gave = [self._take(e, moved, self._within(e, layer), handle, (*within, key)) for e in content]
            marks = any(gave) or self._mark(layer, moved.point(x, y), handle) or marks
        for attribute in entity.attribs:
            if not attribute.is_invisible:
                self._take(attribute, place, self._within(attribute, layer), handle, (*within, key))
        return marks

    def _size(self, name: str, depth: int = 0) -> int:
        """How many objects a block holds, those of blocks in it at every place; past the budget any such number."""
        key = name.casefold()
        if key not in self._sizes:
            self._sizes[key] = 0  # of a block that holds itself, which is told where it is drawn
            size = 0
            for entity in self._blocks.get(name) or ():
                size += 1
                if isinstance(entity, Insert) and depth < _DEEPEST:
                    rows, columns = array_size(entity)
                    size += rows * columns * (self._size(str(entity.dxf.get("name", "")), depth + 1) + 1) - 1
                if size > self._budget:
                    break
            self._sizes[key] = size
        return self._sizes[key]

    def _mark(self, layer: str, at: tuple[float, float], handle: str) -> bool:
        """Notes the place of a block that draws no centre itself; False if its layer is not named."""
        check_place(at)
        name = self._layer(layer)
        if name is not None:
            source = Source(file=self._shown, handle=handle, layer=name)
            self.points.append(DrawnPoint(layer=name, at=at, source=source, of_block=True))
        return name is not None

    @staticmethod
    def _within(entity: DXFEntity, layer: str) -> str:
        """The layer of an object in a block that is inserted on `layer`."""
        own = _own_layer(entity)
        return layer if own == _BLOCK_LAYER else own

    def _layer(self, layer: str) -> str | None:
        """The layer as the plan spells it, None if the plan does not name it."""
        key = layer.casefold()
        if self._named is None:
            return self._spelled.setdefault(key, plain(layer))
        return self._named.get(key)

    def _spend(self, corners: int) -> None:
        self._corners += corners
        if self._corners > MOST_CORNERS:
            raise self._error(f"at most {MOST_CORNERS} corners and letters are wanted (got more)")

    def _error(self, what: str) -> DrawingError:
        return DrawingError([Mistake(path=self._shown, what=what)])


def _own_layer(entity: DXFEntity) -> str:
    # in a damaged file things that have no layer at all may stand among the drawn ones
    return decoded(str(entity.dxf.layer)) if entity.dxf.hasattr("layer") else _BLOCK_LAYER


def counted(number: int, what: str) -> Quantity:
    """ "1 object", "3 objects"."""
    return Quantity.of(number, f"1 {what}" if number == 1 else f"{number} {what}s")


def _on_layers(counts: Counter[tuple[str, str]]) -> Counter[str]:
    return Counter({f"{kind} on layer {layer}": number for (kind, layer), number in counts.items()})


def misspelt(unnamed: Iterable[str], named: Iterable[str]) -> Sentence | str:
    """The cure of layers whose names are nearly those of others; empty where none is."""
    named = list(named)
    near = [(layer, found) for layer in sorted(unnamed) if (found := nearest(layer, named, like=_MISSPELT))]
    said = [Sentence.of("{layer} is nearly {like}", layer=Name(layer), like=Name(like)) for layer, like in near]
    return Sentence.of("look whether a layer is misspelt: {near}", near=joined(said)) if near else ""


def _tally(counts: Counter[str]) -> Name:
    """ "HATCH (3), LEADER (1)", those that are most first; past a few only how many more there are."""
    ranked: Sequence[tuple[str, int]] = sorted(counts.items(), key=lambda item: (-item[1], item[0]))
    said = ", ".join(f"{name} ({number})" for name, number in ranked[:_NAMED])
    rest = sum(number for _, number in ranked[_NAMED:])
    return Name(f"{said} and {rest} more" if rest else said)
