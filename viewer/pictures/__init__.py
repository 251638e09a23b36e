"""Pictures without a screen: the scene seen from a fixed place, with words and measures drawn over it.

graphics, probe     whether there is OpenGL here: asked of a process of its own, since a wrong answer kills
subject             the boat of a picture, and what is asked for
studio              the scene before a camera
canvas, captions    lines, arrows and words over what was rendered
whole, stepping, closing_in, findings_list     the kinds of pictures
pages               many small ones on a page
picture             which one is asked for
"""
