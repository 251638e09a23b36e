"""Lines files at random over the whole range of the input: sound boats, odd ones and ones that nobody can draft."""

from __future__ import annotations

import random
from typing import Any

import numpy as np
from lines_making import frame, hull, lines

FORMS = ("usual", "flat bottom", "double", "chine flat", "fading knuckle", "low knuckle")


def columns_at_random(pick: random.Random, form: str, length: float) -> dict[str, list[float]]:
    """A table of offsets of one of FORMS: a chine flat has two chines at one height, a knuckle fades out forward."""
    deadrise = pick.choice([0, 3, 8, 12, 18, 25])
    double = form in ("double", "chine flat", "fading knuckle", "low knuckle")
    columns = hull(
        deadrise=deadrise, flat=form == "flat bottom", double=double, length=length, count=pick.choice([5, 9, 21])
    )
    if not double or form == "double":
        return columns
    at = {name: np.array(values, dtype=float) for name, values in columns.items()}
    along = at["stations"] / length
    low_y, low_z = at["chine.half_breadth"], at["chine.height"]
    if form == "chine flat":
        flat = pick.uniform(0.02, 0.12) * low_y.max()
        at["upper_chine.half_breadth"], at["upper_chine.height"] = low_y + flat, low_z.copy()
        at["sheer.half_breadth"] = np.maximum(at["sheer.half_breadth"], low_y + flat + 0.02 * length)
    else:  # the upper chine runs into the side, or the lower one into the bottom
        fade = np.clip(1.4 - pick.uniform(1.0, 2.0) * along, 0.0, 1.0)
        low, high = (low_y, low_z), (at["sheer.half_breadth"], at["sheer.height"])
        share = 0.5
        if form == "low knuckle":
            top_y, top_z = at["upper_chine.half_breadth"], at["upper_chine.height"]
            on_y, on_z = top_y * 0.5, (at["keel"] + top_z) * 0.5
            at["chine.half_breadth"] = fade * low_y + (1 - fade) * on_y
            at["chine.height"] = fade * low_z + (1 - fade) * on_z
        else:
            for k, name in enumerate(("half_breadth", "height")):
                line = low[k] + share * (high[k] - low[k])
                knuckle = at[f"upper_chine.{name}"]
                at[f"upper_chine.{name}"] = fade * knuckle + (1 - fade) * line
    return {name: [round(float(v)) for v in values] for name, values in at.items()}


def lines_at_random(pick: random.Random) -> str:
    """A lines file. Half of them keep to the proportions of real boats, in the others any value may be out of them."""
    wild = 0.0 if pick.random() < 0.5 else pick.uniform(0.0, 0.25)
    size = pick.choice([0.6, 1.0, 1.0, 1.0, 1.5, 2.5])  # of a boat of 4.3 m
    grown = size**0.5
    form = pick.choice((*FORMS[:3], *FORMS))
    double = form not in FORMS[:2]
    inverted = pick.random() < 0.3
    core, plate, legs = (pick.choice(row) * (1.5 if size > 1.4 else 1) for row in ([6, 9, 12, 15], [4, 6, 9], [9, 12]))
    cutter = pick.choice([3, 4, 6, 6.35, 8, 10])

    def any_of(low: float, high: float, least: float, most: float, digits: int = 0) -> float:
        value = pick.uniform(least, most) if pick.random() < wild else pick.uniform(low, high) * grown
        return round(value, digits)

    dowel = max(cutter, pick.choice([6, 8, 10])) if pick.random() >= wild / 3 else pick.choice([4, 12, 20])

    def batten(low: float, high: float) -> dict[str, Any]:
        long = any_of(low, high, 8, 250)
        short = min(long, any_of(14, 30, 4, 120))
        out: dict[str, Any] = {"section": [long, short]}
        out["arris"] = round(min(short / 2, dowel / 2 + pick.choice([0, 0, 0.5, 2]) - (pick.random() < wild / 3)), 2)
        out["layers"] = pick.randint(1, 3) if pick.random() < wild else 4
        if pick.random() < 0.1:
            out["bend"] = round(pick.uniform(40, 200))
        return out

    measured = {"measured": round(core * pick.uniform(0.96, 1.04), 2)} if pick.random() < 0.2 else {}
    exact = pick.random() < 0.3  # an arm of exactly the least that the check takes
    depth, reach = float(size * 860), (core + plate - 2) / grown
    screw: dict[str, Any] = {"gauge": pick.choice([4, 6, 8])}
    if pick.random() < 0.3:
        screw = {"gauge": None, "diameter": round(pick.uniform(2, 6), 1)}
    changes: dict[str, dict[str, Any] | None] = {
        "boat": {
            "name": "Random",
            "units": "mm",
            "seen": pick.choice(["from aft", "from forward"]),
            "build": "inverted" if inverted else "upright",
        },
        "offsets": {
            "base": any_of(-1.7 * depth, -1.5 * depth, -3000, 0)/grown if inverted else any_of(150, 400, -100, 1200),
            "camber": round(pick.choice([0, 20, 60, 120]) * size),
        },
        "cutter": {"diameter": cutter},
        "dowels": {"diameter": dowel},
        "stock__ply12": {"thickness": core, **measured},
        "stock__ply9": {"thickness": plate},
        "stock__plyleg": {"thickness": legs, "size": [2440, 1220]},
        "strongback": {
            "inside_width": any_of(160, 280, 40, 1500),
            "rail": [any_of(40, 70, 10, 150), any_of(90, 200, 30, 300)],
            "from": -600,
            "to": 14000,
        },
        "battens__keel": batten(30, 60),
        "battens__chine": batten(24, 45),
        "battens__sheer": batten(25, 50),
        "framing": {
            "legs": "plyleg",
            "floor_depth": any_of(80, 130, 20, 500),
            "side_depth": any_of(60, 90, 15, 400),
            "beam_depth": any_of(60, 90, 15, 400),
            "gusset_arm": 4 * measured.get("measured", core) if exact else any_of(4 * core / grown + 2, 100, 10, 300),
            "gusset_radius": any_of(15, 80, 1, 300),
        },
        "legs": {
            "width": any_of(50, 80, 15, 400),
            "tongue": any_of(30, 90, 5, 300),
            "lap": any_of(30, 55, 3, 200),
        },
        "screws__gusset": {**screw, "length": f"{any_of(reach, reach, 8, 50):g} mm"},
    }  # fmt: skip
    if pick.random() < 0.15:
        changes["framing"] |= {"floor_top": "level", "floor_depth": any_of(120, 220, 20, 500)}
    if pick.random() < 0.1:
        changes["framing"] |= {"screw_spacing": any_of(25, 80, 5, 300)}
    if pick.random() < 0.2:
        at = sorted(
            {
                round(pick.uniform(0.1, 0.9) if pick.random() < wild else pick.uniform(0.45, 0.7), 2)
                for _ in range(pick.choice([1, 1, 2]))
            }
        )
        changes["battens__floor"] = {**batten(25, 45), "at": at}
    if pick.random() < 0.1:
        changes["battens__keel"] = None
    if double:
        changes["battens__upper_chine"] = batten(24, 40)
    length = round(4300 * size)
    count = pick.randint(2, 7)
    frames = []
    for number, share in enumerate(np.linspace(0.06, 0.78, 7)[:count], start=1):
        station = round(length * float(share) + pick.uniform(-100, 100) * size * (1 + 5 * (pick.random() < wild)))
        kind = pick.choice(["ring", "open", "open", "bulkhead"] if number > 1 else ["transom", "open", "ring"])
        rake = pick.choice([0, 0, 0, 5, -7] if number > 1 else [0, 8, 12])
        rake = round(pick.uniform(-60, 60)) if pick.random() < wild / 2 else rake
        more: dict[str, Any] = {}
        if pick.random() < 0.1:
            more["station_at"] = pick.choice(["aft face", "forward face"])
        for depth_of in ("floor_depth", "side_depth", "beam_depth"):
            if pick.random() < 0.05:
                more[depth_of] = any_of(60, 130, 20, 400)
        frames.append(frame(str(number), station, kind, rake=rake, **more))
    return lines(columns_at_random(pick, form, length), frames, **changes)
