"""One frame's window of a drawing -> its labelled outlines and marks in the frame's own (y, v)."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

import numpy as np
import shapely

from scrieve.shared.errors import DrawingError, Mistake
from scrieve.shared.findings import Level, Source
from scrieve.shared.limits import LIMITS
from scrieve.shared.names import label_of, unlabelled
from scrieve.shared.sentences import Name, Quantity, Sentence
from scrieve.shared.wording import listed, place

from ..boat.defect import Defect
from ..boat.label import Label
from ..geometry.outline import Outline
from ..geometry.plane import mirrored
from ..plan.label_reading import LabelRead, LabelReader
from .collector import misspelt
from .drawn import Drawing, DrawnFork, drawn_with
from .figure import Figure, corners, figures_of
from .frame_shapes import FrameShapes, LabelledOutline, LayerUse
from .halves import halves_joined, on_layer
from .holes import holes_of
from .labels import fitting, labels_of, labels_within, nothing_named
from .marks import marks_within
from .openings import networks_within, settled_networks, without_openings
from .origin import off_centre, origin_defects
from .ring import settled
from .sides import NamedOutline, named_by_side, other_side, told_apart, wrong_frames, wrong_sides
from .stroke import SOLID, strokes_within
from .titles import without_titles
from .window import DrawingWindow, Seen

MOST_OUTLINES = 2_000
"""closed outlines of one frame on the layers of parts and battens; a frame has some sixty."""

MOST_CORNERS = 1_000_000
"""corners of those and of the open chains, arcs flattened."""

MOST_OTHERS = 20_000
"""open chains on those layers, texts, screws and dowels of one frame."""

_NAMED = 5  # layers that a cure names
_NO_LABELS = 3  # outlines of parts, all without a label; fewer are told one by one


def lay_out(
    drawing: Drawing,
    *,
    layers: Mapping[str, LayerUse],
    seen: Seen,
    origin: tuple[float, float],
    extent: tuple[float, float, float, float] | None = None,
    mirror: bool = False,
    frame: str,
    gap: float = LIMITS["outline"].default,
    is_batten: Callable[[str], bool] = lambda _: False,
    reader: LabelReader | None = None,
    layer_of: Mapping[str, str] = MappingProxyType({}),
) -> FrameShapes:
    """The shapes and marks of the frame called `frame` in one drawing, and the defects that have a place in it.

    `origin` is the drawing's (u, v) of centreline x datum line, `extent` the frame's window (u0, v0,
    u1, v1) counted from there, None for the whole drawing, both mm. With `mirror` only the port half
    is drawn. An outline within `gap` mm of the centreline touches it. Outlines come back
    counter-clockwise. Broken outlines are left out, each with its defect; so is a batten's section
    without a label. A part's outline without a label is kept as "unlabelled 1", unless it merely
    surrounds others; one with two labels goes by both. Of lines that fork the faces with labels are
    outlines and those without openings between them, if every line bounds one with a label. Only a text on a pocket's
    own layer names a pocket.
    A text in no outline that `is_batten` knows for a batten's name is handed on. Numbers and sides in labels are
    read by `reader`. `layer_of` are the layers on which parts of a name lie in other frames.
    Raises DrawingError when there is more in the window than any frame could hold.
    """
    window = DrawingWindow.of(seen=seen, origin=origin, extent=extent)
    labels, of_pockets = labels_within(drawing, layers, window)
    marks, mark_defects, unread = marks_within(drawing, layers, window, mirror=mirror, gap=gap)
    networks, gaps, excused = networks_within(drawing, layers, window, gap, mirror=mirror)
    reader = reader or LabelReader()
    of_frame, titled = reader.titles_of((label.text for label in labels), frame)
    read = reader.of_frame((label.text for label in labels), frame)
    fits = fitting(layers, read, layer_of)
    titled |= {text for text, said in read.items() if reader.is_title(said)}
    ending: set[Source] = set()
    while True:
        strokes, defects = strokes_within(drawing, layers, window, networks)
        closed = sum(stroke.closed for stroke in strokes)
        _check_count(drawing, frame, "outlines", closed, MOST_OUTLINES)
        _check_count(
            drawing,
            frame,
            "lines, texts and marks",
            len(strokes) - closed + len(labels) + len(of_pockets) + len(marks),
            MOST_OTHERS,
        )
        _check_count(drawing, frame, "corners", sum(stroke.count_flattened() for stroke in strokes), MOST_CORNERS)
        if mirror:
            strokes, beyond = halves_joined(strokes, gap, ending)
            defects.extend(beyond)
        every = figures_of(strokes, gap)
        figures = [figure for figure in every if figure.makes != "pocket"]
        texts, lost = labels_of(figures, labels, gap, fits, titled, of_frame)
        read = reader.of_frame((text for said in texts for text in said), frame)
        texts, titles = without_titles(networks, figures, texts, titled, of_frame)
        settled_ones, nameless = settled_networks(networks, figures, texts)
        of_a_side = {figure.source for figure, said in zip(figures, texts, strict=True)
                     if figure.whole and any(read[text].side for text in said)} - ending  # fmt: skip
        if len(settled_ones) == len(networks) and not of_a_side:
            break
        ending |= of_a_side
        networks = settled_ones  # the others come back as chains, and labels may then name other things
    figures, texts, openings = without_openings(networks, figures, texts, nameless, window)
    no_forks = excused.union(*(network.drawn.forks for network in networks))
    holes, borders = holes_of(figures, [bool(said) for said in texts])
    defects.extend(_faults(figures, texts, holes, borders, drawing.unnamed, layers))
    cuts = [figure for figure in every if figure.makes == "pocket"]
    into, astray = labels_of(cuts, of_pockets, gap)
    in_cuts, _ = holes_of(cuts, [bool(said) for said in into])
    defects.extend(fault.defect(on_layer("a pocket", cut.layer), cut) for cut in cuts for fault in cut.faults)
    read = reader.of_frame((text for said in (*texts, *into) for text in said), frame)
    shapes, hole_defects = _shapes(figures, texts, labels, holes, borders, read)
    pockets, more_defects = _shapes(cuts, into, of_pockets, in_cuts, set(), read)
    if mirror:
        whole = {f.outline for f in every if f.whole}
        shapes, pockets = _with_images(shapes, whole), _with_images(pockets, whole)
    proof = origin_defects(drawing, layers, window, frame=frame)
    if not proof and not mirror:
        parts = [shape.region for shape in shapes if shape.makes == "part"]
        proof = off_centre(drawing, parts, window, frame=frame)
    shapes, clashes = told_apart(named_by_side(sorted(shapes, key=_order)))
    defects.extend(
        [
            *hole_defects,
            *more_defects,
            *(_fork(fork, window) for fork in drawing.forks if fork not in no_forks and _matters(fork, layers, window)),
            *gaps,
            *titles,
            *openings,
            *nothing_named([*(label for label in lost if not is_batten(label.text)), *astray]),
            *wrong_sides(shapes),
            *wrong_frames(shapes, frame),
            *clashes,
            *mark_defects,
            *proof,
        ]
    )
    return FrameShapes(
        shapes=_labelled(shapes),
        pockets=_labelled(pockets),
        marks=tuple(marks),
        defects=tuple(sorted(defects, key=lambda d: (d.level.rank, d.message, d.at or (0.0, 0.0), d.source))),
        batten_texts=_of_battens(lost, is_batten, mirror),
        unread=unread,
        several_labels=any(f.makes == "part" and len(said) > 1 for f, said in zip(figures, texts, strict=True)),
        read=tuple(
            sorted(
                {
                    (text, read[text].label)
                    for figure, own in zip(figures, texts, strict=True)
                    for text in own
                    if figure.makes == "part" and read[text].label != text
                }
            )
        ),
    )


def _labelled(shapes: Sequence[NamedOutline]) -> tuple[LabelledOutline, ...]:
    return tuple(
        LabelledOutline(label=s.label, layer=s.layer, outline=s.outline, holes=s.holes, source=s.source)
        for s in sorted(shapes, key=_order)
    )


def _of_battens(lost: Sequence[Label], is_batten: Callable[[str], bool], mirror: bool) -> tuple[Label, ...]:
    """The texts that name battens, and their images where only the port half is drawn."""
    named = [label for label in lost if is_batten(label.text)]
    if mirror:
        named += [replace(label.mirrored(), text=other_side(label.text)) for label in named if label.at[0] != 0.0]
    return tuple(named)


def _check_count(drawing: Drawing, frame: str, what: str, found: int, most: int) -> None:
    if found > most:
        message = f"frame {frame} may hold at most {most} {what} (got {found})"
        raise DrawingError([Mistake(path=drawing.shown, what=message)])


def _order(shape: NamedOutline) -> tuple[str, str, tuple[float, ...]]:
    return shape.label, shape.layer, shape.region.bounds


def _called(figure: Figure, texts: Sequence[str]) -> str:
    if texts:
        return Sentence.of(
            'outline "{label}" on layer {layer}', label=Name(" / ".join(texts)), layer=Name(figure.layer)
        )
    return on_layer("an outline", figure.layer)


def _faults(
    figures: Sequence[Figure],
    texts: Sequence[Sequence[str]],
    holes: Mapping[int, int],
    borders: set[int],
    unnamed: Mapping[str, int],
    layers: Iterable[str],
) -> list[Defect]:
    """The defects of outlines: their own faults, and labels that are missing or too many."""
    defects: list[Defect] = []
    parts = [n for n, f in enumerate(figures) if f.outline is not None and n not in holes and f.makes == "part"]
    at_once = len(parts) >= _NO_LABELS and bool(unnamed) and not any(texts[n] for n in parts)
    slip = misspelt(unnamed, layers)
    slip = Sentence.of("; or {slip}", slip=slip) if slip else ""
    if at_once:
        defects.append(_without_labels([figures[n] for n in parts], unnamed))
    for index, figure in enumerate(figures):
        said = texts[index]
        defects.extend(fault.defect(_called(figure, said), figure) for fault in figure.faults)
        if figure.outline is None or index in holes:
            continue
        left, low, right, high = figure.region.bounds
        if not said and not (at_once and figure.makes == "part"):
            out = ", and is left out" if figure.makes == "batten" or index in borders else ""
            defects.append(
                Defect(
                    message=Sentence.of(
                        "{outline}, {width} x {height} round {place}, has no label{out}",
                        outline=on_layer("an outline", figure.layer),
                        width=Quantity.of(right - left, f"{right - left:.0f}"),
                        height=Quantity.of(high - low, f"{high - low:.0f} mm"),
                        place=place(*figure.middle),
                        out=out,
                    ),
                    source=figure.source,
                    at=figure.middle,
                    cure="write its name inside it, on a layer of labels or on its own",
                    drawn=(corners(np.asarray(figure.region.exterior.coords)),),
                )
            )
        elif len(said) > 1:
            many = Quantity.of(len(said), "two" if len(said) == 2 else str(len(said)))
            defects.append(
                Defect(
                    message=Sentence.of(
                        "{outline} has {many} labels: {labels}",
                        outline=on_layer("an outline", figure.layer),
                        many=many,
                        labels=Name(", ".join(said)),
                    ),
                    source=figure.source,
                    at=figure.middle,
                    drawn=figure.drawn,
                    cure=Sentence.of("move all but one of them out of it{misspelt}", misspelt=slip),
                )
            )
    return defects


def _without_labels(figures: Sequence[Figure], unnamed: Mapping[str, int]) -> Defect:
    """What is said of a frame none of whose outlines has a label, while layers are not named."""
    layers = listed(sorted({figure.layer for figure in figures}))
    return Defect(
        message=Sentence.of(
            "none of the {count} outlines on layers of parts has a label: {layers}",
            count=Quantity.of(len(figures), str(len(figures))),
            layers=Name(layers),
        ),
        source=figures[0].source,
        at=figures[0].middle,
        cure=Sentence.of(
            'name the layer that their names are written on under [layers], makes = "label"; not named are: {unnamed}',
            unnamed=Name(", ".join(sorted(unnamed)[:_NAMED])),
        ),
        drawn=tuple(line for figure in figures for line in figure.drawn),
    )


def _shapes(
    figures: Sequence[Figure],
    texts: Sequence[Sequence[str]],
    labels: Sequence[Label],
    holes: Mapping[int, int],
    borders: set[int],
    read: Mapping[str, LabelRead],
) -> tuple[list[NamedOutline], list[Defect]]:
    """The sound outlines that are no holes, with the holes in them."""
    shapes: list[NamedOutline] = []
    defects: list[Defect] = []
    nameless = 0
    for index in sorted(range(len(figures)), key=lambda i: (figures[i].layer, figures[i].region.bounds)):
        figure = figures[index]
        if figure.outline is None or index in holes or index in borders:
            continue
        said = [read[text] for text in texts[index]]
        label = label_of(each.label for each in said)
        if not label and figure.makes == "batten":
            continue
        if not label and figure.makes == "part":
            nameless += 1
            label = unlabelled(nameless)
        inside = sorted(
            (figures[hole] for hole, parent in holes.items() if parent == index and figures[hole].outline is not None),
            key=lambda hole: hole.region.bounds,
        )
        region = shapely.Polygon(figure.region.exterior, [hole.region.exterior for hole in inside])
        if not region.is_valid:
            defects.append(
                Defect(
                    message=Sentence.of(
                        "{outline} has holes that meet or cross", outline=_called(figure, texts[index])
                    ),
                    source=figure.source,
                    at=figure.middle,
                    drawn=tuple(line for hole in inside for line in hole.drawn),
                    cure="draw them as one",
                )
            )
            inside, region = [], figure.region
        written = _written(figure, texts[index], labels)
        shapes.append(
            NamedOutline(
                label=label,
                written=tuple(written),
                said=" / ".join(texts[index]),
                of_frame=next((each.frame for each in said if each.frame), ""),
                layer=figure.layer,
                makes=figure.makes,
                outline=figure.outline,
                holes=tuple(hole.outline for hole in inside if hole.outline is not None),
                region=region,
                source=drawn_with(figure.source, [*(hole.source for hole in inside), *written]),
            )
        )
    return shapes, defects


def _written(figure: Figure, texts: Sequence[str], labels: Sequence[Label]) -> list[Source]:
    """The sources of the labels in a figure that name it."""
    inside = (
        label
        for label in labels
        if label.text in texts and shapely.intersects_xy(figure.region, *np.transpose([label.at, label.middle])).any()
    )
    return [label.source for label in inside]


def _with_images(shapes: Sequence[NamedOutline], whole: set[Outline | None]) -> list[NamedOutline]:
    """The shapes of the port half and their images; of those that reach over the centreline the holes have theirs."""
    both = [_with_holes(shape, whole) if shape.outline in whole else shape for shape in shapes]
    for shape in shapes:
        if shape.outline in whole:
            continue
        images = [outline.mirrored() for outline in (shape.outline, *shape.holes)]
        outline, *inside = (settled(image.points, image.bulges) for image in images)
        both.append(
            NamedOutline(
                label=other_side(shape.label),
                said="",
                layer=shape.layer,
                makes=shape.makes,
                outline=outline,
                holes=tuple(inside),
                region=mirrored(shape.region),
                source=shape.source,
            )
        )
    return both


def _with_holes(shape: NamedOutline, whole: set[Outline | None]) -> NamedOutline:
    """A shape over the centreline with the images of those holes in it that are clear of the centreline."""
    mirrored = [hole.mirrored() for hole in shape.holes if hole not in whole]
    images = [settled(image.points, image.bulges) for image in mirrored]
    rings = [*shape.region.interiors, *(image.polygon().exterior for image in images)]
    return replace(shape, holes=(*shape.holes, *images), region=shapely.Polygon(shape.region.exterior, rings))


def _matters(fork: DrawnFork, layers: Mapping[str, LayerUse], window: DrawingWindow) -> bool:
    use = layers.get(fork.layer)
    return use is not None and use.makes in SOLID and window.holds(*window.point(fork.at)) == "inside"


def _fork(fork: DrawnFork, window: DrawingWindow) -> Defect:
    at = window.point(fork.at)
    return Defect(
        message=Sentence.of(
            "{count} ends of lines on layer {layer} meet at {place}: which of them belong to one outline cannot be "
            "told",
            count=Quantity.of(fork.ends, str(fork.ends)),
            layer=Name(fork.layer),
            place=place(*at),
        ),
        level=Level.ERROR,
        source=fork.source,
        at=at,
        cure="draw each outline as one closed polyline",
    )
