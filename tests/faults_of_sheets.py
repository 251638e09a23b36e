"""Faults of the cut sheets: what is on them that should not be, what is not, and how it is drawn."""

from __future__ import annotations

from ezdxf.math import Matrix44
from planting import Boat, Fault, shifted

INCH = 25.4


def _part_forgotten(boat: Boat) -> None:
    drawing, outline, label = boat.on_sheet("F5 starboard side")
    drawing.modelspace().delete_entity(outline)
    drawing.modelspace().delete_entity(label)


def _old_version_left(boat: Boat) -> None:
    """The leg as it was before its foot was lengthened by 1 mm."""
    _, outline, _ = boat.on_sheet("F7 port leg outer")
    corners = [complex(u, v) for u, v, _ in outline.get_points("xyb")]
    edges = [b - a for a, b in zip(corners, corners[1:] + corners[:1], strict=True)]
    way = max(edges, key=abs)
    way /= abs(way)
    reach = [(corner / way).real for corner in corners]
    # its foot is square, its head is not
    low = sum(r < min(reach) + 0.01 for r in reach) == 2
    end, inward = (min(reach), way) if low else (max(reach), -way)
    foot = (inward.real, inward.imag)
    assert shifted(outline, lambda u, v: abs((complex(u, v) / way).real - end) < 0.01, foot) == 2


def _saved_in_inches(boat: Boat) -> None:
    drawing = boat.sheet(boat.plan["cut_sheets"][-1]["drawing"])
    for entity in drawing.modelspace():
        entity.transform(Matrix44.scale(1 / INCH, 1 / INCH, 1 / INCH))


FAULTS: tuple[Fault, ...] = (
    Fault(
        frame="5",
        check="cut-sheet",
        did="the starboard side is on no cut sheet",
        plant=_part_forgotten,
        gives=((("F5 starboard side",), None),),
        on_sheets=True,
    ),
    Fault(
        frame="7",
        check="cut-sheet",
        did="the outer ply of the port leg on the cut sheet is an older one, 1 mm shorter at its foot",
        plant=_old_version_left,
        gives=((("F7 port leg outer",), 1.0),),
        on_sheets=True,
    ),
    Fault(
        frame="",
        check="cut-sheet",
        did="the last cut sheet was saved in inches, and still says that it is in millimetres",
        plant=_saved_in_inches,
        gives=(((), INCH),),
        on_sheets=True,
    ),
)
