"""Networks: loose lines and arcs of one layer that fork, and the faces that they part the plane into."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from scrieve.shared.tolerances import COINCIDENT

from ..geometry.outline import Outline
from .drawn import DrawnEdge, DrawnNetwork, Point
from .ring import signed_area

_CROWD = 8  # places that count as one node; more of them in so small a space are one heap
_MOST_EDGES = 5_000  # of one network; a frame drawn loose has some hundreds
_AT_ONCE = 100  # edges that are held against all others at once
_MOST_MEETING = 50  # other edges that one meets, on the whole; more are no outlines of parts

_Half = tuple[int, int]  # index of an edge; 0 from its start on, 1 from its end back


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Face:
    """A bounded face: its outline, counter-clockwise, and the `edges` round it, as indices into its network.

    `oldest` is the edge among them that was drawn first.
    """

    outline: Outline
    edges: frozenset[int]
    oldest: DrawnEdge


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Network:
    """A network that could be traced: the edges left once twins are dropped, and its bounded faces.

    `doubled` are the edges that had a twin, each with its middle.
    """

    drawn: DrawnNetwork
    count: int
    doubled: Mapping[int, Point]
    faces: tuple[Face, ...]

    def left_over(self, named: Sequence[Face]) -> frozenset[Face] | None:
        """The other faces that want a label too: each alone bounds most of what edges no named face does.

        None where that cannot be told, or where as many faces want one as have one: edges may mean something else.
        """
        left = frozenset(range(self.count)).difference(*(face.edges for face in named))
        others = [face for face in self.faces if face not in named]
        found: set[Face] = set()
        while left:
            counts = [len(face.edges & left) for face in others]
            most = max(counts, default=0)
            if not most or counts.count(most) > 1:
                return None
            face = others[counts.index(most)]
            found.add(face)
            left -= face.edges
        return frozenset(found) if not found or len(found) < len(named) else None


def dead_ends(drawn: DrawnNetwork, gap: float) -> list[Point]:
    """The ends of edges that meet no other, up to `gap` mm off; none where the network is too crowded to tell."""
    if len(drawn.edges) > _MOST_EDGES:
        return []
    points = [end for edge in drawn.edges for end in (edge.start, edge.end)]
    nodes = _nodes(points, gap)
    if nodes is None:
        return []
    met = Counter(nodes)
    return sorted(point for node, point in zip(nodes, points, strict=True) if met[node] == 1)


def traced(drawn: DrawnNetwork, gap: float) -> Network | None:
    """The network with its faces; ends up to `gap` mm apart are one.

    None where the drawing does not say what they are: an end meets nothing, pieces cross or touch
    elsewhere than at their ends, or leave an end so close together that their order cannot be told.
    """
    if len(drawn.edges) > _MOST_EDGES:
        return None
    nodes = _nodes([end for edge in drawn.edges for end in (edge.start, edge.end)], gap)
    if nodes is None:
        return None
    places = _places(drawn.edges, nodes)
    edges, ends, doubled = _without_twins(drawn.edges, nodes, places, gap)
    if not edges or _dangles(ends) or _touch(edges, ends, places, gap):
        return None
    order = _order(edges, ends, places)
    if order is None:
        return None
    faces: list[Face] = []
    outer = 0
    for walk in _walks(len(edges), ends, order):
        outline = Outline.of(
            [places[ends[e][way]] for e, way in walk], [edges[e].bulge * (1, -1)[way] for e, way in walk]
        )
        if signed_area(outline.points, outline.bulges) <= 0.0:
            outer += 1
            continue
        round_it = frozenset(e for e, _ in walk)
        if len(round_it) < len(walk):
            return None  # an edge with the same face on both sides parts nothing
        oldest = min((edges[e] for e in round_it), key=lambda edge: (len(edge.source.handle), edge.source.handle))
        faces.append(Face(outline=outline, edges=round_it, oldest=oldest))
    # of one connected network all but one face is bounded
    if outer != 1 or len({node for pair in ends for node in pair}) - len(edges) + len(faces) != 1:
        return None
    middles = {edge: _middle_of(edges[edge], ends[edge], places) for edge in doubled}
    return Network(drawn=drawn, count=len(edges), doubled=middles, faces=tuple(faces))


def _nodes(points: Sequence[Point], gap: float) -> list[int] | None:
    """A number for each point, the same for those up to `gap` apart; None where points of one number lie further."""
    spots = sorted(set(points))
    reach = max(gap, COINCIDENT)
    _, crowd = np.unique(np.floor(np.array(spots) / reach), axis=0, return_counts=True)
    if crowd.max() > _CROWD:
        return None
    dots = shapely.points(np.array(spots))
    first, second = shapely.STRtree(dots).query(dots, predicate="dwithin", distance=reach)
    near: dict[int, list[int]] = defaultdict(list)
    for a, b in zip(first.tolist(), second.tolist(), strict=True):
        near[a].append(b)
    number: dict[Point, int] = {}
    for index, spot in enumerate(spots):
        together = sorted(near[index])
        if any(sorted(near[other]) != together for other in together):
            return None
        number[spot] = together[0]
    return [number[point] for point in points]


def _places(edges: Sequence[DrawnEdge], nodes: Sequence[int]) -> dict[int, Point]:
    """Where each node is: at the end of an arc, so that it keeps its circle, before that of a line."""
    best: dict[int, tuple[bool, Point]] = {}
    for index, edge in enumerate(edges):
        for node, point in ((nodes[2 * index], edge.start), (nodes[2 * index + 1], edge.end)):
            rank = (edge.bulge == 0.0, point)
            best[node] = min(best.get(node, rank), rank)
    return {node: point for node, (_, point) in best.items()}


def _without_twins(
    edges: Sequence[DrawnEdge], nodes: Sequence[int], places: Mapping[int, Point], gap: float
) -> tuple[list[DrawnEdge], list[tuple[int, int]], set[int]]:
    """The edges without those that repeat another either way, the nodes at their ends, and which had a twin."""
    kept: list[DrawnEdge] = []
    ends: list[tuple[int, int]] = []
    doubled: set[int] = set()
    between: dict[tuple[int, int], list[int]] = defaultdict(list)
    for index in sorted(range(len(edges)), key=lambda i: (len(edges[i].source.handle), edges[i].source.handle, i)):
        edge = edges[index]
        a, b = nodes[2 * index], nodes[2 * index + 1]
        if a == b:
            continue  # shorter than the gap that is closed
        middle = _middle(places[a], places[b], edge.bulge)
        known = between[min(a, b), max(a, b)]
        twin = next((k for k in known if math.dist(middle, _middle_of(kept[k], ends[k], places)) <= gap), None)
        if twin is None:
            known.append(len(kept))
            if edge.twice:
                doubled.add(len(kept))
            kept.append(edge)
            ends.append((a, b))
        else:
            doubled.add(twin)
    return kept, ends, doubled


def _middle_of(edge: DrawnEdge, ends: tuple[int, int], places: Mapping[int, Point]) -> Point:
    return _middle(places[ends[0]], places[ends[1]], edge.bulge)


def _middle(start: Point, end: Point, bulge: float) -> Point:
    (u, v), (u2, v2) = start, end
    return (u + u2) / 2 + (v2 - v) * bulge / 2, (v + v2) / 2 - (u2 - u) * bulge / 2


def _dangles(ends: Sequence[tuple[int, int]]) -> bool:
    """Whether an end meets no other."""
    met: dict[int, int] = defaultdict(int)
    for pair in ends:
        for node in pair:
            met[node] += 1
    return min(met.values()) < 2


def _touch(
    edges: Sequence[DrawnEdge], ends: Sequence[tuple[int, int]], places: Mapping[int, Point], gap: float
) -> bool:
    """Whether edges come together elsewhere than at the ends that they share."""
    lines = np.array([_line(edge, pair, places) for edge, pair in zip(edges, ends, strict=True)])
    tree = shapely.STRtree(lines)
    reach = max(gap, COINCIDENT)
    numbers = sorted(places)
    dots = shapely.points(np.array([places[node] for node in numbers]))
    which, met = tree.query(dots, predicate="dwithin", distance=reach)
    if any(numbers[n] not in ends[e] for n, e in zip(which.tolist(), met.tolist(), strict=True)):
        return True
    meeting = [np.zeros((2, 0), dtype=np.intp)]
    for some in np.array_split(np.arange(len(lines)), 1 + len(lines) // _AT_ONCE):
        one, other = tree.query(lines[some], predicate="intersects")
        meeting.append(np.array([some[one], other])[:, some[one] < other])
        if sum(pairs.shape[1] for pairs in meeting) > _MOST_MEETING * len(edges):
            return True
    one, other = np.concatenate(meeting, axis=1)
    common = shapely.intersection(lines[one], lines[other])
    for a, b, shared in zip(one.tolist(), other.tolist(), common, strict=True):
        joint = [places[node] for node in ends[a] if node in ends[b]]
        for u, v in shapely.get_coordinates(shared).tolist():
            if not any(math.dist((u, v), at) <= reach for at in joint):
                return True
    return False


def _line(edge: DrawnEdge, ends: tuple[int, int], places: Mapping[int, Point]) -> shapely.LineString:
    corners = [places[ends[0]], places[ends[1]]]
    if edge.bulge == 0.0:
        return shapely.LineString(corners)
    # the chord back to the start is straight, and so adds no point
    return shapely.LineString(Outline.of(corners, [edge.bulge, 0.0]).flattened())


def _order(
    edges: Sequence[DrawnEdge], ends: Sequence[tuple[int, int]], places: Mapping[int, Point]
) -> dict[int, list[_Half]] | None:
    """For each node the halves that leave it, counter-clockwise; None where two leave it as one.

    They are compared where they cross a circle round the node that all of them cross once: so those
    that leave along one tangent come in the order of their curvature.
    """
    leaving: dict[int, list[_Half]] = defaultdict(list)
    for index, pair in enumerate(ends):
        for way in (0, 1):
            leaving[pair[way]].append((index, way))
    chords = [math.dist(places[a], places[b]) for a, b in ends]
    order: dict[int, list[_Half]] = {}
    for node, halves in leaving.items():
        radius = min(chords[e] for e, _ in halves) / 2
        bearings = sorted((_bearing(edges[e], ends[e], places, way, radius), (e, way)) for e, way in halves)
        angles = [angle for angle, _ in bearings]
        turns = np.diff([*angles, angles[0] + 2 * math.pi])
        if float(turns.min()) * radius <= COINCIDENT:
            return None
        order[node] = [half for _, half in bearings]
    return order


def _bearing(edge: DrawnEdge, ends: tuple[int, int], places: Mapping[int, Point], way: int, radius: float) -> float:
    """The angle, 0 to a turn, at which a half crosses the circle of `radius` round the node that it leaves."""
    (u, v), (u2, v2) = places[ends[way]], places[ends[1 - way]]
    bulge = edge.bulge * (1, -1)[way]
    half_turn = 2 * math.atan(bulge)
    # the chord from the node to where it crosses turns off the tangent by half of what the arc does up to there
    off = math.asin(max(-1.0, min(1.0, radius * math.sin(half_turn) / math.dist((u, v), (u2, v2)))))
    return (math.atan2(v2 - v, u2 - u) - half_turn + off) % (2 * math.pi)


def _walks(count: int, ends: Sequence[tuple[int, int]], order: Mapping[int, Sequence[_Half]]) -> Iterable[list[_Half]]:
    """Every face as the halves round it, the face on their left."""
    following: dict[_Half, _Half] = {}
    for halves in order.values():
        for place, (edge, way) in enumerate(halves):
            # who comes in along a half goes on along the next one clockwise
            following[edge, 1 - way] = halves[place - 1]
    used: set[_Half] = set()
    for start in ((edge, way) for edge in range(count) for way in (0, 1)):
        walk: list[_Half] = []
        half = start
        while half not in used:
            used.add(half)
            walk.append(half)
            half = following[half]
        if walk:
            yield walk
