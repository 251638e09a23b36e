"""Slips of the pen in a plan: what is written wrong, and the boats that it is planted in."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

Content = dict[str, Any]
SLIPS: dict[str, tuple[Callable[[Content], Any], tuple[str, ...]]] = {}
"""What is written wrong in a plan, and the boats that it is planted in."""


def slip(*boats: str) -> Callable[[Callable[[Content], Any]], Callable[[Content], Any]]:
    def keep(plant: Callable[[Content], Any]) -> Callable[[Content], Any]:
        SLIPS[plant.__name__.replace("_", " ")] = (plant, boats or ("skiff", "other hand"))
        return plant

    return keep


def middle(content: Content) -> Content:
    frames = content["frames"]
    return frames[len(frames) // 2]


def beside(content: Content) -> tuple[Content, Content]:
    frames = content["frames"]
    return frames[len(frames) // 2 - 1], frames[len(frames) // 2]


def length(value: float | str) -> float:
    """mm, of a boat whose plan is in mm."""
    return float(value.removesuffix("mm")) if isinstance(value, str) else float(value)


def layer(content: Content, role: str, face: str) -> Content:
    """The first layer of parts with this role and face."""
    return next(each for each in content["layers"].values() if (each.get("role", ""), each.get("face")) == (role, face))


@slip()
def seen_from_the_other_side(content: Content) -> None:
    content["plan"]["seen"] = "from aft" if content["plan"]["seen"] == "from forward" else "from forward"


@slip("skiff", "pram")
def gussets_on_one_face(content: Content) -> None:
    layer(content, "gusset", "both")["face"] = "forward"


@slip("pram")
def outer_legs_on_the_other_face(content: Content) -> None:
    layer(content, "leg", "forward")["face"] = "aft"


@slip("skiff", "pram")
def screws_too_long(content: Content) -> None:
    content["screws"]["gusset"]["length"] = "1-1/4 in" if "gauge" in content["screws"]["gusset"] else "30 mm"


@slip("skiff", "pram")
def screws_too_thick(content: Content) -> None:
    content["screws"]["gusset"]["gauge"] = 14


@slip()
def batten_too_wide(content: Content) -> None:
    wide, thick = map(length, content["battens"]["chine"]["section"])
    content["battens"]["chine"]["section"] = [wide + 2, thick]


@slip()
def batten_too_thick(content: Content) -> None:
    wide, thick = map(length, content["battens"]["sheer"]["section"])
    content["battens"]["sheer"]["section"] = [wide, thick + 2]


@slip("skiff", "pram")
def batten_without_eased_edges(content: Content) -> None:
    content["battens"]["chine"]["arris"] = 0


@slip()
def batten_on_the_centreline(content: Content) -> None:
    content["battens"]["chine"]["sides"] = "centre"


@slip()
def batten_on_one_side(content: Content) -> None:
    content["battens"]["chine"]["sides"] = "port"


@slip()
def keel_on_both_sides(content: Content) -> None:
    content["battens"]["keel"]["sides"] = "both"


@slip()
def stations_exchanged(content: Content) -> None:
    one, other = beside(content)
    one["station"], other["station"] = other["station"], one["station"]


@slip()
def drawings_exchanged(content: Content) -> None:
    one, other = beside(content)
    one["drawing"], other["drawing"] = other["drawing"], one["drawing"]


@slip()
def digit_of_a_station(content: Content) -> None:
    content["frames"][4]["station"] += 200


@slip()
def digits_of_a_station_exchanged(content: Content) -> None:
    frame = content["frames"][4]
    digits = f"{frame['station']:.0f}"
    frame["station"] = float(digits[0] + digits[2] + digits[1] + digits[3:])


@slip()
def origin_beside_the_centreline(content: Content) -> None:
    middle(content)["origin"] = [20, 0]


@slip()
def origin_off_the_datum_line(content: Content) -> None:
    middle(content)["origin"] = [0, 100]


@slip()
def one_drawing_for_two_frames(content: Content) -> None:
    one, other = beside(content)
    other["drawing"] = one["drawing"]


@slip()
def whole_drawing_taken_for_a_half(content: Content) -> None:
    middle(content)["mirror"] = True


@slip("half drawn", "half skiff")
def half_drawings_taken_for_whole_ones(content: Content) -> None:
    for frame in content["frames"]:
        frame.pop("mirror")


@slip("half drawn", "half skiff")
def one_half_drawing_taken_for_a_whole_one(content: Content) -> None:
    middle(content).pop("mirror")


@slip("skiff", "pram")
def rake_turned(content: Content) -> None:
    content["frames"][0]["rake"] *= -1


@slip("skiff", "pram")
def rake_a_few_degrees_off(content: Content) -> None:
    content["frames"][0]["rake"] += 3


@slip("skiff", "pram")
def other_face_on_the_station(content: Content) -> None:
    middle(content)["station_at"] = "forward face"


@slip()
def layer_on_other_stock(content: Content) -> None:
    layer(content, "", "core")["stock"] = layer(content, "gusset", "both")["stock"]


@slip("skiff", "pram")
def stock_of_another_thickness(content: Content) -> None:
    name = layer(content, "gusset", "both")["stock"]
    content["stock"][name]["thickness"] = length(content["stock"][name]["thickness"]) - 3


@slip()
def cutter_too_large(content: Content) -> None:
    content["cutter"]["diameter"] = 25


@slip("skiff", "pram")
def dowels_of_another_size(content: Content) -> None:
    content["dowels"]["diameter"] = 16


@slip()
def built_the_other_way_up(content: Content) -> None:
    content["plan"]["build"] = "inverted"


@slip()
def rails_too_far_apart(content: Content) -> None:
    content["strongback"]["inside_width"] += 20


@slip()
def screws_from_the_other_face(content: Content) -> None:
    content["layers"]["SCREWS FWD"]["driven_from"] = "aft"


@slip()
def legs_without_their_role(content: Content) -> None:
    del layer(content, "leg", "core")["role"]
