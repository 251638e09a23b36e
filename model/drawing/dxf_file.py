"""DXF documents as they are written here: in their unit, with no clock in them, the same bytes for the same content.

Whatever is drawn for others to read, by the draft, the board, the screws or the cures, is begun by `new_drawing`
and ended by `text_of`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from io import StringIO

from scrieve.shared.plain_text import plain
from scrieve.shared.units import INSUNITS

from ..dxf_library import ClassesSection, Drawing, new, options

UNIT_CODES: Mapping[str, int] = {unit: code for code, unit in INSUNITS.items()}
"""Unit -> $INSUNITS of a header."""

_NOT_IN_NAMES = frozenset('<>/\\":;?*=|`')  # in names of layers, from R2000 on

_ENGLISH = ("in", "ft", "yd", "mil")


def new_drawing(version: str, *, unit: str = "mm", layers: Mapping[str, int] | None = None) -> Drawing:
    """An empty document of a version of DXF, such as "R2000", its lengths in `unit`.

    `layers` are the names of layers it has from the start, each with the number of its colour.
    """
    with _fixed_data():
        document = new(version)
    document.header["$INSUNITS"] = UNIT_CODES[unit]
    document.header["$MEASUREMENT"] = int(unit not in _ENGLISH)
    for name, colour in (layers or {}).items():
        document.layers.add(name, color=colour)
    return document


def layer_name(name: str) -> str:
    """The name as one that a layer may have: what DXF does not allow in it, and older files have, is a low line."""
    return "".join("_" if letter in _NOT_IN_NAMES else letter for letter in plain(name))


def text_of(document: Drawing) -> str:
    """The document as the text of a file."""
    stream = StringIO()
    _name_classes(document)
    _make_plain(document)
    with _fixed_data():
        document.write(stream)
    return stream.getvalue()


def _name_classes(document: Drawing) -> None:
    """Names the document's classes in one order: ezdxf would add those in use in that of a set, another every run."""
    always = ClassesSection()
    always.add_required_classes(document.dxfversion)
    required = [each.dxf.name for each in always.classes.values()]
    for name in (*required, *sorted(document.entitydb.dxf_types_in_use())):
        document.classes.add_class(name)


def _make_plain(document: Drawing) -> None:
    """Makes every name and text of the document plain: a line end in one would begin other things in the file."""
    for entity in document.entitydb.values():
        for name, value in entity.dxf.all_existing_dxf_attribs().items():
            if isinstance(value, str) and not value.isprintable():
                entity.dxf.unprotected_set(name, plain(value))


@contextmanager
def _fixed_data() -> Iterator[None]:
    """Keeps the time of day and random numbers out of what ezdxf makes meanwhile."""
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before
