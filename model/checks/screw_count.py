"""Check `screw-count`: a part that a gusset holds has too few screws through it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

import numpy as np
import shapely

from scrieve.shared.edits import Edit
from scrieve.shared.findings import Finding, Level, Measure
from scrieve.shared.sentences import Name, Sentence
from scrieve.shared.tolerances import COINCIDENT, GUSSET_LAP, falls_short
from scrieve.shared.wording import joined, listed, place, plain

from ..boat.assembly import Assembly
from ..boat.editing import add_round
from ..boat.evidence import Marker, subjects
from ..boat.frame import Frame
from ..boat.part import Part
from ..boat.screw import Screw
from ..proposals.screws.screw_added import moved_screws, places_for_more
from ..proposals.screws.screws_proposed import are_screwed
from ..relations.joints.gusset import FACES, covers, gussets_of
from .check import Check, Page

_HELD = 0.5  # share of a gusset's thickness: a screw that goes less deep into it from behind does not hold it


def check(frame: Frame, assembly: Assembly) -> Iterator[Finding]:
    """One finding for every part with too few screws through a gusset; one for a gusset, or a face, with none."""
    if not are_screwed(frame):
        return
    limit = assembly.limits["screw_count"]
    counts = _counts(frame)
    cures = _Cures(frame, assembly)
    for face in FACES:
        gussets = [gusset for gusset in gussets_of(frame) if gusset.face == face]
        short = [(gusset, _short(gusset, frame, assembly, counts, limit)) for gusset in gussets]
        short = [(gusset, members) for gusset, members in short if members]
        screwed = {gusset for gusset, _ in counts}
        if len(short) > 1 and screwed.isdisjoint(gussets):
            yield _none_on_face(frame, [gusset for gusset, _ in short], limit)
            continue
        for gusset, members in short:
            if gusset not in screwed:
                yield _none(frame, cures, gusset, members, limit)
                continue
            for member in members:
                yield _too_few(frame, cures, gusset, member, counts[gusset, member], limit)


class _Cures:
    """The screws that are added in a frame, clear of one another and of all that the other checks' cures move.

    So all that is proposed in the frame can be done, and any of it left undone.
    """

    def __init__(self, frame: Frame, assembly: Assembly) -> None:
        self._frame, self._assembly = frame, assembly
        self._taken: list[Screw] | None = None  # solved only where something is to be added

    def of(self, gusset: Part, wanted: Sequence[tuple[Part, int]]) -> tuple[str, tuple[Edit, ...]]:
        """How many to add through a gusset, and where, as far as there is room."""
        edits: list[Edit] = []
        if self._taken is None:
            self._taken = moved_screws(self._frame, self._assembly)
        said = []
        for member, more in wanted:
            screws = places_for_more(self._frame, self._assembly, gusset, member, more, self._taken)
            self._taken += screws
            edits += self._added(screws, sure=len(screws) == more)
            at = Name(" and ".join(place(*screw.at) for screw in screws))
            what = f"{{more}} screw{'s' if more > 1 else ''} into {{member}}"
            clear = "clear of all edges and screws: widen the part or the gusset"
            if len(screws) == more:
                said.append(Sentence.of(f"{what}, e.g. at {{at}}", more=plain(more), member=member, at=at))
            elif screws:
                there = f"{what} (there is room for {{count}}, at {{at}}, {clear})"
                said.append(Sentence.of(there, more=plain(more), member=member, count=plain(len(screws)), at=at))
            else:
                none = f"{what} (there is no room for any, {clear})"
                said.append(Sentence.of(none, more=plain(more), member=member))
        return Sentence.of("add {screws}", screws=joined(said, "; and ", "; and ")), tuple(edits)

    def _added(self, screws: Sequence[Screw], *, sure: bool) -> tuple[Edit, ...]:
        """Circles on the layer of screws of that size that are driven from that face; nothing where there is none."""
        drawn = (screw for frame in (self._frame, *self._assembly.frames) for screw in frame.screws)
        like = next(
            (s for s in drawn for new in screws[:1] if (s.size, s.driven_from) == (new.size, new.driven_from)), None
        )
        places = [screw.at for screw in screws]
        return () if like is None else add_round(self._frame, like, places, like.size.diameter, sure=sure)


def _counts(frame: Frame) -> Counter[tuple[Part, Part]]:
    """How many screws hold each gusset to each core part."""
    core = set(frame.core)
    out: Counter[tuple[Part, Part]] = Counter()
    for screw in frame.screws:
        held = [ply.part for ply in screw.plies if not falls_short(ply.depth, _HELD * ply.thickness)]
        gussets = [part for part in held if part.role == "gusset" and part.face != "core"]
        out.update((gusset, ply.part) for gusset in gussets for ply in screw.plies if ply.part in core)
    return out


def _short(
    gusset: Part, frame: Frame, assembly: Assembly, counts: Counter[tuple[Part, Part]], limit: float
) -> tuple[Part, ...]:
    """The core parts that a gusset holds with too few screws.

    They are those of the joints under it; on a frame of one board, the board. A plate elsewhere, a knee perhaps,
    may be meant to be glued only, unless there is a screw through it.
    """
    over = {
        part
        for cover in covers(frame, assembly)
        if gusset in cover.gussets
        for part in (cover.joint.first, cover.joint.second)
    }
    if not over and (len(frame.core) == 1 or any(counts[gusset, part] for part in frame.core)):
        over = {part for part in frame.core if counts[gusset, part] >= limit - COINCIDENT or _laps(gusset, part)}
    return tuple(part for part in frame.core if part in over and counts[gusset, part] < limit - COINCIDENT)


def _laps(gusset: Part, part: Part) -> bool:
    common = shapely.intersection(gusset.shape, part.shape)
    return not shapely.buffer(common, -GUSSET_LAP / 2).is_empty


def _too_few(frame: Frame, cures: _Cures, gusset: Part, member: Part, count: int, limit: float) -> Finding:
    goes = "{count} screw through {gusset} goes" if count == 1 else "{count} screws through {gusset} go"
    return _finding(
        frame,
        (gusset,),
        (member,),
        Sentence.of(
            f"{goes} into {{member}}, want {{limit}}",
            count=plain(count) if count else "no",
            gusset=gusset,
            member=member,
            limit=plain(limit),
        ),
        count,
        limit,
        cures.of(gusset, [(member, _missing(count, limit))]),
    )


def _none(frame: Frame, cures: _Cures, gusset: Part, members: Sequence[Part], limit: float) -> Finding:
    each = "" if len(members) == 1 else "each of "
    return _finding(
        frame,
        (gusset,),
        members,
        Sentence.of(
            f"no screw passes through {{gusset}}, want {{limit}} into {each}{{members}}",
            gusset=gusset,
            limit=plain(limit),
            members=listed(member.name for member in members),
        ),
        0,
        limit,
        cures.of(gusset, [(member, _missing(0, limit)) for member in members]),
    )


def _none_on_face(frame: Frame, gussets: Sequence[Part], limit: float) -> Finding:
    face = gussets[0].face
    return _finding(
        frame,
        gussets,
        (),
        Sentence.of(
            "no screw passes through any of the {count} gussets on the {face} face of {frame}, "
            "want {limit} into each part under each",
            count=plain(len(gussets)),
            face=face,
            frame=frame,
            limit=plain(limit),
        ),
        0,
        limit,
        (
            Sentence.of('draw them on a layer with driven_from = "{face}"; `scrieve screws` lays them out', face=face),
            (),
        ),
    )


def _missing(count: int, limit: float) -> int:
    return int(np.ceil(limit - count - COINCIDENT))


def _finding(
    frame: Frame,
    gussets: Sequence[Part],
    members: Sequence[Part],
    message: str,
    count: int,
    limit: float,
    cured: tuple[str, tuple[Edit, ...]],
) -> Finding:
    gusset = gussets[0]
    laps = [shapely.intersection(gusset.shape, member.shape) for member in members]
    middle = shapely.point_on_surface(laps[0] if laps else gusset.shape)
    mark = Marker(frame=frame, w=gusset.high if gusset.face == "forward" else gusset.low)
    wood = {*gussets, *members}
    there = [screw for screw in frame.screws if members and wood <= {ply.part for ply in screw.plies}]
    return Finding(
        check="screw-count",
        level=Level.ERROR,
        message=message,
        frame=frame.number,
        at=mark.at((middle.x, middle.y)),
        cure=cured[0],
        edits=cured[1],
        source=gusset.source,
        subjects=subjects(*gussets, *members),
        measure=Measure(
            value=count,
            limit=limit,
            unit="",
            sense="least",
            words="{value} screw, {limit} wanted" if count == 1 else "{value} screws, {limit} wanted",
        ),
        evidence=(
            *(line for shape in laps or [each.shape for each in gussets] for line in mark.lines(shape)),
            *map(mark.screw, there),
        ),
    )


CHECK = Check(
    slug="screw-count",
    title="Too few screws through a gusset",
    level=Level.ERROR,
    limits=("screw_count",),
    on_frame=check,
    page=Page(
        looks_at=(
            "Every gusset, each face for itself, and both core parts of the joint under it: the screws that pass the "
            "gusset and go into that part. On a frame that is one board, such as a transom, the board is the one part. "
            "A plate of that role elsewhere counts once a screw goes through it. "
            "A screw from the other face counts if it goes at least half through the gusset. Where no screw is "
            "drawn through any gusset of a frame, its legs' own aside, none are counted; a note says so."
        ),
        matters=(
            "Screws hold the gusset down while the glue sets. On one screw it turns; with none on one side of the "
            "joint it lifts there, and the thick glue under it is no joint."
        ),
        limit=(
            "screw_count, 2 for each part under each gusset. Common practice, no source: the least that keeps a plate "
            "from turning. Whether they are enough for a load nobody asks here."
        ),
        cure=(
            "Add screws at the places named: they are clear of every edge, screw and batten as the other checks of "
            "screws want it, and as far from the other screws as they can be. Where there is no room the gusset is too "
            "small for its joint."
        ),
    ),
)
