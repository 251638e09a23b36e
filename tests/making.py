"""Makes small frames and boats in memory, for tests of one check at a time.

Coordinates are a frame's own (y, v), mm; the core lies from w = 0 to its thickness.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.batten import Batten, Section
from scrieve.model.boat.frame import Frame
from scrieve.model.boat.part import Part
from scrieve.model.boat.screw import Dowel, Screw, drive
from scrieve.model.boat.strongback import Strongback
from scrieve.model.geometry.cut import as_cut
from scrieve.model.geometry.outline import Outline
from scrieve.model.geometry.placement import Placement
from scrieve.model.geometry.segment import closest_points
from scrieve.shared.findings import Finding, Level, Measure, Source, Subject
from scrieve.shared.limits import Limits
from scrieve.shared.screw_table import ScrewSize, screw_of_gauge

INCH = 25.4
NO_8 = screw_of_gauge(8, 0.75 * INCH)


def finding(
    *,
    parts: Iterable[str] = (),
    measured: float | None = None,
    limit: float | None = None,
    unit: str = "",
    **more: object,
) -> Finding:
    """An error of `foul` unless `more` says otherwise, about parts of these names, and what it measured."""
    subjects = tuple(Subject(kind="part", name=name) for name in parts)
    measure = None if measured is None else Measure(value=measured, limit=limit, unit=unit)
    given = {"check": "foul", "level": Level.ERROR, "message": "", "subjects": subjects, "measure": measure}
    return Finding(**{**given, **more})


def rectangle(left: float, bottom: float, right: float, top: float) -> Outline:
    """A rectangle, counter-clockwise."""
    return Outline.of([(left, bottom), (right, bottom), (right, top), (left, top)])


def part(
    label: str,
    outline: Outline,
    *,
    frame: str = "5",
    face: str = "core",
    role: str | None = None,
    thickness: float = 18.0,
    core: float = 18.0,
    cutter: float = 0.0,
    density: float = 500.0,
) -> Part:
    """A part on its face of a core `core` thick; gussets by default off the core; cut by `cutter`."""
    low = {"core": 0.0, "forward": core, "aft": -thickness}[face]
    return Part(
        name=f"F{frame} {label}",
        label=label,
        frame=frame,
        role=role or ("core" if face == "core" else "gusset"),
        face=face,
        stock=f"ply{thickness:g}",
        density=density,
        drawn=outline,
        shape=as_cut(outline.polygon(), cutter),
        low=low,
        high=low + thickness,
        source=Source(file=f"frames/{frame}.dxf", handle=label),
    )


def screw(
    parts: Iterable[Part],
    at: tuple[float, float],
    *,
    name: str = "screw 1",
    driven_from: str = "forward",
    size: ScrewSize = NO_8,
    frame: str = "5",
    core: float = 18.0,
) -> Screw:
    """A screw driven flush into these parts."""
    return drive(
        list(parts),
        name=f"F{frame} {driven_from} {name}",
        frame=frame,
        size=size,
        at=at,
        driven_from=driven_from,
        face=core if driven_from == "forward" else 0.0,
        source=Source(file=f"frames/{frame}.dxf", handle=name),
    )


def dowel(at: tuple[float, float], *, diameter: float = 10.0, frame: str = "5", number: int = 1) -> Dowel:
    """A dowel."""
    source = Source(file=f"frames/{frame}.dxf", handle=f"D{number}")
    return Dowel(name=f"F{frame} dowel {number}", frame=frame, at=at, diameter=diameter, source=source)


def frame(
    parts: Iterable[Part],
    *,
    number: str = "5",
    kind: str = "open",
    station: float = 1000.0,
    rake: float = 0.0,
    core: float = 18.0,
    screws: Iterable[Screw] = (),
    dowels: Iterable[Dowel] = (),
    sections: Iterable[Section] = (),
) -> Frame:
    """A frame; `rake` in radians."""
    return Frame(
        number=number,
        kind=kind,
        placement=Placement(station=station, rake=rake),
        core_low=0.0,
        core_high=core,
        parts=tuple(sorted(parts, key=lambda p: p.name)),
        screws=tuple(screws),
        dowels=tuple(dowels),
        sections=tuple(sections),
        source=Source(file="plan.toml", line=1),
    )


def section(
    batten: str,
    centre: tuple[float, float],
    *,
    angle: float = 0.0,
    frame: str = "5",
    drawn: Outline | None = None,
) -> Section:
    """A batten's section; `angle` of the long side in radians."""
    source = Source(file=f"frames/{frame}.dxf", handle=batten)
    return Section(batten=batten, frame=frame, centre=centre, angle=angle, drawn=drawn, source=source)


def batten(
    name: str,
    sections: Iterable[Section],
    placements: Iterable[Placement],
    *,
    long: float = 32.0,
    short: float = 20.0,
    arris: float = 5.0,
) -> Batten:
    """A batten through these sections."""
    sections = tuple(sections)
    return Batten(
        name=name,
        kind=name.split()[-1],
        side=_side(sections),
        long=long,
        short=short,
        arris=arris,
        sections=sections,
        placements=tuple(placements),
    )


def straight_batten(
    name: str,
    centre: tuple[float, float],
    *,
    slope: tuple[float, float] = (0.0, 0.0),
    angle: float = 0.0,
    **more: float,
) -> Batten:
    """A straight batten through `centre` (y, z) at x = 1000, from x = 0 to 2000, rising `slope` a mm of x."""
    y, z = centre
    sections = [
        section(name, (y + slope[0] * (x - 1000), z + slope[1] * (x - 1000)), angle=angle, frame=str(x))
        for x in (0, 1000, 2000)
    ]
    return batten(name, sections, [Placement(station=x) for x in (0.0, 1000.0, 2000.0)], **more)


def assembly(
    frames: Iterable[Frame],
    *,
    battens: Iterable[Batten] = (),
    strongback: Strongback | None = None,
    limits: Mapping[str, float] | None = None,
    cutter: float = 0.0,
    build: str = "upright",
) -> Assembly:
    """A boat of these frames, sorted forward."""
    return Assembly(
        name="Test boat",
        build=build,
        cutter_diameter=cutter,
        frames=tuple(sorted(frames, key=lambda f: (f.placement.station, f.number))),
        battens=tuple(sorted(battens, key=lambda b: b.name)),
        strongback=strongback,
        limits=Limits(limits),
        defects=(),
        source=Source(file="plan.toml"),
    )


def rails(*, inside_width: float = 560.0, build: str = "upright") -> Strongback:
    """Two rails of 45 x 145 mm, from x = -200 to 4400."""
    return Strongback(inside_width=inside_width, width=45, depth=145, start=-200, end=4400, build=build)


def segment_gap(p0: ArrayLike, p1: ArrayLike, q0: ArrayLike, q1: ArrayLike) -> NDArray[np.float64]:
    """Least distance between segments, (n,)."""
    here, there = closest_points(p0, p1, q0, q1)
    return np.linalg.norm(here - there, axis=1)


def turned(points: Iterable[tuple[float, float]], angle: float) -> list[tuple[float, float]]:
    """Points turned counter-clockwise about the origin, radians."""
    c, s = np.cos(angle), np.sin(angle)
    return [(c * y - s * z, s * y + c * z) for y, z in points]


def as_polygon(outline: Outline) -> shapely.Polygon:
    """The outline's polygon."""
    return outline.polygon()


def _side(sections: tuple[Section, ...]) -> str:
    mean = float(np.mean([section.centre[0] for section in sections]))
    return "centre" if abs(mean) < 1.0 else "port" if mean > 0 else "starboard"
