"""Which text names which outline."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import permutations
from typing import TypeAlias

import numpy as np
import shapely

from scrieve.shared.findings import Level
from scrieve.shared.sentences import Name, Quantity, Sentence

from ..boat.defect import Defect
from ..boat.label import Label
from ..plan.label_reading import LabelRead
from .drawn import Drawing
from .figure import Figure
from .frame_shapes import LayerUse
from .ring import same_region
from .stroke import SOLID
from .window import DrawingWindow

Fits: TypeAlias = Callable[[str, str], int]
"""How well a text goes with a layer: more is better."""

_FACES = {"forward": {"forward", "fwd", "fore"}, "aft": {"aft"}}
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
    figures: Sequence[Figure], labels: Sequence[Label], gap: float, fits: Fits = lambda text, layer: 0
) -> tuple[list[list[str]], list[Label]]:
    """For each figure the texts that name it, and the texts that name none.

    A text names the smallest outline that its anchor stands in, or failing that the middle of its
    box. On a part's or batten's own layer it names outlines of that layer alone. Outlines of several
    layers drawn over each other, to within `gap` mm, all take a single label; as many labels as
    there are such outlines are shared out as they fit best, else the first by name to the first layer by name. Of
    several texts in one outline, one that fits better there goes to an outline of another layer that it also stands
    in and that has none.
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
            for index, text in zip(by_layer, _dealt(distinct, [figures[i].layer for i in by_layer], fits), strict=True):
                own[index].append(text)
        else:
            for index in unnamed:
                own[index].extend(distinct)
    found = [_distinct(own.get(index, [])) for index in range(len(figures))]
    _part(found, figures, [(label.text, inside) for label, inside in zip(labels, standing, strict=True)], fits)
    return found, lost


def fitting(layers: Mapping[str, LayerUse], read: Mapping[str, LabelRead]) -> Fits:
    """Texts fit a layer of the face that they say, not one of the other, and one that is called by one of their words.

    `read` is what they say.
    """

    def fits(text: str, layer: str) -> int:
        words = set(_WORD.findall(f"{text} {read[text].label}".casefold()))
        face = layers[layer].face if layer in layers else None
        said = [each for each, names in _FACES.items() if words & names]
        of_face = 0 if face not in _FACES or len(said) != 1 else 2 if said == [face] else -2
        return of_face + any(word in layer.casefold() for word in words)

    return fits


def _dealt(texts: list[str], layers: list[str], fits: Fits) -> Sequence[str]:
    """The texts in the order in which they fit the layers best: as they are, if no other is better."""
    if len(texts) > _DEALT:
        return texts
    return max(permutations(texts), key=lambda those: sum(map(fits, those, layers)))  # the first of several


def _part(
    found: list[list[str]], figures: Sequence[Figure], standing: Iterable[tuple[str, Sequence[int]]], fits: Fits
) -> None:
    """Gives outlines without a text one that stands in them and fits them better than the one where it is not alone."""
    for text, inside in standing:
        holder = next((index for index in inside if text in found[index]), None)
        if holder is None or len(found[holder]) < 2:
            continue
        here = figures[holder].layer
        for index in inside:
            there = figures[index].layer
            if found[index] or there == here or figures[index].outline is None or figures[index].makes != "part":
                continue
            gains = {each: fits(each, there) - fits(each, here) for each in found[holder]}
            if gains[text] > max(gain for each, gain in gains.items() if each != text):
                found[holder].remove(text)
                found[index].append(text)
                break


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
