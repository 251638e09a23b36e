"""Drawings of a frame in its own plane, as SVG: plain text from plain shapes, nothing here needs a screen.

sight, layers           from a frame's plane to paper; what of it is seen and what is hidden
svg, letters, look      the writer; how wide words are; lines and tones
signs                   screws, dowels, timbers, words and the marks of findings on paper, and what the signs mean
figure                  a frame
inset, detail, section  a finding enlarged: in the plane, or cut open
sheet                   the page
"""
