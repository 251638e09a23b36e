"""Drawings of a frame in its own plane, as SVG: plain text from plain shapes, nothing here needs a screen.

thing, span             what a finding names, and the length that it measures as two points
sight, layers           from a frame's plane to paper; what of it is seen and what is hidden
svg, letters, look      the writer; how wide words are; lines and tones
signs, key              screws, dowels, timbers, dimensions, and what the signs mean
placing                 places for words where they cover nothing
figure                  a frame
inset, detail, section  a finding enlarged: in the plane, or cut open along a screw
sheet                   the page
"""
