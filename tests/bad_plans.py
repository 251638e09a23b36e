"""A plan with every key, and every kind of mistake that can be made in it."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

GOOD = """\
[plan]
name = "Burdock"
units = "mm"
seen = "from aft"
build = "inverted"

[cutter]
diameter = 10

[stock.ply12]
thickness = 12
measured = 11.7
size = [2440, "4 ft"]
density = 500

[stock.ply9]
thickness = "9 mm"

[strongback]
inside_width = 560
rail = [45, 145]
from = -200
to = 4400

[dowels]
diameter = 8
board = ["4 ft", 900]

[screws.gusset]
gauge = 8
length = "3/4 in"
head = "countersunk"

[screws.metric]
diameter = 4.2
length = 25

[battens.chine]
section = [32, 20]
arris = 5
layers = 2
bend = 120
sides = "both"

[layers]
"CORE" = { makes = "part", face = "core", stock = "ply12" }
"GUSSETS" = { makes = "part", face = "both", stock = "ply9", role = "gusset" }
"LEG INNER" = { makes = "part", face = "core", stock = "ply12", role = "leg" }
"SCREWS FWD" = { makes = "screw", screw = "gusset", driven_from = "forward" }
"BATTENS" = { makes = "batten" }
"DOWELS" = { makes = "dowel" }
"LABELS" = { makes = "label" }
"REFERENCE" = { makes = "reference" }

[[frames]]
number = "5"
station = 2300
station_at = "middle"
drawing = "frames/5.dxf"
origin = [10, -20.5]
extent = [-900, -200, 900, 900]
mirror = true
kind = "ring"
rake = 12

[[frames]]
number = 6
station = "9 ft"
drawing = "frames/6.dxf"

[[cut_sheets]]
drawing = "sheets/ply12-1.dxf"
stock = "ply12"
extent = [100, -20, 2600, "50 in"]

[limits]
joint_gap = "1/32 in"
screw_edge = 2
screw_count = 3

[[waivers]]
check = "screw-edge"
where = "F5 port sheer gusset"
reason = "fixing is temporary, pulled after the glue sets"
until = 2027-06-30

[[waivers]]
check = "fair"
where = "port chine"
reason = "a hollow is wanted here"
"""


def write_plan(folder: Path, text: str | bytes) -> Path:
    """A plan folder with this text and, empty, the drawings that GOOD names."""
    for drawing in ("frames/5.dxf", "frames/6.dxf", "sheets/ply12-1.dxf"):
        (folder / drawing).parent.mkdir(parents=True, exist_ok=True)
        (folder / drawing).touch()
    (folder / "plan.toml").write_bytes(text if isinstance(text, bytes) else text.encode())
    return folder


def line_with(text: str, snippet: str) -> int:
    """The line on which a snippet first begins."""
    return text[: text.index(snippet)].count("\n") + 1


class Bad(NamedTuple):
    """One mistake: what stands in GOOD, what in its place, what is said, how far below the place's line."""

    name: str
    old: str
    new: str
    says: str
    below: int = 0

    @property
    def text(self) -> str:
        """The plan with the mistake."""
        assert self.old in GOOD
        return GOOD.replace(self.old, self.new, 1)

    @property
    def line(self) -> int:
        """Where it has to be told."""
        return line_with(GOOD, self.old) + self.below


BAD = (
    Bad("unknown key", "station = 2300", "staton = 2300", 'frames[0].staton: no such key; did you mean "station"?'),
    Bad(
        "unknown key, nothing near",
        "[dowels]",
        "[dowels]\nxyz = 1",
        "dowels.xyz: no such key; known are board, diameter",
        below=1,
    ),
    Bad(
        "key there, and again misspelt",
        "station = 2300",
        "station = 2300\nstatoin = 1",
        'did you mean "station"?',
        below=1,
    ),
    Bad("a board of one length", 'board = ["4 ft", 900]', "board = 900", "dowels.board: two lengths, [length, width],"),
    Bad("a board of no width", 'board = ["4 ft", 900]', 'board = ["4 ft", 0]', "dowels.board[1]: "),
    Bad(
        "a station left blank", "station = 2300", 'station = ""', "still blank: where frame 5 stands, in mm forward of"
    ),
    Bad("no thickness yet", "thickness = 12", 'thickness = ""', 'still blank: how thick the sheets of "ply12" are'),
    Bad("no rails yet", "rail = [45, 145]", 'rail = ""', "strongback.rail: still blank: the section of the rails"),
    Bad("no arris yet", "arris = 5", 'arris = ""', 'the radius that the edges of the batten "chine" are eased by'),
    Bad("no end yet", "from = -200", 'from = ""', "strongback.from: still blank: where the rails begin"),
    Bad("a screw left blank", "gauge = 8", 'diameter = ""', 'still blank: how thick the shank of the screws "gusset"'),
    Bad(
        "blank where nothing may be",
        'build = "inverted"',
        'build = ""',
        'plan.build: "upright" or "inverted" is wanted',
    ),
    Bad("unknown table", "[dowels]", "[dowls]", 'dowls: no such key; did you mean "dowels"?'),
    Bad("table misspelt that has to be there", "[plan]", "[Plan]", 'did you mean "plan"?'),
    Bad("unknown limit", "joint_gap =", "joint-gab =", 'limits.joint-gab: no such key; did you mean "joint_gap"?'),
    Bad("a check's name for a limit", "joint_gap =", "joint-gap =", 'did you mean "joint_gap"?'),
    Bad(
        "key that a terminal would obey",
        "[dowels]",
        '[dowels]\n"\\u001b[31m" = 1',
        'dowels."\\x1b[31m": no such key; known are board, diameter',
        below=1,
    ),
    Bad("no name", 'name = "Burdock"', "", "plan.name: missing", below=-1),
    Bad("no units", 'units = "mm"', "", "plan.units: missing", below=-2),
    Bad("no station", "station = 2300", "", "frames[0].station: missing", below=-2),
    Bad("no station, second frame", 'station = "9 ft"', "", "frames[1].station: missing", below=-2),
    Bad("table for a value", "[dowels]\ndiameter = 8", "[dowels.diameter]\nx = 8", "a length is wanted (got a table)"),
    Bad("array for a table", "[dowels]", "[[dowels]]", "dowels: a table is wanted (got [a table])"),
    Bad(
        "table for an array of tables",
        "[[cut_sheets]]",
        "[cut_sheets]",
        "cut_sheets: an array of tables, [[cut_sheets]] for each, is wanted (got a table)",
    ),
    Bad(
        "negative thickness",
        "thickness = 12",
        "thickness = -12",
        "stock.ply12.thickness: a length greater than 0 is wanted (got -12)",
    ),
    Bad("no thickness", "thickness = 12", "thickness = 0", "greater than 0 is wanted (got 0)"),
    Bad("next to no thickness", "thickness = 12", "thickness = 1e-9", "at least 0.01 mm is wanted (got 1e-09)"),
    Bad("a boat of a light year", "station = 2300", "station = 1e19", "at most 1 km is wanted (got 1e+19)"),
    Bad("miles in a unit", "station = 2300", 'station = "4000 ft"', 'at most 1 km is wanted (got "4000 ft")'),
    Bad(
        "a whole number without end",
        "station = 2300",
        f"station = 0x{'f' * 150}",
        "at most 1 km is wanted (got a number of more than 18 digits)",
    ),
    Bad("nan", "thickness = 12", "thickness = nan", "a finite length is wanted (got nan)"),
    Bad("infinity", "thickness = 12", "thickness = inf", "a finite length is wanted (got inf)"),
    Bad("truth for a length", "station = 2300", "station = true", "a length is wanted (got true)"),
    Bad("date for a length", "station = 2300", "station = 2027-06-30", "a length is wanted (got 2027-06-30)"),
    Bad(
        "text without a unit", "station = 2300", 'station = "2300"', 'wants its unit (mm, cm, m, in or ft) (got "2300")'
    ),
    Bad("text of another unit", "station = 2300", 'station = "2 yd"', 'mm, cm, m, in, ft is wanted (got "2 yd")'),
    Bad("decimal comma", "station = 2300", 'station = "2,3 m"', 'a point for a decimal comma (got "2,3 m")'),
    Bad("text that is no length", "station = 2300", 'station = "far"', 'is wanted (got "far")'),
    Bad("negative arris", "arris = 5", "arris = -5", "a length of 0 or more is wanted (got -5)"),
    Bad("no layer", "layers = 2", "layers = 0", "a whole number of layers, 1 to 50, is wanted (got 0)"),
    Bad("half a layer", "layers = 2", "layers = 1.5", "a whole number of layers, 1 to 50, is wanted (got 1.5)"),
    Bad("negative bend", "bend = 120", "bend = -1", "a number of thicknesses, 0 or more is wanted (got -1)"),
    Bad(
        "units unknown",
        'units = "mm"',
        'units = "millimetre"',
        'plan.units: "mm", "cm", "m", "in" or "ft" is wanted (got "millimetre")',
    ),
    Bad(
        "seen from nowhere",
        'seen = "from aft"',
        'seen = "aft"',
        'plan.seen: "from aft" or "from forward" is wanted (got "aft")',
    ),
    Bad("built sideways", '"inverted"', '"sideways"', '"upright" or "inverted" is wanted (got "sideways")'),
    Bad("empty name", 'name = "Burdock"', 'name = " "', 'plan.name: text that is not empty is wanted (got " ")'),
    Bad("number for a name", 'name = "Burdock"', "name = 7", "plan.name: text in quotes is wanted (got 7)"),
    Bad("name of two lines", 'name = "Burdock"', 'name = "Bur\\ndock"', "a name on one line"),
    Bad(
        "name that a terminal would obey",
        'name = "Burdock"',
        'name = "\\u001b[2J"',
        'text without control characters is wanted (got "\\x1b[2J")',
    ),
    Bad(
        "name without end",
        'name = "Burdock"',
        'name = "' + "x" * 81 + '"',
        "text of at most 80 characters is wanted",
    ),
    Bad(
        "measured far off",
        "measured = 11.7",
        "measured = 19",
        "stock.ply12.measured: within 30% of the thickness, 12 mm, is wanted (got 19)",
    ),
    Bad(
        "density in g/cm3", "density = 500", "density = 0.5", "a density in kg/m3, from 20 to 3000, is wanted (got 0.5)"
    ),
    Bad("density in text", "density = 500", 'density = "500"', 'without quotes, is wanted (got "500")'),
    Bad("density nan", "density = 500", "density = nan", "a density in kg/m3 is wanted (got nan)"),
    Bad("size of one", "size = [2440, ", "size = [", 'two lengths, [long, wide], are wanted (got ["4 ft"])'),
    Bad("size not a list", '[2440, "4 ft"]', "2440", "are wanted, in brackets (got 2440)"),
    Bad(
        "stock without a table",
        "[stock.ply9]",
        "[stock]\nply7 = 7\n[stock.ply9]",
        "stock.ply7: a table is wanted (got 7)",
        below=1,
    ),
    Bad(
        "rail without depth",
        "rail = [45, 145]",
        "rail = [45, 0]",
        "strongback.rail[1]: a length greater than 0 is wanted (got 0)",
    ),
    Bad(
        "entry on its own line",
        "rail = [45, 145]",
        "rail = [45,\n  -1\n]",
        "strongback.rail[1]: a length greater than 0",
        below=1,
    ),
    Bad(
        "strongback backwards",
        "to = 4400",
        "to = -300",
        "strongback.to: a place forward of `from`, -200 mm, is wanted (got -300)",
    ),
    Bad(
        "gauge not in the table",
        "gauge = 8",
        "gauge = 5",
        "screws.gusset.gauge: one of the gauges 4, 6, 7, 8, 9, 10, 12, 14 is wanted (got 5)",
    ),
    Bad("gauge of a fraction", "gauge = 8", "gauge = 8.0", "is wanted (got 8.0)"),
    Bad("neither gauge nor diameter", "gauge = 8", "", "a gauge or a diameter is wanted", below=-1),
    Bad("gauge misspelt", "gauge = 8", "gage = 8", 'screws.gusset.gage: no such key; did you mean "gauge"?'),
    Bad(
        "both gauge and diameter",
        "gauge = 8",
        "gauge = 8\ndiameter = 4.2",
        "either a gauge or a diameter is wanted, not both (got 4.2)",
        below=1,
    ),
    Bad("a screw like a tree", "diameter = 4.2", "diameter = 42", "a diameter from 1 to 20 mm is wanted (got 42)"),
    Bad(
        "a screw all head",
        'length = "3/4 in"',
        "length = 2",
        "screws.gusset.length: more than the height of the head, 2.54 mm, is wanted (got 2)",
    ),
    Bad(
        "another head",
        'head = "countersunk"',
        'head = "round"',
        'screws.gusset.head: "countersunk" is wanted (got "round")',
    ),
    Bad(
        "short side first",
        "section = [32, 20]",
        "section = [20, 32]",
        "the long side first, then the short one, is wanted, and 20 mm is less than 32 mm (got [20, 32])",
    ),
    Bad(
        "a bare number in another unit than it is meant in",
        "section = [32, 20]",
        'section = [3, "3/4 in"]',
        'is wanted, and 3 mm is less than 19.05 mm (got [3, "3/4 in"])',
    ),
    Bad(
        "arris over half the side", "arris = 5", "arris = 11", "at most half the short side, 10 mm, is wanted (got 11)"
    ),
    Bad("sides", 'sides = "both"', 'sides = "bth"', 'did you mean "both"? (got "bth")'),
    Bad(
        "makes unknown",
        '"CORE" = { makes = "part", face = "core", stock = "ply12" }',
        '"CORE" = { makes = "prat", face = "core", stock = "ply12" }',
        '"dowel", "label", "reference" or "pocket" is wanted; did you mean "part"? (got "prat")',
    ),
    Bad(
        "stock unknown",
        '"CORE" = { makes = "part", face = "core", stock = "ply12" }',
        '"CORE" = { makes = "part", face = "core", stock = "ply21" }',
        'layers.CORE.stock: there is no such name in [stock]; did you mean "ply12"? (got "ply21")',
    ),
    Bad(
        "screw unknown",
        'screw = "gusset"',
        'screw = "deck"',
        'layers."SCREWS FWD".screw: there is no such name in [screws] (got "deck")',
    ),
    Bad(
        "part without face",
        '"CORE" = { makes = "part", face = "core", stock = "ply12" }',
        '"CORE" = { makes = "part", stock = "ply12" }',
        'layers.CORE.face: missing: a layer with makes = "part" wants face',
    ),
    Bad(
        "part without stock",
        '"CORE" = { makes = "part", face = "core", stock = "ply12" }',
        '"CORE" = { makes = "part", face = "core" }',
        "layers.CORE.stock: missing",
    ),
    Bad(
        "face misspelt",
        '"CORE" = { makes = "part", face = "core", stock = "ply12" }',
        '"CORE" = { makes = "part", fase = "core", stock = "ply12" }',
        'layers.CORE.fase: no such key; did you mean "face"?',
    ),
    Bad("screws without screw", 'screw = "gusset", ', "", "wants screw"),
    Bad(
        "pocket without depth",
        '"DOWELS" = { makes = "dowel" }',
        '"DOWELS" = { makes = "pocket", face = "aft" }',
        'layers.DOWELS.depth: missing: a layer with makes = "pocket" wants depth',
    ),
    Bad(
        "pocket without face",
        '"DOWELS" = { makes = "dowel" }',
        '"DOWELS" = { makes = "pocket", depth = 6 }',
        'layers.DOWELS.face: missing: a layer with makes = "pocket" wants face',
    ),
    Bad(
        "pocket in the core's middle",
        '"DOWELS" = { makes = "dowel" }',
        '"DOWELS" = { makes = "pocket", face = "core", depth = 6 }',
        'layers.DOWELS.face: for a pocket face = "forward" or "aft"',
    ),
    Bad(
        "pocket through the thickest sheet",
        '"DOWELS" = { makes = "dowel" }',
        '"DOWELS" = { makes = "pocket", face = "aft", depth = 12 }',
        "layers.DOWELS.depth: less than the thickest stock, 11.7 mm, is wanted (got 12)",
    ),
    Bad(
        "depth of dowels",
        '"DOWELS" = { makes = "dowel" }',
        '"DOWELS" = { makes = "dowel", depth = 6 }',
        'layers.DOWELS.depth: only a layer with makes = "pocket" has this key, not one with "dowel" (got 6)',
    ),
    Bad("screws without a side", ', driven_from = "forward"', "", 'layers."SCREWS FWD".driven_from: missing'),
    Bad(
        "screws from both sides",
        'driven_from = "forward"',
        'driven_from = "both"',
        '"forward" or "aft" is wanted (got "both")',
    ),
    Bad(
        "role on labels",
        '"label" }',
        '"label", role = "leg" }',
        'layers.LABELS.role: only a layer with makes = "part" has this key, not one with "label" (got "leg")',
    ),
    Bad("stock on dowels", '"dowel" }', '"dowel", stock = "ply9" }', "layers.DOWELS.stock: only a layer"),
    Bad(
        "gusset in the core",
        'face = "both"',
        'face = "core"',
        'layers.GUSSETS.role: a gusset on face = "forward", "aft" or "both" is wanted',
    ),
    Bad(
        "layers that differ in capitals",
        '"LABELS"',
        '"core"',
        "layers.core: this layer, but for capitals, is the one on line 46 already",
    ),
    Bad(
        "a batten with the name of another's side",
        "[layers]",
        '[battens."port chine"]\nsection = [32, 20]\nsides = "centre"\n\n[layers]',
        'battens."port chine": a batten is called so by the one on line 38 already (got "port chine")',
    ),
    Bad(
        "frame number twice",
        "number = 6",
        'number = "5"',
        "frames[1].number: the number of the frame on line 56 already",
    ),
    Bad("frame number a fraction", "number = 6", "number = 6.5", 'a frame\'s number is wanted, such as "5"'),
    Bad("frame number a path", "number = 6", 'number = "../6"', 'letters, digits and - _ . (got "../6")'),
    Bad("station at an unknown face", '"middle"', '"aft"', '"aft face", "forward face" or "middle" is wanted'),
    Bad(
        "origin of three",
        "[10, -20.5]",
        "[10, -20.5, 0]",
        "frames[0].origin: two lengths, [u, v], are wanted (got [10, -20.5, 0])",
    ),
    Bad("empty extent", "[-900, -200, 900, 900]", "[-900, -200, -900, 900]", "right > left and top > bottom is wanted"),
    Bad("mirror in words", "mirror = true", 'mirror = "yes"', 'frames[0].mirror: true or false is wanted (got "yes")'),
    Bad("mirror in numbers", "mirror = true", "mirror = 1", "true or false is wanted (got 1)"),
    Bad("kind", 'kind = "ring"', 'kind = "rings"', 'did you mean "ring"? (got "rings")'),
    Bad("rake over", "rake = 12", "rake = 90", "an angle from -60 to 60 degrees is wanted (got 90)"),
    Bad("drawing not there", "frames/6.dxf", "frames/7.dxf", 'frames[1].drawing: no such file (got "frames/7.dxf")'),
    Bad("drawing in no folder", "frames/6.dxf", "frames/5.dxf/6.dxf", "no such file"),
    Bad("drawing a folder", "frames/6.dxf", "frames", "frames[1].drawing: a regular file is wanted"),
    Bad("drawing above", "frames/6.dxf", "../6.dxf", "a path inside the plan's folder, without .., is wanted"),
    Bad("drawing there and back", "frames/6.dxf", "frames/../frames/6.dxf", "without .., is wanted"),
    Bad(
        "drawing from the root", "frames/6.dxf", "/etc/hostname", "a path that starts from the plan's folder is wanted"
    ),
    Bad("drawing from a drive", "frames/6.dxf", "C:/6.dxf", "a path that starts from the plan's folder is wanted"),
    Bad("drawing with backslashes", "frames/6.dxf", "frames\\\\6.dxf", "a path with forward slashes is wanted"),
    Bad("drawing of a nul", "frames/6.dxf", "frames\\u0000", "without control characters"),
    Bad("drawing without a name", "frames/6.dxf", "", "text that is not empty is wanted"),
    Bad(
        "drawing too long to be one",
        "frames/6.dxf",
        "x" * 300,
        "cannot be read (file name too long)",
    ),
    Bad("sheet not there", "sheets/ply12-1.dxf", "sheets/2.dxf", "cut_sheets[0].drawing: no such file"),
    Bad(
        "sheet of unknown stock",
        '1.dxf"\nstock = "ply12"',
        '1.dxf"\nstock = "ply"',
        "cut_sheets[0].stock: there is no such name in [stock]",
        below=1,
    ),
    Bad(
        "limit below zero",
        'joint_gap = "1/32 in"',
        "joint_gap = -1",
        "limits.joint_gap: a length of 0 or more is wanted (got -1)",
    ),
    Bad(
        "diameters in mm",
        "screw_edge = 2",
        'screw_edge = "4 mm"',
        'a number of diameters, 0 or more, without quotes, is wanted (got "4 mm")',
    ),
    Bad(
        "diameters below zero",
        "screw_edge = 2",
        "screw_edge = -2",
        "a number of diameters, 0 or more is wanted (got -2)",
    ),
    Bad(
        "half a screw", "screw_count = 3", "screw_count = 2.5", "limits.screw_count: a whole number is wanted (got 2.5)"
    ),
    Bad("limit without end", "screw_count = 3", "screw_count = inf", "is wanted (got inf)"),
    Bad(
        "waiver of an unknown check",
        'check = "screw-edge"',
        'check = "screw_edge"',
        'waivers[0].check: there is no such check; did you mean "screw-edge"? (got "screw_edge")',
    ),
    Bad(
        "waiver without a reason",
        'reason = "a hollow is wanted here"',
        'reason = ""',
        "waivers[1].reason: text that is not empty is wanted",
    ),
    Bad(
        "waiver until text",
        "until = 2027-06-30",
        'until = "2027-06-30"',
        'a date without quotes is wanted, such as 2027-06-30 (got "2027-06-30")',
    ),
    Bad("waiver until an hour", "until = 2027-06-30", "until = 2027-06-30T08:00:00", "a date without quotes is wanted"),
    Bad("not TOML", "station = 2300", "station = = 2300", "not TOML: invalid value, at column 11"),
    Bad("key twice", "station = 2300", "station = 2300\nstation = 1", "not TOML: cannot overwrite a value", below=1),
    Bad("table twice", "[dowels]", "[cutter]", "not TOML: cannot declare ('cutter',) twice"),
    Bad("text left open", 'name = "Burdock"', 'name = "Burdock', "not TOML: illegal character"),
    Bad("an impossible day", "2027-06-30", "2027-06-31", "not TOML: invalid date"),
)
