"""Outlines with true arcs, what a cutter leaves of them, overlaps, splines, placement; knows no boat."""
