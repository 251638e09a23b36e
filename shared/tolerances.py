"""Numerical tolerances of the computation, each with unit and origin. Limits of the boat are in `limits`."""

SAGITTA = 0.005
"""mm; an arc is flattened so that no chord stands further off it. A tenth of the tightest limit of fit."""

COINCIDENT = 1e-6
"""mm; points closer are one point. A thousand times the noise of float64 at 10 m, far below any cut."""

SLIVER = 0.02
"""mm; wood or overlap thinner than this is flattening noise (four sagittas), never a finding."""

WRITTEN = 0.02
"""mm; sizes and places in drawings that differ by less are the same: drawings are written to less. Common practice,
no source."""

CHORD_TURN = 0.15
"""rad (8.6 degrees); corners that turn less are taken for those of a flattened arc. A 10 mm cutter leaves 0.014 mm
in such a corner, less than a sliver; an arc of 2 mm radius turns by 0.14 from chord to chord at our sagitta."""

CUTTER_PLAY = 0.05
"""mm; an inside radius short of the cutter's by up to this counts as reached: what a machine repeats to."""

PARALLEL = 0.087
"""rad (5 degrees); edges that turn less from parallel face one another as a joint or a leg's edge."""

JOINT_REACH = 5.0
"""mm; facing edges of core parts this close are meant to butt. Ten times the limit of the gap."""

BRIDGED_TURN = 0.35
"""rad (20 degrees); edges under one gusset that turn less from parallel were meant to butt, however badly cut."""

GUSSET_LAP = 10.0
"""mm; a gusset that laps a part over less width than this touches it by a corner and does not hold it."""

USUAL_CUTTER = 10.0
"""mm; the cutter that a relief in a corner is taken to be meant for where the plan names none. Common practice."""

RELIEF_RADIUS = 12.7
"""mm; an inside round of a part up to this radius is a relief or what a cutter leaves, and meets nothing. Half an inch,
the radius of the largest router cutters for sheet wood. Common practice, no source."""

WALL_REACH = 0.5
"""share of a batten's short side; wood this close to a side of the batten is a wall of its notch."""

WALL_TURN = 0.52
"""rad (30 degrees); an edge of a frame that turns less from a batten's side is a wall of its notch."""

STOPPED = 0.02
"""share; a contact that a part moves into at less than this share of its motion (1.1 degrees) does not stop it."""

ONE_HOLE = 0.1
"""mm; dowels of two frames this close, of one diameter, share a hole of the assembly board between them. Each is then
off its place by half of this at most, which is half of what `dowel_foul` allows."""

IN_THE_WAY = 0.5
"""mm; wood that stands in the way of a part or a batten by less is sprung past or planed off. As deep as parts that
butt may be drawn into one another (`joint_gap`)."""

ROUNDING = 0.0015
"""mm; what writing a drawing costs a measure: two points written to a thousandth are each off by up to 0.0007, half a
last digit both ways. What passes its limit by less may have been meant to lie on it."""


def exceeds(measured: float, limit: float) -> bool:
    """Whether a measure is greater than its limit allows, by more than the rounding of a drawing."""
    return measured > limit + ROUNDING


def falls_short(measured: float, limit: float) -> bool:
    """Whether a measure is less than its limit asks for, by more than the rounding of a drawing."""
    return measured < limit - ROUNDING
