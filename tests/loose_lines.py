"""Outlines as loose lines and arcs, the edges that parts share drawn once or twice; and what came of them, measured."""

from itertools import pairwise

import numpy as np
from drawings import line, polyline

from scrieve.model.drawing.ring import signed_area


def segments(parts):
    """The edges of outlines [(point, bulge), ...] as (start, end, bulge), those shared once for each."""
    return [(a, b, bulge) for part in parts for (a, bulge), (b, _) in pairwise([*part, part[0]])]


def once(edges):
    """The edges without those that repeat another."""
    return list({frozenset(edge[:2]): edge for edge in edges}.values())


def loose(space, edges, shuffle=None, layer="CORE"):
    """Each edge as a line or arc of its own; in any order and either way round if `shuffle` is given."""
    edges = list(edges)
    if shuffle is not None:
        shuffle.shuffle(edges)
        edges = [(b, a, -bulge) if shuffle.random() < 0.5 else (a, b, bulge) for a, b, bulge in edges]
    for start, end, bulge in edges:
        if bulge:
            polyline(space, [start, end], [bulge, 0], layer=layer, close=False)
        else:
            line(space, start, end, layer=layer)


def box(left, low, right, high):
    """A rectangle, as the corners and bulges of an outline."""
    return [((left, low), 0), ((right, low), 0), ((right, high), 0), ((left, high), 0)]


def measured(shapes):
    """Area and sorted radii of each outline, by label."""
    return {
        s.label: (signed_area(s.outline.points, s.outline.bulges), *np.sort(s.outline.radii())) for s in shapes.shapes
    }
