"""3MF: a zip of XML, written here, since trimesh's has new identifiers each time and neither colours nor labels."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator, Sequence
from xml.sax.saxutils import escape, quoteattr

from ..reports.style import plain
from ..scene.looks import COLOURS
from .solids import ExchangeSolid

_CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
_TYPES = "http://schemas.openxmlformats.org/package/2006/content-types"
_RELATIONS = "http://schemas.openxmlformats.org/package/2006/relationships"
_MODEL = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"
_OWN = "urn:scrieve"
_HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n'
_LONG_AGO = (1980, 1, 1, 0, 0, 0)
"""When every file in it was written: the same boat gives the same bytes."""

_COLOURS = 1
"""The number of the table of colours; solids are numbered from the next."""


def print_package(name: str, solids: Sequence[ExchangeSolid]) -> bytes:
    """A boat as 3MF, hull axes, mm: an object a solid, in the colour of its kind, with what is known of it."""
    parts = {
        "[Content_Types].xml": f'{_HEAD}<Types xmlns="{_TYPES}">'
        '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        '<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>',
        "_rels/.rels": f'{_HEAD}<Relationships xmlns="{_RELATIONS}">'
        f'<Relationship Target="/3D/3dmodel.model" Id="boat" Type="{_MODEL}"/></Relationships>',
        "3D/3dmodel.model": "".join(_model(name, solids)),
    }
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as package:
        for path, text in parts.items():
            entry = zipfile.ZipInfo(path, _LONG_AGO)
            package.writestr(entry, text.encode("utf-8"), zipfile.ZIP_DEFLATED, 9)
    return made.getvalue()


def _model(name: str, solids: Sequence[ExchangeSolid]) -> Iterator[str]:
    yield f'{_HEAD}<model unit="millimeter" xml:lang="en" xmlns="{_CORE}" xmlns:scrieve="{_OWN}">\n'
    yield f'<metadata name="Title">{escape(plain(name))}</metadata>\n'
    yield '<metadata name="Application">scrieve</metadata>\n<resources>\n'
    yield f'<basematerials id="{_COLOURS}">'
    yield "".join(f'<base name="{kind}" displaycolor="{colour.upper()}"/>' for kind, colour in COLOURS.items())
    yield "</basematerials>\n"
    for number, solid in enumerate(solids, start=_COLOURS + 1):
        yield from _object(number, solid)
    yield "</resources>\n<build>\n"
    for number in range(_COLOURS + 1, _COLOURS + 1 + len(solids)):
        yield f'<item objectid="{number}"/>'
    yield "\n</build>\n</model>\n"


def _object(number: int, solid: ExchangeSolid) -> Iterator[str]:
    colour = list(COLOURS).index(solid.kind)
    yield f'<object id="{number}" type="model" name={quoteattr(plain(solid.name))} pid="{_COLOURS}" pindex="{colour}">'
    yield "<metadatagroup>"
    for fact, value in solid.facts.items():
        yield f'<metadata name="scrieve:{fact}">{escape(plain(str(value)))}</metadata>'
    yield "</metadatagroup><mesh><vertices>"
    for x, y, z in (solid.points.round(4) + 0.0).tolist():
        yield f'<vertex x="{x}" y="{y}" z="{z}"/>'
    yield "</vertices><triangles>"
    for a, b, c in solid.triangles.tolist():
        yield f'<triangle v1="{a}" v2="{b}" v3="{c}"/>'
    yield "</triangles></mesh></object>\n"
