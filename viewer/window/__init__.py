"""The window: the boat in 3D, its findings and its build order, for designer and builder.

boat          a plan as the window has it: set up, checked, its steps worked out
loading       reads one beside the window, tells how far it is, can be stopped
actions       everything that can be done in the window, with its key, in one table
window        the main window, which knows the panes and the scene
strip         the station strip along the bottom
"""
