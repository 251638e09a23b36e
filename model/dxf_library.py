"""The DXF library, loaded where nobody's settings reach it. Whatever the house needs of it is taken from here.

By itself ezdxf reads `ezdxf.ini` from the working folder and from the user's configuration while it is loaded, ends
the process over one that it cannot decode, and writes a list of fonts into the user's cache.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from configparser import ConfigParser
from contextlib import contextmanager
from pathlib import Path

from scrieve.shared.errors import UseError
from scrieve.shared.library_exits import exits_refused

_NO_FONTS = str(Path(__file__).with_name("no_fonts"))
"""A folder that holds an empty list of fonts: none is needed, and so none is looked for."""

_FOLDERS = ("XDG_CONFIG_HOME", "XDG_CACHE_HOME")
_SETTINGS = ("EZDXF_CONFIG_FILE", "EZDXF_TEST_FILES", "EZDXF_DISABLE_C_EXT")


def _reads_nothing(*_: object, **__: object) -> list[str]:
    return []


@contextmanager
def _closed_off() -> Iterator[None]:
    """Meanwhile no configuration is read and no cache written. Raises UseError where the library cannot be loaded."""
    before = {name: os.environ.pop(name, None) for name in (*_FOLDERS, *_SETTINGS)}
    os.environ.update(dict.fromkeys(_FOLDERS, _NO_FONTS))
    read = ConfigParser.read
    ConfigParser.read = _reads_nothing  # type: ignore[method-assign,assignment]
    try:
        with exits_refused():
            yield
    except OSError as error:  # it looks for files in the working folder, and that may be closed
        raise UseError.at(f"the DXF library cannot be loaded ({error.strerror or error})") from error
    finally:
        ConfigParser.read = read  # type: ignore[method-assign]
        for name, value in before.items():
            os.environ.pop(name, None)
            if value is not None:
                os.environ[name] = value


with _closed_off():
    from ezdxf import options, recover  # type: ignore[attr-defined]  # public by its manual, not by its __all__
    from ezdxf.document import Drawing
    from ezdxf.entities.arc import Arc
    from ezdxf.entities.attrib import AttDef, BaseAttrib
    from ezdxf.entities.circle import Circle
    from ezdxf.entities.dxfentity import DXFEntity
    from ezdxf.entities.ellipse import Ellipse
    from ezdxf.entities.insert import Insert
    from ezdxf.entities.line import Line
    from ezdxf.entities.lwpolyline import LWPolyline
    from ezdxf.entities.mtext import MText
    from ezdxf.entities.point import Point
    from ezdxf.entities.polyline import Polyline
    from ezdxf.entities.spline import Spline
    from ezdxf.entities.text import Text
    from ezdxf.filemanagement import dxf_stream_info, new, read
    from ezdxf.layouts.layout import Modelspace
    from ezdxf.lldxf.const import DXFError, DXFStructureError
    from ezdxf.lldxf.tagger import binary_tags_loader
    from ezdxf.sections.blocks import BlocksSection
    from ezdxf.sections.classes import ClassesSection
    from ezdxf.tools.codepage import tocodepage, toencoding
    from ezdxf.tools.text import plain_mtext

__all__ = [
    "Arc",
    "AttDef",
    "BaseAttrib",
    "BlocksSection",
    "Circle",
    "ClassesSection",
    "DXFEntity",
    "DXFError",
    "DXFStructureError",
    "Drawing",
    "Ellipse",
    "Insert",
    "LWPolyline",
    "Line",
    "MText",
    "Modelspace",
    "Point",
    "Polyline",
    "Spline",
    "Text",
    "binary_tags_loader",
    "dxf_stream_info",
    "new",
    "options",
    "plain_mtext",
    "read",
    "recover",
    "tocodepage",
    "toencoding",
]
