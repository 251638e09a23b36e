"""Port and starboard in the names of shapes, and names that are given twice."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import shapely

from scrieve.shared.edits import Edit, Relabel
from scrieve.shared.findings import Source
from scrieve.shared.sentences import Name, Quantity, Sentence
from scrieve.shared.wording import listed, place

from ..boat.defect import Defect
from ..geometry.outline import Outline
from .drawn import Point, target_of

MIDDLE = 1.0
"""mm; what lies with its centroid this close to the centreline is on neither side (as parts and battens have it)."""

_SIDE = re.compile(r"^(port|starboard)\b", re.IGNORECASE)
_OTHER = {"port": "starboard", "starboard": "port"}


@dataclass(frozen=True, kw_only=True, eq=False)
class NamedOutline:
    """An outline with its label, on its way to its final name.

    `label` is what is read out of the text, `said` the text itself, `of_frame` the frame that it names, "" for none.
    `written` are the texts as drawn.
    """

    label: str
    said: str
    of_frame: str = ""
    layer: str
    makes: str
    outline: Outline
    holes: tuple[Outline, ...]
    region: shapely.Polygon
    source: Source
    written: tuple[Source, ...] = ()

    @cached_property
    def middle(self) -> Point:
        """The centroid of its region."""
        centre = self.region.centroid
        return float(centre.x), float(centre.y)

    @property
    def edge(self) -> tuple[Point, ...]:
        """The corners around its region, the first again at the end."""
        return tuple((float(y), float(v)) for y, v in shapely.get_coordinates(self.region.exterior))

    @property
    def side(self) -> str:
        """ "port", "starboard", or "" on the centreline, by the centroid."""
        y = self.middle[0]
        return "" if abs(y) <= MIDDLE else "port" if y > 0 else "starboard"


def other_side(label: str) -> str:
    """The label of the mirror image: "port side" of "starboard side"; one that says no side stays."""
    return _SIDE.sub(lambda match: _OTHER[match[1].lower()], label)


def named_by_side(shapes: Sequence[NamedOutline]) -> list[NamedOutline]:
    """The shapes; those of one kind that share a label across the centreline are told apart as port and starboard."""
    sides: dict[tuple[str, str], set[str]] = defaultdict(set)
    for shape in shapes:
        sides[shape.makes, shape.label.casefold()].add(shape.side)
    named = []
    for shape in shapes:
        both = {"port", "starboard"} <= sides[shape.makes, shape.label.casefold()]
        if both and shape.side and not _SIDE.match(shape.label):
            shape = replace(shape, label=f"{shape.side} {shape.label}")
        named.append(shape)
    return named


def wrong_sides(shapes: Sequence[NamedOutline]) -> list[Defect]:
    """One defect for all that say port and lie to starboard, or the reverse."""
    sided = [shape for shape in shapes if shape.side and _SIDE.match(shape.label)]
    wrong = [shape for shape in sided if not shape.label.casefold().startswith(shape.side)]
    if not wrong:
        return []
    first = wrong[0]
    edits: tuple[Edit, ...] = ()
    lies = (
        Sentence.of("lies to {side}", side=Name(first.side))
        if len(wrong) == 1
        else "lie on the other side of the boat than their labels say"
    )
    if len(wrong) == len(sided):
        says, cure = (
            "{lies}: is the drawing seen from the other side?",
            "set seen, of the plan or of this frame alone, to how the drawing looks, or change the labels",
        )
    elif len({shape.label for shape in wrong}) == 2 and wrong[1].label == other_side(first.label):
        says, cure = "are exchanged: each lies on the other side of the boat than it says", "exchange the two labels"
        lies = ""
        edits = (*_relabelled(first, wrong[1].said, sure=True), *_relabelled(wrong[1], first.said, sure=True))
    else:
        if len(wrong) == 1:
            edits = _relabelled(first, other_side(first.said))
        others = len(sided) - len(wrong)
        says = (
            "{lies}, though " + ("another label says" if others == 1 else "other labels say") + " the side it stands on"
        )
        cure = f"label {'it' if len(wrong) == 1 else 'each'} by the side it lies on, or move it to the other side"
    return [
        Defect(
            message=Sentence.of(
                f"{{names}} {says}",
                names=listed({f'"{shape.said or shape.label}"' for shape in wrong}),
                **({"lies": lies} if lies else {}),
            ),
            source=first.source,
            at=first.middle,
            drawn=tuple(shape.edge for shape in wrong),
            cure=cure,
            edits=edits,
            check="label",
        )
    ]


def _relabelled(shape: NamedOutline, text: str, *, sure: bool = False) -> tuple[Edit, ...]:
    """Its one label made to read otherwise; nothing where it has several, one in a block, or reads so."""
    if len(shape.written) != 1 or shape.written[0].bound or text == shape.said:
        return ()
    return (Relabel(target=target_of(shape.written[0], shape.label, drawn=True), was=shape.said, text=text, sure=sure),)


def wrong_frames(shapes: Sequence[NamedOutline], frame: str) -> list[Defect]:
    """The defects of labels that name another frame than this: one if they all do, else one each."""
    numbered = [shape for shape in shapes if shape.of_frame]
    wrong = [shape for shape in numbered if shape.of_frame != frame]
    others = sorted({shape.of_frame for shape in wrong})
    own = Name(f"F{frame}")
    if len(wrong) == len(numbered) > 1 and len(others) == 1:
        return [
            Defect(
                message=Sentence.of(
                    "all {count} labels with a frame's number say frame {other}, and the plan has them in {own}",
                    count=Quantity.of(len(wrong), str(len(wrong))),
                    other=Name(others[0]),
                    own=own,
                ),
                source=wrong[0].source,
                at=wrong[0].middle,
                drawn=tuple(shape.edge for shape in wrong),
                cure=Sentence.of(
                    "name the drawing, the extent and the origin of {own} in the plan, or mend the labels", own=own
                ),
                check="label",
            )
        ]
    return [
        Defect(
            message=Sentence.of(
                'the label "{said}" names frame {other}, and stands in {own}',
                said=Name(shape.said),
                other=Name(shape.of_frame),
                own=own,
            ),
            source=shape.source,
            at=shape.middle,
            drawn=(shape.edge,),
            cure=Sentence.of("label it for {own}, or take the part to the frame that it belongs to", own=own),
            edits=_relabelled(shape, shape.said.replace(shape.of_frame, frame, 1)),
            check="label",
        )
        for shape in wrong
    ]


def told_apart(shapes: Sequence[NamedOutline]) -> tuple[list[NamedOutline], list[Defect]]:
    """The shapes with a number behind each label that is given twice, and a defect for each such label.

    On different layers shapes may share a label if they lie over each other, as the plies of a leg
    and the gussets of the two faces do.
    """
    alike: dict[tuple[str, str], list[int]] = defaultdict(list)
    for index, shape in enumerate(shapes):
        alike[shape.makes, shape.label.casefold()].append(index)
    defects = []
    out = list(shapes)
    for group in alike.values():
        if len(group) < 2:
            continue
        clashing = [i for i in group if any(_clash(shapes[i], shapes[j]) for j in group if j != i)]
        if not clashing:
            continue
        first = shapes[clashing[0]]
        defects.append(
            Defect(
                message=Sentence.of(
                    '{count} outlines are labelled "{label}", round {places}',
                    count=Quantity.of(len(clashing), str(len(clashing))),
                    label=Name(first.label),
                    places=listed(place(*shapes[i].middle) for i in clashing),
                ),
                source=first.source,
                at=first.middle,
                drawn=tuple(shapes[i].edge for i in clashing),
                cure="give each a label of its own",
                check="label",
            )
        )
        for number, i in enumerate(clashing, start=1):
            out[i] = replace(shapes[i], label=f"{shapes[i].label} ({number})")
    return out, defects


def _clash(one: NamedOutline, other: NamedOutline) -> bool:
    return one.layer == other.layer or not shapely.intersects(one.region, other.region)
