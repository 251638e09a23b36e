"""Reads a plan: `plan.toml` -> `Plan`."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from scrieve.shared.edits import SetKey
from scrieve.shared.findings import Source

from .label_reading import LabelReader
from .plan import Plan, PlanFile, is_frame_number
from .plan_order import Before, as_reported, order_mistakes
from .plan_place import plan_file
from .toml_places import TomlPlaces
from .toml_reader import Loc, read_toml
from .toml_words import quoted


def read_plan(path: Path) -> Plan:
    """The plan in a folder, or in a file of any name.

    Raises PlanError with all its mistakes, sorted by line; the paths in them begin as `path` does.
    """
    return _read(plan_file(path))


def edited(plan: Plan, edits: Iterable[SetKey]) -> Plan:
    """The plan as it would be read with these edits made to its text, none within another; no file is touched.

    Raises PlanError where they leave no plan.
    """
    text = plan.places.text
    for edit in sorted(edits, key=lambda edit: edit.start, reverse=True):
        start, end = map(plan.places.offset, (edit.start, edit.end))
        text = text[:start] + edit.text + text[end:]
    return replace(remeasured(_read(plan.file, text), plan.readings), contents=plan.contents)


def remeasured(plan: Plan, readings: Mapping[str, float]) -> Plan:
    """The plan with these of its stocks so thick, mm, whatever it says itself; edits of it keep that."""
    stock = {
        name: spec.model_copy(update={"measured": readings[name]}) if name in readings else spec
        for name, spec in plan.stock.items()
    }
    return replace(plan, stock=stock, readings=readings)


def _read(file: Path, text: str | None = None) -> Plan:
    read, places = read_toml(file, PlanFile, units_at=("plan", "units"), rules=_rules, text=text)
    reader = LabelReader(numbers=tuple(spec.number for spec in read.frames), words=read.labels)
    return Plan(
        file=file,
        folder=file.parent,
        name=read.plan.name,
        units=read.plan.units,
        seen=read.plan.seen,
        build=read.plan.build,
        cutter=read.cutter,
        stock=read.stock,
        strongback=read.strongback,
        dowels=read.dowels,
        screws=read.screws,
        battens=read.battens,
        layers=read.layers,
        labels=read.labels,
        frames=read.frames,
        cut_sheets=read.cut_sheets,
        order=tuple(
            Before(
                first=as_reported(wish.first, reader),
                then=as_reported(wish.then, reader),
                source=Source(file=file.name, line=places.line_of("order", index)),
            )
            for index, wish in enumerate(read.order)
        ),
        limits=read.limits.in_force(),
        waivers=read.waivers,
        places=places,
    )


def _rules(content: Mapping[str, Any], places: TomlPlaces) -> Iterator[tuple[Loc, str]]:
    yield from _twice(content, places)
    yield from order_mistakes(content, places)
    yield from _no_such_frames(content)


def _twice(content: Mapping[str, Any], places: TomlPlaces) -> Iterator[tuple[Loc, str]]:
    """Names that are given twice: numbers of frames, layers and battens, capitals or not."""
    frames = content.get("frames")
    if isinstance(frames, list):
        numbered = (
            (("frames", index, "number"), str(number))
            for index, frame in enumerate(frames)
            if isinstance(frame, dict) and is_frame_number(number := frame.get("number"))
        )
        yield from _repeated(numbered, places, "the number of the frame")
    layers = content.get("layers")
    if isinstance(layers, dict):
        named = ((("layers", name), name) for name in layers)
        yield from _repeated(named, places, "this layer, but for capitals, is the one")
    battens = content.get("battens")
    if isinstance(battens, dict):
        called = (
            (("battens", name), f"{side} {name}".strip())
            for name, batten in battens.items()
            if isinstance(batten, dict)
            for side in {"both": ("port", "starboard"), "port": ("port",), "starboard": ("starboard",)}.get(
                str(batten.get("sides")), ("",)
            )
        )
        yield from _repeated(called, places, "a batten is called so by the one")


def _no_such_frames(content: Mapping[str, Any]) -> Iterator[tuple[Loc, str]]:
    """Frames between which a batten is said to run, and which the plan does not have."""
    frames, battens = content.get("frames"), content.get("battens")
    if not isinstance(frames, list) or not isinstance(battens, dict):
        return
    numbers = [str(frame.get("number")) for frame in frames if isinstance(frame, dict)]
    for name, batten in battens.items():
        ends = batten.get("frames") if isinstance(batten, dict) else None
        for index, end in enumerate(ends if isinstance(ends, list) else []):
            if is_frame_number(end) and str(end) not in numbers:
                yield ("battens", name, "frames", index), f"the plan has no such frame (got {quoted(str(end))})"


def _repeated(entries: Iterable[tuple[Loc, str]], places: TomlPlaces, what: str) -> Iterator[tuple[Loc, str]]:
    first: dict[str, Loc] = {}
    for loc, name in entries:
        if (before := first.setdefault(name.casefold(), loc)) != loc:
            yield loc, f"{what} on line {places.line_of(*before)} already (got {quoted(name)})"
