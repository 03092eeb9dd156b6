"""Random packs and engines of every kind, with doubts of the sizes that a workshop has."""

import math
from dataclasses import replace
from typing import Any

import numpy as np

from app.mechanics.inputs import (
    BmepTorque,
    Clamp,
    CoilClamp,
    CurveTorque,
    DiscClamp,
    DiscTableClamp,
    EngineInputs,
    LoadClamp,
    LoadPoint,
    MeasuredTorque,
    PackInputs,
    PowerTorque,
    Quantity,
    SpringEnds,
    SpringGroup,
)

ENDS: tuple[SpringEnds, ...] = ("plain", "plain_ground", "closed", "closed_ground")
IDLE_COILS = {"plain": 0.0, "plain_ground": 1.0, "closed": 2.0, "closed_ground": 2.0}


class Maker:
    """Makes records from one seeded generator; `rough` adds guessed lengths and short springs."""

    def __init__(self, seed: int, rough: bool = False) -> None:
        self.random = np.random.default_rng([20261125, seed])
        self.rough = rough

    def between(self, low: float, high: float) -> float:
        return float(self.random.uniform(low, high))

    def chance(self, part: float) -> bool:
        return bool(self.random.random() < part)

    def figure(self, value: float, measured: float, listed: float) -> Quantity:
        """A figure known in one of the usual ways, with that way's relative half-width."""
        pick = self.random.random()
        if pick < 0.5:
            limit = Quantity(value, plus_minus=measured * value, how="measured")
        elif pick < 0.85:
            limit = Quantity(value, plus_minus=listed * value, how="listed")
        else:
            limit = Quantity(value, plus_minus=0.1 * value, how="estimated")
        if self.chance(0.15):
            return replace(limit, plus_minus=None, std=limit.standard_uncertainty)
        return limit

    def length(self, value: float) -> Quantity:
        if self.rough and self.chance(0.15):
            return Quantity(value, plus_minus=0.1 * value, how="estimated")
        if self.chance(0.7):
            return Quantity(value, plus_minus=0.05, how="measured")
        return Quantity(value, plus_minus=0.005 * value, how="listed")

    def spring(self) -> SpringGroup:
        wire, index, coils = self.between(1.6, 2.6), self.between(5, 9), self.between(7, 11)
        ends = ENDS[int(self.random.integers(4))]
        rate = 79300.0 * wire / (8.0 * index**3 * (coils - IDLE_COILS[ends]))
        pressed = self.between(3 if self.rough else 6, 16)
        free = wire * (coils + 1) + pressed + self.between(4, 8)
        known: dict[str, Any] = {
            "count": int(self.random.integers(3, 8)),
            "free_length_mm": self.length(free),
            "installed_length_mm": self.length(free - pressed),
        }
        if self.chance(0.5):
            known["shim_mm"] = Quantity(self.between(0.3, 1.0), plus_minus=0.02)
        way = self.random.integers(3)
        if way == 0:
            sizes = {"outside_mm": index + 1, "inside_mm": index - 1, "mean_mm": index}
            size = list(sizes)[int(self.random.integers(3))]
            known |= {
                "wire_mm": Quantity(wire, plus_minus=0.01 if self.chance(0.6) else 0.02),
                "total_coils": Quantity(coils, plus_minus=0.25), "ends": ends,
                size: Quantity(wire * sizes[size], plus_minus=0.05),
            }
            if self.chance(0.5):
                known["wire_material"] = "music wire"
            else:
                known["shear_modulus_mpa"] = Quantity(79300.0, plus_minus=1600.0)
        elif way == 1:
            at = np.linspace(0.3 * pressed, pressed, int(self.random.integers(4, 8)))
            read = rate * at * self.random.normal(1.0, 0.01, at.size)
            known |= {"load_points": tuple(map(LoadPoint, at.tolist(), read.tolist())),
                      "tester_limit": 0.02}
        else:
            known["rate_n_per_mm"] = self.figure(rate, 0.03, 0.08)
        return SpringGroup(**known)

    def clamp(self, outside: float) -> Clamp:
        kind = self.random.random()
        if kind < 0.55 or self.rough:
            return CoilClamp(tuple(self.spring() for _ in range(int(self.random.integers(1, 4)))))
        if kind < 0.75:
            return LoadClamp(self.figure(self.between(400, 2000), 0.02, 0.08),
                             self.figure(60.0, 0.03, 0.08))
        if kind < 0.9:
            thick = self.between(1.2, 2.2)
            cone = thick * self.between(0.6, 1.7)
            return DiscClamp(
                Quantity(outside, plus_minus=0.05),
                Quantity(outside * self.between(0.5, 0.7), plus_minus=0.05),
                Quantity(thick, plus_minus=0.02), Quantity(cone, plus_minus=0.05),
                Quantity(cone * self.between(0.5, 0.9), plus_minus=0.05),
                in_parallel=int(self.random.integers(1, 3)),
            )
        top = self.between(800, 2000)
        points = tuple(LoadPoint(s, top * (1.0 - math.exp(-s))) for s in (0, 0.5, 1, 1.5, 2, 3, 4))
        return DiscTableClamp(points, Quantity(self.between(1, 3), plus_minus=0.05))

    def pack(self) -> PackInputs:
        outside = self.between(90, 140)
        return PackInputs(
            friction_plates=int(self.random.integers(3, 9)),
            facing_od_mm=Quantity(outside, plus_minus=0.05),
            facing_id_mm=Quantity(outside * self.between(0.65, 0.85), plus_minus=0.05),
            mounting="geared" if self.chance(0.5) else "crankshaft",
            friction={("oiled", "sliding"): self.figure(self.between(0.06, 0.15), 0.10, 0.15)},
            clamp=self.clamp(outside),
        )

    def engine(self) -> EngineInputs:
        speed, torque = self.between(4500, 9000), self.between(8, 45)
        strokes = 2 if self.chance(0.5) else 4
        known: dict[str, Any] = {"strokes": strokes, "primary_efficiency": Quantity(
            0.97, plus_minus=0.01)}
        kind = self.random.integers(4)
        if kind == 0:
            known["torque"] = PowerTorque(self.figure(torque * speed * math.pi / 3e4, 0.03, 0.05),
                                          self.figure(speed, 0.02, 0.02))
        elif kind == 1:
            bmep = self.between(600, 1000)
            known["displacement_cc"] = self.figure(
                torque * math.pi * strokes * 1000.0 / bmep, 0.005, 0.005)
            known["torque"] = BmepTorque(self.figure(bmep, 0.05, 0.08))
        elif kind == 2:
            known["torque"] = MeasuredTorque(self.figure(torque, 0.04, 0.05))
        else:
            wheel = self.chance(0.5)
            scale = 9.0 if wheel else 1.0
            known["torque"] = CurveTorque(
                tuple((part * speed, y * torque * scale) for part, y in
                      ((0.6, 0.9), (0.8, 1.0), (1.0, 0.85))),
                "wheel" if wheel else "crank", 0.04,
                self.figure(10.0, 0.005, 0.002), self.figure(0.9, 0.03, 0.05))
        if self.chance(0.5):
            known["primary_teeth"] = (22, int(self.random.integers(55, 80)))
        else:
            known["primary_ratio"] = self.figure(self.between(2.2, 3.6), 0.005, 0.002)
        return EngineInputs(**known)
