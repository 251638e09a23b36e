"""Cut sheets: read from their drawings, matched with the parts of the boat, and laid out anew.

reading      a sheet's drawing -> CutSheet
sheet_extent which part of a drawing is a sheet's, where frames are drawn in it too
stack        many outlines as one array: areas, lengths, flattened rings
congruence   which outlines are one another's turned or flipped copies, corner by corner
difference   how one outline differs from another, by distance, wherever it lies
naming       which part a text on a sheet means
assignment   which shape is which part, so that as many as can be are matched
comparison   all of it: what is on the sheets against what the boat needs
packing      rectangles on sheets
arrangement  the parts of a boat on sheets
"""
