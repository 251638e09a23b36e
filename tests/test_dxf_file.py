"""DXF as it is written here: one mechanism, the same bytes in every run, in the code page that the header names."""

from __future__ import annotations

import io
import os
import re
import subprocess
import sys
from pathlib import Path

import ezdxf
import pytest

from scrieve.model.draft.frame_drawing import in_bytes, new_document
from scrieve.model.drawing.dxf_file import UNIT_CODES, new_drawing, text_of

ROOT = Path(__file__).parents[1]


def test_one_module_keeps_the_clock_out():
    texts = {
        path: path.read_text(encoding="utf-8") for top in ("model", "viewer") for path in (ROOT / top).rglob("*.py")
    }
    assert [path.name for path, text in texts.items() if "write_fixed_meta_data" in text] == ["dxf_file.py"]
    making = {path.name for path, text in texts.items() if re.search(r"\bimport .*\bnew\b", text)}
    assert making == {"dxf_file.py", "dxf_library.py"}  # the library, and the one that has it from there


@pytest.mark.parametrize(("unit", "metric"), [("mm", 1), ("m", 1), ("in", 0), ("ft", 0)])
def test_its_header_names_its_unit(unit, metric):
    read = ezdxf.read(io.StringIO(text_of(new_drawing("R2010", unit=unit, layers={"HOLES": 1}))))
    assert (read.header["$INSUNITS"], read.header["$MEASUREMENT"]) == (UNIT_CODES[unit], metric)
    assert read.layers.get("HOLES").color == 1


def test_what_another_user_of_the_library_set_is_left_as_it_was():
    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = False
    try:
        text_of(new_drawing("R2000"))
        assert ezdxf.options.write_fixed_meta_data_for_testing is False
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before


@pytest.mark.parametrize("version", ["R2000", "R2010"])
def test_it_is_the_same_bytes_in_every_run(version):
    """Seeds 3 and 4 put the names of two classes into sets in different orders."""
    code = "from scrieve.model.drawing.dxf_file import *; print(text_of(new_drawing(VERSION)))".replace(
        "VERSION", repr(version)
    )
    written = {
        subprocess.run(
            [sys.executable, "-c", code],
            env={**os.environ, "PYTHONHASHSEED": str(seed)},
            capture_output=True,
            check=True,
            timeout=60,
        ).stdout
        for seed in (1, 2, 3, 4, 5)
    }
    assert len(written) == 1


def test_the_draft_writes_letters_in_the_code_page_that_its_header_names(tmp_path):
    document = new_document({"LABELS": 7})
    document.modelspace().add_text("tangón шпан", dxfattribs={"layer": "LABELS", "insert": (0, 0)})
    (tmp_path / "1.dxf").write_bytes(in_bytes(document))
    (text,) = ezdxf.readfile(tmp_path / "1.dxf").modelspace().query("TEXT")
    assert ezdxf.decode_dxf_unicode(text.dxf.text) == "tangón шпан"
