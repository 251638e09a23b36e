"""How a frame comes out of its drawing, for `assemble`.

frame_drawing  what of a drawing is one frame's, taken once for all that it depends on
frame_made     a frame of what its drawing holds: parts, screws and dowels in their places
"""
