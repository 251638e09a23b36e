"""The lines of the boat that all frames share, and how her battens run through them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.interpolate import CubicSpline

from .habit import Style

DEEP, BEAM, SPACING = 100.0, 80.0, 550.0
BREADTH, TAPER, LIFT = 640.0, 150.0, 200.0
RAILS, FOOT = 260.0, 90.0
RAKE = 10.0  # degrees, of both transoms
PLATE = 9.0  # mm, ply of gussets and doublers
CLEAR = 0.1  # mm, round a batten in its notch
BATTENS = {"keel": (60.0, 22.0), "chine": (40.0, 14.0), "sheer": (45.0, 16.0)}
ARRIS = 5.0


@dataclass(frozen=True)
class Lines:
    """Heights and breadths, mm. A side is a strip along its outer line, with s up it and m in from it."""

    style: Style

    @cached_property
    def reach(self) -> float:
        """How far a gusset reaches past its joint."""
        return 4 * self.style.core + 10

    @property
    def wide(self) -> float:
        """Of the sides; a gusset that keeps clear of the sheer's notch reaches far enough over them."""
        return 4 * self.style.core + 48

    @cached_property
    def heights(self) -> dict[str, float]:
        low, scarf = LIFT, 0.5 * self.reach if self.style.cut == "scarf" else 0.0
        chine = low + DEEP + self.reach + 40
        cut = chine + 34 + self.reach + scarf
        beam = (cut + scarf if self.style.sawn else chine + 34) + 2 * self.reach + 20
        top = beam + BEAM
        shift = -LIFT - top if self.style.inverted else 0.0
        return {n: v + shift for n, v in {"low": low, "chine": chine, "cut": cut, "beam": beam, "top": top}.items()}

    @cached_property
    def stations(self) -> tuple[float, ...]:
        return tuple(300.0 + SPACING * n for n in range(self.style.frames))

    @cached_property
    def flare(self) -> float:
        return float(np.radians(self.style.flare))

    @cached_property
    def up(self) -> np.ndarray:
        return np.array([np.sin(self.flare), np.cos(self.flare)])

    @cached_property
    def out(self) -> np.ndarray:
        return np.array([np.cos(self.flare), -np.sin(self.flare)])

    def breadth(self, x: float) -> float:
        """Half of it at the foot of the sides."""
        middle = (self.stations[0] + self.stations[-1]) / 2
        return BREADTH - TAPER * ((x - middle) / (middle - self.stations[0])) ** 2

    def rake(self, n: int) -> float:
        """Radians; of the frame with this index."""
        if not self.style.transoms or 0 < n < len(self.stations) - 1:
            return 0.0
        return float(np.radians(RAKE if n == 0 else -RAKE))

    @cached_property
    def thick(self) -> tuple[float, float]:
        """From where to where the core lies, off the face that stands on the station."""
        core = self.style.core
        return {"middle": (-core / 2, core / 2), "aft face": (0.0, core), "forward face": (-core, 0.0)}[
            self.style.station_at
        ]

    def at(self, n: int, height: float) -> tuple[float, float]:
        """Where the plane of a frame stands at this height: its x, and v along the plane."""
        v = height / np.cos(self.rake(n))
        return self.stations[n] - v * np.sin(self.rake(n)), v

    def outer(self, n: int, v: float) -> float:
        """The outer line at v along the frame's plane."""
        x = self.stations[n] - v * np.sin(self.rake(n))
        return self.breadth(x) + (v - self.heights["low"]) * np.tan(self.flare)

    @cached_property
    def length(self) -> float:
        """Of a side along its outer line; its top is square to it, level with the deck at the inner edge."""
        height = self.heights["top"] - self.heights["low"]
        return (height - self.wide * np.sin(self.flare)) / np.cos(self.flare)

    def place(self, n: int, name: str) -> tuple[float, float]:
        """The middle of a batten in a frame's plane, (y, v)."""
        long, short = BATTENS[name]
        if name == "keel":
            return 0.0, self.at(n, self.heights["low"] + short / 2)[1]
        s = (self.heights["chine"] - self.heights["low"]) / np.cos(self.flare)
        s = s if name == "chine" else self.length - long / 2
        if self.rake(n):
            v = self.at(n, self.heights["low"] + s)[1]
            return self.outer(n, v) - short / 2, v
        foot = np.array([self.breadth(self.stations[n]), self.heights["low"]])
        y, v = foot + s * self.up - short / 2 * self.out
        return float(y), float(v)

    @cached_property
    def _curves(self) -> dict[str, CubicSpline]:
        out = {}
        for name in BATTENS:
            points = []
            for n, station in enumerate(self.stations):
                y, v = self.place(n, name)
                points.append((station - v * np.sin(self.rake(n)), y, v * np.cos(self.rake(n))))
            x, y, z = np.transpose(points)
            out[name] = CubicSpline(x, np.column_stack([y, z]), bc_type="natural")  # as a sprung batten lies
        return out

    def passes(self, n: int, name: str, span: tuple[float, float]) -> tuple[np.ndarray, np.ndarray]:
        """How a batten shifts in a frame's plane from face to face of a ply, which are at these depths.

        The least and the most along (out, up) of the sides, each widened by what it is longer cut askew.
        """
        rake, (low, high) = self.rake(n), span
        axes = np.array([self.out, self.up]) if not rake else np.eye(2)
        here = np.array(self.place(n, name))
        shifts = []
        for w in np.linspace(low, high, 9):
            v = here[1]
            for _ in range(20):
                x = self.stations[n] - v * np.sin(rake) + w * np.cos(rake)
                y, z = self._curves[name](x)
                v = (z - w * np.sin(rake)) / np.cos(rake)
            shifts.append(axes @ (np.array([y, v]) - here))
        slopes = (shifts[-1] - shifts[0]) / (high - low)
        long, short = BATTENS[name]
        sides = np.array([short, long] if name != "keel" else [long, short])
        wider = sides / 2 * (np.sqrt(1 + slopes**2) - 1) + CLEAR
        return np.min(shifts, axis=0) - wider, np.max(shifts, axis=0) + wider
