"""Everything that can be done in the window: its name, its key and its words, in one table.

Menus, keys and the page of keys are made from it, so that none can say another thing than the others.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Deed:
    """One thing to do. `name` is the method that does it, of whoever does what is in its `group`.

    `keys` are as Qt writes them.
    """

    name: str
    group: str
    words: str
    keys: tuple[str, ...]
    stays: bool = False
    """Whether it is switched on and off."""


def _deed(group: str, name: str, words: str, *keys: str, stays: bool = False) -> Deed:
    return Deed(name=name, group=group, words=words, keys=keys, stays=stays)


DEEDS = (
    _deed("Boat", "read_again", "Read the plan again", "F5", "Ctrl+R"),
    _deed("Boat", "save_picture", "Save a picture…", "Ctrl+S"),
    _deed("Boat", "leave", "Close", "Ctrl+Q"),
    _deed("Look from", "look_quarter", "Port quarter", "1"),
    _deed("Look from", "look_bow", "Port bow", "2"),
    _deed("Look from", "look_starboard_quarter", "Starboard quarter", "Ctrl+1"),
    _deed("Look from", "look_starboard_bow", "Starboard bow", "Ctrl+2"),
    _deed("Look from", "look_port", "Port", "3"),
    _deed("Look from", "look_starboard", "Starboard", "4"),
    _deed("Look from", "look_aft", "Aft, looking forward", "5"),
    _deed("Look from", "look_forward", "Forward, looking aft", "6"),
    _deed("Look from", "look_above", "Above", "7"),
    _deed("Look from", "look_below", "Below", "8"),
    _deed("Look from", "whole_boat", "The whole boat", "0", "Home"),
    _deed("Look from", "look_at_hand", "What is in hand", "Z"),
    _deed("Look from", "come_closer", "Closer", "+", "="),
    _deed("Look from", "go_further", "Further off", "-"),
    _deed("Look from", "go_left", "Go round to the left", "Shift+Left"),
    _deed("Look from", "go_right", "Go round to the right", "Shift+Right"),
    _deed("Look from", "go_higher", "Go higher", "Shift+Up"),
    _deed("Look from", "go_lower", "Go lower", "Shift+Down"),
    _deed("Look from", "slide_left", "Slide to the left", "Ctrl+Left"),
    _deed("Look from", "slide_right", "Slide to the right", "Ctrl+Right"),
    _deed("Look from", "slide_up", "Slide up", "Ctrl+Up"),
    _deed("Look from", "slide_down", "Slide down", "Ctrl+Down"),
    _deed("Frame", "next_frame", "Next frame forward", "Right"),
    _deed("Frame", "previous_frame", "Next frame aft", "Left"),
    _deed("Frame", "fade_others", "Fade the others", "F", stays=True),
    _deed("Frame", "only_frame", "This frame only", "O", stays=True),
    _deed("Frame", "next_part", "Next part of it", "PgDown"),
    _deed("Frame", "previous_part", "Part before", "PgUp"),
    _deed("Show", "spread", "Spread", "S", stays=True),
    _deed("Show", "cut", "Cut open", "C", stays=True),
    _deed("Show", "cut_forward", "Cut further forward", "]"),
    _deed("Show", "cut_aft", "Cut further aft", "["),
    _deed("Show", "turn_cut", "Keep the other side", "X"),
    _deed("Show", "measure", "Measure", "M", stays=True),
    _deed("Show", "label", "Labels", "L", stays=True),
    _deed("Show", "take_middle", "Take what is in the middle", "Return", "Enter"),
    _deed("Show", "let_go", "Let go", "Esc"),
    _deed("Findings", "next_finding", "Next finding", "N"),
    _deed("Findings", "previous_finding", "Finding before", "Shift+N", "P"),
    _deed("Build order", "play", "Play", "Space", stays=True),
    _deed("Build order", "next_step", "Next step", "."),
    _deed("Build order", "previous_step", "Step before", ","),
    _deed("Build order", "finished_boat", "The finished boat", "B"),
    _deed("Go to", "go_to_findings", "The findings", "F2"),
    _deed("Go to", "go_to_steps", "The build order", "F3"),
    _deed("Go to", "go_to_picture", "The picture", "F4"),
    _deed("Help", "list_keys", "Keys and mouse", "F1", "?"),
)
