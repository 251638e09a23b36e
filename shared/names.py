"""How things are named, in one place: "F5 port chine gusset, forward" is its frame, its label, the face of a plate."""

from __future__ import annotations

from collections.abc import Iterable

_UNLABELLED = "unlabelled"
_OR = " / "


def frame_of(name: str) -> str:
    """The number of the frame whose part this names, "5" of "F5 floor"; empty for a frame's or batten's own name."""
    frame, space, _ = name.partition(" ")
    return frame[1:] if space and frame.startswith("F") else ""


def within_frame(name: str, number: str | None = None) -> str:
    """The name without its frame, "floor" of "F5 floor"; of a thing of another frame than `number` all of it."""
    frame = frame_of(name)
    return name.partition(" ")[2] if frame and number in (None, frame) else name


def plate_of(name: str) -> str:
    """The name without the face of a plate, by which two plates of one outline are told apart."""
    return name.removesuffix(", forward").removesuffix(", aft")


def unlabelled(number: int) -> str:
    """What stands for the label of an outline that has none."""
    return f"{_UNLABELLED} {number}"


def label_of(labels: Iterable[str]) -> str:
    """The label of an outline with these texts in it: several go on as one, none is ""."""
    return _OR.join(labels)


def is_settled(label: str) -> bool:
    """Whether the label of a part is one that was drawn: none that stands for a missing one, or for several."""
    return _OR not in label and not label.startswith(f"{_UNLABELLED} ")
