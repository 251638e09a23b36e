"""Drawings written as DXF: the assembly board, screw layouts, cures."""
