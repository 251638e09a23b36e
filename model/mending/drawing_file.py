"""A DXF file to which edits are made object by object; whatever no edit is about stays as it is, byte for byte."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from copy import copy
from functools import cached_property
from itertools import pairwise
from math import hypot

import numpy as np
import shapely

from scrieve.shared.edits import Add, Move, OfDrawing, Relabel, Remove, Reshape, Spot
from scrieve.shared.units import MM_PER_UNIT

from ..drawing.document import BINARY
from ..dxf_library import toencoding
from .arc_bent import bent
from .dxf_tags import BinaryNotation, Notation, Tag, TextNotation
from .not_editable import NotEditableError

_PLACES = 9  # of a coordinate in the drawing's own unit
_LETTERS = 5.0  # mm; of a label that is added. Common practice, no source
_AT_ENDS = {"LINE": (10, 11), "LWPOLYLINE": (10,), "VERTEX": (10,)}
_PLACES_OF = {
    **_AT_ENDS, "CIRCLE": (10,), "ARC": (10,), "ELLIPSE": (10,), "SPLINE": (10, 11), "POINT": (10,), "INSERT": (10,),
    "TEXT": (10, 11), "ATTRIB": (10, 11), "MTEXT": (10,), "POLYLINE": (), "SEQEND": (),
}  # fmt: skip
"""The group codes of the places of each kind of object: those to be moved."""
_OWN_AXES = frozenset({"LWPOLYLINE", "POLYLINE", "CIRCLE", "ARC", "INSERT", "TEXT", "ATTRIB"})
_EMBEDDED, _OF_EMBEDDED_TEXT = 101, (11,)
_MARKED = "AC1012"  # the version from which on objects have owners and markers of their classes
_WITH_UTF8 = "AC1021"


class DrawingFile:
    """A file's `content` and the edits made to it.

    `handles` gives, in their order, the handles by which the objects are known whose file has none of its own.
    """

    def __init__(self, content: bytes, handles: Callable[[], Sequence[str]]) -> None:
        self._content, self._known = content, handles
        self._form: Notation = BinaryNotation(content) if content.startswith(BINARY) else TextNotation(content)
        self._objects, self._end = self._form.objects()
        self._patches: dict[tuple[int, int], bytes] = {}
        self._added = b""
        self._more = 0  # handles that are taken

    def with_edits(self, edits: Sequence[OfDrawing], near: float) -> DrawingFile:
        """The file with more edits; corners are known to within `near` mm. Raises NotEditableError."""
        new = copy(self)
        new._patches = dict(self._patches)
        for edit in edits:
            new._edit(edit, near)
        return new

    def content(self) -> bytes:
        """The file as it is with the edits."""
        out, at = [], 0
        patches = {**self._patches, **({(self._end, self._end): self._added} if self._added else {})}
        if self._more and (seed := self._header.get("$HANDSEED")):
            patches[seed.at, seed.stop] = f"{self._free + self._more:X}".encode()
        for (start, stop), new in sorted(patches.items()):
            out += [self._content[at:start], new]
            at = stop
        return b"".join([*out, self._content[at:]])

    def _edit(self, edit: OfDrawing, near: float) -> None:
        if isinstance(edit, Add):
            self._added += self._new(edit)
            return
        spans = [self._span(handle) for handle in dict.fromkeys(edit.target.handles)]
        if isinstance(edit, Remove):
            for span in spans:
                self._patch(*span, b"")
        elif isinstance(edit, Move):
            by = edit.end[0] - edit.start[0], edit.end[1] - edit.start[1]
            for span in spans:
                for u, v, side in self._places(span, _PLACES_OF):
                    self._set(u, side * by[0], v, by[1])
        elif isinstance(edit, Relabel):
            self._relabel(spans[0], edit)
        else:
            self._reshape(spans, edit, near / MM_PER_UNIT[edit.target.unit])

    def _set(self, u: Tag, across: float, v: Tag, up: float) -> None:
        for tag, by in ((u, across), (v, up)):
            if by:
                self._patch(tag.at, tag.stop, self._form.number(round(float(tag.value) + by, _PLACES)))

    def _patch(self, start: int, stop: int, new: bytes) -> None:
        """Puts other bytes in a place. Raises NotEditableError where another edit has put others there."""
        known = self._patches.get((start, stop))
        if known not in (None, new) or (
            known is None and any(start < other[1] and other[0] < stop for other in self._patches)
        ):
            raise NotEditableError("another change is made to the same")
        self._patches[start, stop] = new

    # ---- objects

    def _span(self, handle: str) -> tuple[int, int]:
        if handle not in self._by_handle:
            raise NotEditableError(f"its object {handle} stands for itself nowhere in the drawing")
        return self._by_handle[handle]

    @cached_property
    def _by_handle(self) -> dict[str, tuple[int, int]]:
        """Where the object of each handle stands; none of a handle that is there twice."""
        own = [self._handle(span) for span in self._objects]
        if "" in own:
            drawn = [span for span in self._objects if not self._in_paper(span)]
            known = self._known()
            if len(known) != len(drawn):
                raise NotEditableError(
                    "its objects have no handles, and some cannot be read: save it as R2000 or newer"
                )
            return dict(zip(known, drawn, strict=True))
        many = Counter(own)
        return {handle: span for handle, span in zip(own, self._objects, strict=True) if many[handle] == 1}

    def _handle(self, span: tuple[int, int]) -> str:
        for tag in self._form.tags(*span):
            if tag.code == 5:
                return _text(tag).strip().upper()
            if tag.code in (10, 100):
                break
        return ""

    def _in_paper(self, span: tuple[int, int]) -> bool:
        return any(tag.code == 67 and int(float(tag.value)) == 1 for tag in self._form.tags(*span))

    def _pieces(self, span: tuple[int, int]) -> Iterator[tuple[str, list[Tag], float]]:
        """The object and what is linked to it: kind, tags, and -1 where its own axes are seen from behind."""
        tags: list[list[Tag]] = []
        for tag in self._form.tags(*span):
            if tag.code == 0:
                tags.append([])
            tags[-1].append(tag)
        of_head = 1.0
        for own in tags:
            kind = _text(own[0]).strip()
            up = next((float(tag.value) for tag in own if tag.code == 230), 1.0)
            side = -1.0 if kind in _OWN_AXES and up < 0 else 1.0
            if kind == "POLYLINE":
                spatial = any(tag.code == 70 and int(float(tag.value)) & 8 for tag in own)
                of_head = 1.0 if spatial else side  # corners in space are in the drawing's axes
            yield kind, own, of_head if kind == "VERTEX" else side

    def _places(self, span: tuple[int, int], codes_of: dict[str, tuple[int, ...]]) -> Iterator[tuple[Tag, Tag, float]]:
        """The two coordinates of each place of an object, and -1 where its own u runs backwards."""
        for kind, tags, side in self._pieces(span):
            if kind not in _PLACES_OF:
                raise NotEditableError(f"a {kind} is not changed by hand")
            codes = codes_of.get(kind, ())
            for u, v in pairwise(tags):
                if u.code == _EMBEDDED:
                    codes = _OF_EMBEDDED_TEXT if kind == "MTEXT" else (10,)
                if u.code in codes and v.code == u.code + 10:
                    yield u, v, side

    def _reshape(self, spans: Sequence[tuple[int, int]], edit: Reshape, near: float) -> None:
        met = set()
        for span in spans:
            for u, v, side in self._places(span, _AT_ENDS):
                at = side * float(u.value), float(v.value)
                for start, end in edit.corners:
                    if hypot(at[0] - start[0], at[1] - start[1]) <= near:
                        met.add(start)
                        self._set(u, side * (end[0] - at[0]), v, end[1] - at[1])
                        break
            for kind, tags, side in self._pieces(span):
                if kind == "ARC":
                    met |= self._bend(tags, side, edit, near)
        if met != {start for start, _ in edit.corners}:
            raise NotEditableError("a corner of it is none of a line or an arc in the drawing")

    def _bend(self, tags: Sequence[Tag], side: float, edit: Reshape, near: float) -> set[Spot]:
        """Moves the ends of an arc, which keeps its sweep; gives those that were met."""
        known = {tag.code: tag for tag in tags if tag.code in (10, 20, 40, 50, 51)}
        if len(known) < 5:
            return set()
        own = {(side * start[0], start[1]): (side * end[0], end[1]) for start, end in edit.corners}
        numbers = [float(known[code].value) for code in (10, 20, 40, 50, 51)]
        new, met = bent(numbers, own, near)
        for code, value in zip((10, 20, 40, 50, 51), new, strict=True):
            if met:
                self._patch(known[code].at, known[code].stop, self._form.number(round(value, _PLACES)))
        return {(side * u, v) for u, v in met}

    def _relabel(self, span: tuple[int, int], edit: Relabel) -> None:
        kind, tags, _ = next(self._pieces(span))
        said = [tag for tag in tags if tag.code in ((1, 3) if kind == "MTEXT" else (1,))]
        if kind not in ("TEXT", "MTEXT") or len(said) != 1:
            raise NotEditableError(f"what stands in a {kind} is not written anew")
        raw = _text(said[0], self._encoding)
        new = raw.replace(edit.was, edit.text, 1) if edit.was in raw else edit.text
        self._patch(said[0].at, said[0].stop, new.encode(self._encoding, "dxfreplace"))

    # ---- what is new

    def _new(self, edit: Add) -> bytes:
        """The tags of new objects on the layer of an edit."""
        if edit.diameter:
            u, v = edit.points[0]
            return self._object("CIRCLE", edit, "AcDbCircle", [(10, u), (20, v), (30, 0.0), (40, edit.diameter / 2)])
        if len(edit.points) == 2:
            (u, v), (u2, v2) = edit.points
            ends = [(10, u), (20, v), (30, 0.0), (11, u2), (21, v2), (31, 0.0)]
            return self._object("LINE", edit, "AcDbLine", ends)
        bulges = edit.bulges or (0.0,) * len(edit.points)
        corners = [[(10, u), (20, v), (42, b)] for (u, v), b in zip(edit.points, bulges, strict=True)]
        if self._version >= _MARKED:
            rows = [(90, len(corners)), (70, 1), *(tag for corner in corners for tag in corner)]
            out = self._object("LWPOLYLINE", edit, "AcDbPolyline", rows)
        else:
            out = self._object("POLYLINE", edit, "", [(66, 1), (70, 1), (10, 0.0), (20, 0.0), (30, 0.0)])
            out += b"".join(self._object("VERTEX", edit, "", corner) for corner in corners)
            out += self._object("SEQEND", edit, "", [])
        if edit.text:
            at = shapely.Polygon(np.array(edit.points)).representative_point()
            height = _LETTERS / MM_PER_UNIT[edit.target.unit]
            written: list[tuple[int, str | float]] = [(10, at.x), (20, at.y), (30, 0.0), (40, height), (1, edit.text)]
            out += self._object("TEXT", edit, "AcDbText", written, "AcDbText")
        return out

    def _object(
        self, kind: str, edit: Add, marker: str, rows: Sequence[tuple[int, str | float]], closing: str = ""
    ) -> bytes:
        if not self._objects:
            raise NotEditableError("the drawing has no objects to begin from")
        marked = self._version >= _MARKED
        tags: list[tuple[int, str | float]] = [(0, kind)]
        if self._free:
            tags.append((5, f"{self._free + self._more:X}"))
            self._more += 1
        if marked:
            tags += [*([(330, self._owner)] if self._owner else []), (100, "AcDbEntity")]
        tags += [(8, edit.target.layer), *([(100, marker)] if marked else [])]
        tags += [(code, round(value, _PLACES) if isinstance(value, float) else value) for code, value in rows]
        tags += [(100, closing)] if marked and closing else []
        return b"".join(self._form.tag(code, value, self._encoding) for code, value in tags)

    @cached_property
    def _owner(self) -> str:
        """The handle of model space, as the objects in it name it; empty where they do not."""
        for span in self._objects:
            within = False
            for tag in self._form.tags(*span):
                within = (tag.code == 102 and _text(tag).startswith("{")) or (within and tag.code != 102)
                if tag.code == 330 and not within and not self._in_paper(span):
                    return _text(tag)
                if tag.code == 100:
                    break
        return ""

    @cached_property
    def _free(self) -> int:
        """The first handle past all that are there, the header's next one too; 0 where objects have none."""
        if not self._handle(self._objects[0]):
            return 0
        most = 0
        for tag in self._form.tags(0, len(self._content)):
            if tag.code in (5, 105) and isinstance(tag.value, bytes):
                try:
                    most = max(most, int(tag.value, 16))
                except ValueError:
                    continue
        return most + 1

    # ---- the header

    @cached_property
    def _header(self) -> dict[str, Tag]:
        """The first value of each of its variables."""
        found: dict[str, Tag] = {}
        name = ""
        for tag in self._form.tags(0, len(self._content)):
            if tag.code == 0 and tag.value == b"ENDSEC":
                break
            if tag.code == 9:
                name = _text(tag).strip()
            elif name:
                found.setdefault(name, tag)
        return found

    @property
    def _version(self) -> str:
        known = self._header.get("$ACADVER")
        return _text(known).strip() if known else "AC1009"

    @property
    def _encoding(self) -> str:
        page = self._header.get("$DWGCODEPAGE")
        return "utf-8" if self._version >= _WITH_UTF8 else toencoding(_text(page).strip()) if page else "cp1252"


def _text(tag: Tag, encoding: str = "ascii") -> str:
    return tag.value.decode(encoding, "surrogateescape") if isinstance(tag.value, bytes) else ""
