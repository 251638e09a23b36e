"""Slips of the pen in drawings: what is drawn wrong, and the boats that it is planted in."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import shapely
from replanning import change_drawings

DRAWN: dict[str, tuple[Callable[[Path], str], tuple[str, ...]]] = {}
"""What is drawn wrong in a plan's folder; each gives the frame that it is told of, "" for several."""


def drawn_slip(*boats: str) -> Callable[[Callable[[Path], str]], Callable[[Path], str]]:
    def keep(plant: Callable[[Path], str]) -> Callable[[Path], str]:
        DRAWN[plant.__name__.replace("_", " ")] = (plant, boats or ("skiff", "pram"))
        return plant

    return keep


def shifted(plan: Path, frame: str, way: tuple[float, float], *kept: str) -> None:
    def shift(document: Any) -> None:
        for entity in document.modelspace():
            if entity.dxf.layer not in kept:
                entity.translate(*way, 0)

    change_drawings(plan, shift, f"frames/{frame}.dxf")


@drawn_slip("skiff", "pram", "other hand")
def drawing_low_against_its_datum_line(plan: Path) -> str:
    shifted(plan, "3", (0.0, -60.0), "REFERENCE")
    return "3"


@drawn_slip("skiff", "other hand")
def drawing_shifted_with_its_lines(plan: Path) -> str:
    shifted(plan, "3", (0.0, 20.0))
    return "3"


def left_open(plan: Path, layer: str, frame: str = "2", by: float = 2.0) -> str:
    """An outline of a layer drawn open, one edge short of its end."""

    def draw(document: Any) -> None:
        line = next(
            each for each in document.modelspace() if each.dxf.layer == layer and each.dxftype() == "LWPOLYLINE"
        )
        rows = [*line.get_points("xyb")]
        lengths = [
            np.hypot(*np.subtract(rows[(n + 1) % len(rows)][:2], row[:2])) * (not row[2]) for n, row in enumerate(rows)
        ]
        longest = int(np.argmax(lengths))
        rows = rows[longest + 1 :] + rows[: longest + 1]
        last, first = np.array(rows[-1][:2]), np.array(rows[0][:2])
        end = first + (last - first) / np.hypot(*(last - first)) * by
        line.set_points([*rows, (*end, 0.0)], format="xyb")
        line.close(False)

    change_drawings(plan, draw, f"frames/{frame}.dxf")
    return frame


@drawn_slip()
def floor_left_open(plan: Path) -> str:
    return left_open(plan, "CORE")


@drawn_slip()
def gusset_left_open(plan: Path) -> str:
    return left_open(plan, "GUSSETS")


@drawn_slip()
def line_of_the_core_lacking(plan: Path) -> str:
    def rub_out(document: Any) -> None:
        side = outline_of(document, "port side")
        pieces = [each for each in side.explode() if each.dxftype() == "LINE"]
        document.modelspace().delete_entity(max(pieces, key=lambda line: line.dxf.start.distance(line.dxf.end)))

    change_drawings(plan, rub_out, "frames/3.dxf")
    return "3"


def named(document: Any, words: str) -> Any:
    return next(each for each in document.modelspace() if each.dxftype() == "TEXT" and each.dxf.text == words)


def outline_of(document: Any, words: str) -> Any:
    """The outline that a text lies in."""
    at = shapely.Point(tuple(named(document, words).dxf.insert)[:2])
    lines = [each for each in document.modelspace() if each.dxftype() == "LWPOLYLINE" and each.closed]
    inside = [each for each in lines if shapely.Polygon(each.get_points("xy")).contains(at)]
    return min(inside, key=lambda each: shapely.Polygon(each.get_points("xy")).area)


@drawn_slip()
def another_frames_part_pasted_in(plan: Path) -> str:
    own, other = (ezdxf.readfile(plan / "frames" / f"{frame}.dxf") for frame in "32")
    outline_of(own, "floor").set_points(outline_of(other, "floor").get_points("xyb"), format="xyb")
    own.saveas(plan / "frames" / "3.dxf")
    return "3"


@drawn_slip()
def part_on_another_layer(plan: Path) -> str:
    def relayer(document: Any) -> None:
        outline_of(document, "port side").dxf.layer = "GUSSETS"

    change_drawings(plan, relayer, "frames/3.dxf")
    return "3"


def part_moved(plan: Path, part: str, by: tuple[float, float]) -> str:
    def move(document: Any) -> None:
        outline_of(document, part).translate(*by, 0)

    change_drawings(plan, move, "frames/3.dxf")
    return "3"


@drawn_slip()
def floor_moved(plan: Path) -> str:
    return part_moved(plan, "floor", (0.0, 4.0))


@drawn_slip()
def side_moved(plan: Path) -> str:
    return part_moved(plan, "port side", (-2.0, 1.0))


@drawn_slip()
def legs_cut_for_each_others_frames(plan: Path) -> str:
    files = [plan / "frames" / f"{frame}.dxf" for frame in "23"]
    documents = [ezdxf.readfile(file) for file in files]
    for layer in ("LEG INNER", "LEG OUTER"):
        legs = [
            [each for each in document.modelspace() if each.dxf.layer == layer and each.dxftype() == "LWPOLYLINE"]
            for document in documents
        ]
        for one, other in zip(*legs, strict=True):
            rows, others = [*one.get_points("xyb")], [*other.get_points("xyb")]
            one.set_points(others, format="xyb")
            other.set_points(rows, format="xyb")
    for document, file in zip(documents, files, strict=True):
        document.saveas(file)
    return ""


@drawn_slip()
def port_and_starboard_exchanged_in_one_frame(plan: Path) -> str:
    def relabel(document: Any) -> None:
        for each in document.modelspace():
            if each.dxftype() == "TEXT":
                swapped = each.dxf.text.replace("port ", "!").replace("starboard ", "port ").replace("!", "starboard ")
                each.dxf.text = swapped

    change_drawings(plan, relabel, "frames/3.dxf")
    return "3"
