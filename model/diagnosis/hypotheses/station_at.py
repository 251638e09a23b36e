"""Another face of a frame stands on its station than the plan says."""

from __future__ import annotations

from collections.abc import Iterator

from scrieve.shared.sentences import Name, Sentence

from ..case import Case, Hypothesis

_FACES = {"aft face", "forward face", "middle"}

_FRAMES = 2  # those with most findings; the wrong one troubles those beside it less

_CHECKS = ("cut-sheet", "mirror")
"""which find the same of a frame whichever of its faces is on the station."""


def propose(case: Case) -> Iterator[Hypothesis]:
    """Each other face, that of most frames first, of the frames in which battens lie worst."""
    usual: list[str] = [spec.station_at for spec in case.plan.frames]
    for number in list(case.restless)[:_FRAMES]:
        if any(each.frame == number for each in case.of("station")):
            continue  # it is the station itself that is not right
        index = case.index_of(number)
        said = case.plan.frames[index].station_at
        for face in sorted(_FACES - {said}, key=lambda each: (-usual.count(each), each)):
            yield Hypothesis(
                says=Sentence.of(
                    "F{frame} stands with its {face} on the station, the plan says its {said}",
                    face=Name(face),
                    frame=Name(number),
                    said=Name(said),
                ),
                cure=Sentence.of('set station_at of F{frame} to "{face}"', frame=Name(number), face=Name(face)),
                edits=case.plan.keys.set(("frames", index), "station_at", face),
                trace=tuple(each for each in case.in_frames(number) if each.check not in _CHECKS),
                frame=number,
                source=case.plan.source_of("frames", index, "station_at"),
            )
