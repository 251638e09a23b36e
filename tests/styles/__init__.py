"""Sound boats in draughtsmen's habits, drawn straight into DXF without any help of `draft`, and faults for them.

`habit` says how a boat is built and drawn, `frames` makes her pieces, `sheet` draws them, `faults` spoils them.
"""
