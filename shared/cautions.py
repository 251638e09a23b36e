"""The standing cautions: what can hurt someone, in a sentence or two, with where it was read.

Each defers to the product's data sheet, to local codes and to licensed practice; none replaces them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

FIT_ONLY = (
    "This checks whether the parts fit together. It says nothing of strength, stability or seaworthiness; "
    "those are for somebody qualified to judge."
)
"""Stands in every report."""

DEFER = "The product's data sheet, local codes and licensed practice come before anything said here."
"""Closes any list of cautions."""

TRADE = "general workshop practice, no source"


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """One caution: `topic` in a word or two, `text` in plain sentences, `origin` of what it states."""

    topic: str
    text: str
    origin: str = TRADE


_ALL = {
    "epoxy": Caution(
        topic="epoxy and hardener",
        text=(
            "Resin, hardener and diluent can each make the skin allergic to them, for good, and their vapour can "
            "irritate eyes and airways. Keep them off the skin, wear the gloves the data sheet names, air the place, "
            "and mix exactly in the ratio given."
        ),
        origin=(
            "HSE RR079, summary (skin); EU-OSHA on epoxy resins (eyes, airways); FAA AC 43.13-1B, par. 1-10 (ratio)"
        ),
    ),
    "pot": Caution(
        topic="a full pot",
        text=(
            "Mixed resin left standing in bulk heats itself and can smoke or burn. Mix little, spread it out soon, "
            "and put a hot pot outdoors, on something that does not burn."
        ),
    ),
    "bond": Caution(
        topic="the glue line",
        text=(
            "A glue line should be one thin film without gaps. Try everything dry first: there is no time for it "
            "once the glue is mixed."
        ),
        origin="FAA AC 43.13-1B, par. 1-10",
    ),
    "solvent": Caution(
        topic="solvents",
        text=(
            "Solvent vapour catches fire and travels along the floor; solvent on the skin carries resin through it. "
            "No flame or spark near it, and never clean hands with it."
        ),
    ),
    "dust": Caution(
        topic="dust",
        text=(
            "Dust of plywood, wood and fillers harms the lungs; limits at work lie between 1 and 5 mg in a cubic "
            "metre of air over 8 hours. Take it off at the tool and wear a mask that fits."
        ),
        origin="HSE, workplace limits for wood dust: hardwood 3, softwood 5 mg/m3; NIOSH recommends 1 mg/m3",
    ),
    "tools": Caution(
        topic="cutters and drills",
        text=(
            "A cutter or drill that catches throws the piece. Clamp the work, keep hands, hair and sleeves away, "
            "guard the eyes, and pull the plug before changing a bit."
        ),
    ),
    "lifting": Caution(
        topic="lifting and tipping",
        text=(
            "A frame on edge falls over easily and a large one is heavier than it looks. Stand it up with a second "
            "pair of hands and brace it before letting go."
        ),
    ),
    "weights": Caution(
        topic="weights on wet joints",
        text="Weights slide on a joint that is still wet. Set them so that none can fall on a foot or shift the joint.",
    ),
}

CAUTIONS: Mapping[str, Caution] = _ALL
