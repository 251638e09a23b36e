"""Which text names which outline."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from itertools import permutations

import numpy as np
import shapely

from scrieve.shared.findings import Level
from scrieve.shared.sentences import Name, Quantity, Sentence

from ..boat.defect import Defect
from ..boat.label import Label
from ..plan.label_reading import LabelRead, without_side
from .drawn import Drawing
from .figure import Figure
from .frame_shapes import LayerUse
from .label_shift import Fits, shift_labels
from .ring import same_region
from .sides import MIDDLE
from .stroke import SOLID
from .window import DrawingWindow

_FACES = {"forward": {"forward", "fwd", "fore"}, "aft": {"aft"}}
_CORE = (None, "core")
_CORE_PARTS = ("floor", "side", "beam")  # the last word of their names; a "side gusset" is none
_WORD = re.compile(r"[^\W\d_]{3,}")

_DEALT = 4  # texts in outlines drawn over one another that are tried in every order

_AT_ONCE = 500  # texts that are looked for at once
_NESTED = 64  # figures round a text, the smallest, that are looked at: those drawn over one another are among them
_TOLD = 12  # texts that a note quotes before it only counts the rest


def labels_within(
    drawing: Drawing, layers: Mapping[str, LayerUse], window: DrawingWindow
) -> tuple[list[Label], list[Label]]:
    """The texts on layers of labels, parts and battens whose anchor stands in the window, and those on pockets'."""
    found: tuple[list[Label], list[Label]] = [], []
    for text in drawing.texts:
        use = layers.get(text.layer)
        at = window.point(text.at)
        if use is None or use.makes not in SOLID | {"label"} or window.holds(*at) == "outside":
            continue
        own = "" if use.makes == "label" else text.layer
        label = Label(text=text.text, layer=own, at=at, middle=window.point(text.middle), source=text.source)
        found[use.makes == "pocket"].append(label)
    for those in found:
        those.sort(key=lambda label: (label.text.casefold(), label.text, label.at, label.layer))
    return found


def labels_of(
    figures: Sequence[Figure],
    labels: Sequence[Label],
    gap: float,
    fits: Fits = lambda text, figure: 0,
    titles: Collection[str] = (),
    beside: Collection[str] = (),
) -> tuple[list[list[str]], list[Label]]:
    """For each figure the texts that name it, and the texts that name none.

    A text names the smallest outline that its anchor stands in, or failing that the middle of its
    box. On a part's or batten's own layer it names outlines of that layer alone. Outlines of several
    layers drawn over each other, to within `gap` mm, all take a single label; as many labels as
    there are such outlines are shared out as they fit best, else the first by name to the first layer by name. Of
    several texts in one outline, those go to others that they also stand in for which there is one way
    only (see `shift_labels`; `titles` and those `beside` others are no names).
    """
    own: dict[int, list[str]] = defaultdict(list)
    shared: dict[tuple[int, ...], list[str]] = defaultdict(list)
    lost = []
    standing = _stands_in(figures, labels)
    for label, inside in zip(labels, standing, strict=True):
        if not inside:
            lost.append(label)
        elif label.layer:
            own[inside[0]].append(label.text)
        else:
            shared[_drawn_over(figures, inside, gap)].append(label.text)
    for together, texts in shared.items():
        unnamed = [index for index in together if index not in own] or list(together)
        distinct = _distinct(texts)
        if len(distinct) == len(unnamed) > 1:
            by_layer = sorted(unnamed, key=lambda i: figures[i].layer)
            for index, text in zip(by_layer, _dealt(distinct, [figures[i] for i in by_layer], fits), strict=True):
                own[index].append(text)
        else:
            for index in unnamed:
                own[index].extend(distinct)
    found = [_distinct(own.get(index, [])) for index in range(len(figures))]
    texts_inside = [(label.text, inside) for label, inside in zip(labels, standing, strict=True)]
    shift_labels(found, figures, texts_inside, fits, titles, beside)
    return found, lost


def fitting(layers: Mapping[str, LayerUse], read: Mapping[str, LabelRead], layer_of: Mapping[str, str]) -> Fits:
    """Texts fit a layer of the face that they say, not one of the other, and one that is called by one of their words.

    Those that name a part of the core fit its layer, and those of a name that lies on one layer elsewhere that layer.
    One that says a side fits no outline on the centreline. `read` is what they say, `layer_of` where names lie.
    """

    def fits(text: str, figure: Figure) -> int:
        label, layer = read[text].label.casefold(), figure.layer
        words = set(_WORD.findall(f"{text.casefold()} {label}"))
        face = layers[layer].face if layer in layers else None
        said = [each for each, names in _FACES.items() if words & names]
        of_face = 0 if face not in _FACES or len(said) != 1 else 2 if said == [face] else -2
        of_core = face in _CORE and label.endswith(_CORE_PARTS)
        elsewhere = layer_of.get(without_side(label)) == layer
        astride = bool(read[text].side) and not figure.whole and abs(figure.middle[0]) <= MIDDLE
        return of_face + any(word in layer.casefold() for word in words) + of_core + elsewhere - 2 * astride

    return fits


def _dealt(texts: list[str], figures: Sequence[Figure], fits: Fits) -> Sequence[str]:
    """The texts in the order in which they fit the outlines best: as they are, if no other is better."""
    if len(texts) > _DEALT:
        return texts
    return max(permutations(texts), key=lambda those: sum(map(fits, those, figures)))  # the first of several


def _stands_in(figures: Sequence[Figure], labels: Sequence[Label]) -> list[list[int]]:
    """For each label the figures that it may name and stands in, the smallest first."""
    found: list[list[int]] = [[] for _ in labels]
    if not figures:
        return found
    tree = shapely.STRtree([figure.region for figure in figures])
    areas = [figure.region.area for figure in figures]
    for points in ([label.at for label in labels], [label.middle for label in labels]):
        missing = [index for index, inside in enumerate(found) if not inside]
        for begin in range(0, len(missing), _AT_ONCE):
            some = missing[begin : begin + _AT_ONCE]
            inside: dict[int, list[int]] = defaultdict(list)
            for which, figure in tree.query(
                shapely.points(np.array([points[i] for i in some])), predicate="intersects"
            ).T.tolist():
                if labels[some[which]].layer in ("", figures[figure].layer):
                    inside[some[which]].append(figure)
            for label, within in inside.items():
                found[label] = sorted(within, key=lambda i: (areas[i], figures[i].layer, i))[:_NESTED]
    return found


def _drawn_over(figures: Sequence[Figure], inside: Sequence[int], gap: float) -> tuple[int, ...]:
    """The first of these figures and those of them that have the same edge."""
    first, *others = inside
    if figures[first].outline is None:
        return (first,)
    region = figures[first].region
    same = [i for i in others if figures[i].outline is not None and same_region(figures[i].region, region, gap)]
    return tuple(sorted([first, *same]))


def _distinct(texts: Iterable[str]) -> list[str]:
    """The texts sorted, each once, whatever its case."""
    return sorted({text.casefold(): text for text in sorted(texts, reverse=True)}.values())


def nothing_named(lost: Sequence[Label]) -> list[Defect]:
    """The note of texts that name nothing; none for none."""
    if not lost:
        return []
    quoted = ", ".join(f'"{label.text}"' for label in lost[:_TOLD])
    more = f" and {len(lost) - _TOLD} more" if len(lost) > _TOLD else ""
    message = Sentence.of(
        "{count} in no outline and {name} nothing: {texts}",
        count=Quantity.of(len(lost), "1 text stands" if len(lost) == 1 else f"{len(lost)} texts stand"),
        name="names" if len(lost) == 1 else "name",
        texts=Name(quoted + more),
    )
    return [Defect(message=message, level=Level.NOTE, source=lost[0].source, at=lost[0].at)]
