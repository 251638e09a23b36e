"""Drawings: a DXF file -> what it holds in mm -> the shapes of one frame, in its own (y, v), with their labels.

`read_drawing` reads a file once; `lay_out` takes one frame's window of it.
"""

from .cropped import cropped
from .drawn import Drawing, DrawnChain, DrawnCircle, DrawnFork, DrawnLine, DrawnOutline, DrawnPoint, DrawnText
from .edited import edited_drawing, is_added
from .extents import own_extent, part_boxes, without_extent
from .extents import rounded as rounded_extent
from .extents import told as told_extent
from .frame_shapes import FrameShapes, LabelledOutline, LayerUse, Mark
from .lay_out import lay_out
from .reader import read_drawing
from .window import DrawingWindow

__all__ = [
    "Drawing",
    "DrawingWindow",
    "DrawnChain",
    "DrawnCircle",
    "DrawnFork",
    "DrawnLine",
    "DrawnOutline",
    "DrawnPoint",
    "DrawnText",
    "FrameShapes",
    "LabelledOutline",
    "LayerUse",
    "Mark",
    "cropped",
    "edited_drawing",
    "is_added",
    "lay_out",
    "own_extent",
    "part_boxes",
    "read_drawing",
    "rounded_extent",
    "told_extent",
    "without_extent",
]
