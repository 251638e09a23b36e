"""The boat: plan file -> Plan -> Assembly (placed solids) -> findings. No screen in here.

`plan_reader` reads a plan, `drawing` its drawings, `assemble` sets the frames up, `review` runs the
checks of `checks`, `steps` works out the build order, `draft` makes a first plan from a table of offsets.
"""
