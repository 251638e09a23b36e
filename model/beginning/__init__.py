"""A first plan for drawings that exist: a folder's DXF files -> what they hold and show -> the text of its plan."""

from .begun import Begun, begin

__all__ = ["Begun", "begin"]
