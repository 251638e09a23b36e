"""Everything that can be done in the window: its name, its key and its words, in one table.

Menus, keys and the page of keys are made from it, so that none can say another thing than the others.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Action:
    """One thing to do. `name` is the method that does it, of whoever does what is in its `group`.

    `keys` are as Qt writes them.
    """

    name: str
    group: str
    words: str
    keys: tuple[str, ...]
    stays: bool = False
    """Whether it is switched on and off."""


def _action(group: str, name: str, words: str, *keys: str, stays: bool = False) -> Action:
    return Action(name=name, group=group, words=words, keys=keys, stays=stays)


ACTIONS = (
    _action("Boat", "read_again", "Read the plan again", "F5", "Ctrl+R"),
    _action("Boat", "save_picture", "Save a picture…", "Ctrl+S"),
    _action("Boat", "leave", "Close", "Ctrl+Q"),
    _action("Look from", "look_quarter", "Port quarter", "1"),
    _action("Look from", "look_bow", "Port bow", "2"),
    _action("Look from", "look_starboard_quarter", "Starboard quarter", "Ctrl+1"),
    _action("Look from", "look_starboard_bow", "Starboard bow", "Ctrl+2"),
    _action("Look from", "look_port", "Port", "3"),
    _action("Look from", "look_starboard", "Starboard", "4"),
    _action("Look from", "look_aft", "Aft, looking forward", "5"),
    _action("Look from", "look_forward", "Forward, looking aft", "6"),
    _action("Look from", "look_above", "Above", "7"),
    _action("Look from", "look_below", "Below", "8"),
    _action("Look from", "whole_boat", "The whole boat", "0", "Home"),
    _action("Look from", "look_at_hand", "What is in hand", "Z"),
    _action("Look from", "come_closer", "Closer", "+", "="),
    _action("Look from", "go_further", "Further off", "-"),
    _action("Look from", "go_left", "Go round to the left", "Shift+Left"),
    _action("Look from", "go_right", "Go round to the right", "Shift+Right"),
    _action("Look from", "go_higher", "Go higher", "Shift+Up"),
    _action("Look from", "go_lower", "Go lower", "Shift+Down"),
    _action("Look from", "slide_left", "Slide to the left", "Ctrl+Left"),
    _action("Look from", "slide_right", "Slide to the right", "Ctrl+Right"),
    _action("Look from", "slide_up", "Slide up", "Ctrl+Up"),
    _action("Look from", "slide_down", "Slide down", "Ctrl+Down"),
    _action("Frame", "next_frame", "Next frame forward", "Right"),
    _action("Frame", "previous_frame", "Next frame aft", "Left"),
    _action("Frame", "fade_others", "Fade the others", "F", stays=True),
    _action("Frame", "only_frame", "This frame only", "O", stays=True),
    _action("Frame", "next_part", "Next part of it", "PgDown"),
    _action("Frame", "previous_part", "Part before", "PgUp"),
    _action("Show", "spread", "Spread", "S", stays=True),
    _action("Show", "cut", "Cut open", "C", stays=True),
    _action("Show", "cut_forward", "Cut further forward", "]"),
    _action("Show", "cut_aft", "Cut further aft", "["),
    _action("Show", "turn_cut", "Keep the other side", "X"),
    _action("Show", "measure", "Measure", "M", stays=True),
    _action("Show", "label", "Labels", "L", stays=True),
    _action("Show", "take_middle", "Take what is in the middle", "Return", "Enter"),
    _action("Show", "let_go", "Let go", "Esc"),
    _action("Findings", "next_finding", "Next finding", "N"),
    _action("Findings", "previous_finding", "Finding before", "Shift+N", "P"),
    _action("Build order", "play", "Play", "Space", stays=True),
    _action("Build order", "next_step", "Next step", "."),
    _action("Build order", "previous_step", "Step before", ","),
    _action("Build order", "finished_boat", "The finished boat", "B"),
    _action("Go to", "go_to_findings", "The findings", "F2"),
    _action("Go to", "go_to_steps", "The build order", "F3"),
    _action("Go to", "go_to_picture", "The picture", "F4"),
    _action("Help", "list_keys", "Keys and mouse", "F1", "?"),
)
