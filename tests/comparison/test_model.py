"""The model's version is raised whenever its figures come out otherwise."""

from app.comparison.model import MODEL_VERSION
from app.comparison.run import compare
from app.documents import Engine, Pack
from app.mechanics.inputs import State

PLATES = {
    "name": "A",
    "friction_plates": 5,
    "facing_od_mm": {"value": 110, "plus_minus": 0.1},
    "facing_id_mm": {"value": 86, "plus_minus": 0.1},
    "mounting": "geared",
    "friction": {"oiled": {"sliding": {"value": 0.11, "plus_minus": 0.01}}},
}
CLAMPS = [
    {"kind": "coil", "springs": [{
        "count": 6, "free_length_mm": {"value": 31.2, "plus_minus": 0.1},
        "installed_length_mm": 24.5, "wire_mm": {"value": 2.5, "plus_minus": 0.01},
        "outside_mm": 16, "total_coils": 7, "ends": "closed_ground", "shear_modulus_mpa": 79300,
    }]},
    {"kind": "disc", "outside_mm": 100, "inside_mm": 60, "thickness_mm": 2,
     "cone_height_mm": 2.5, "installed_deflection_mm": 2},
    {"kind": "load", "force_n": {"value": 900, "std": 20}},
    {"kind": "load", "force_n": {"value": 900, "plus_minus": 540}},
    {"kind": "coil", "springs": [{
        "count": 6, "free_length_mm": 31, "installed_length_mm": 30, "rate_n_per_mm": 110,
        "shim_mm": {"value": 0.2, "plus_minus": 0.15},
    }]},
]  # fmt: skip
ENGINE = {
    "name": "E", "primary_teeth": [19, 64], "service_factor": 1.5, "strokes": 4,
    "torque": {"kind": "power", "power_kw": {"value": 8, "plus_minus": 0.3}, "speed_rpm": 8000},
}  # fmt: skip

FIGURES = {
    "2": [
        ["1.4135", "1.2615", "1.5762", "0"],
        ["3.199", "2.8646", "3.5549", "0"],
        ["1.0054", "0.8922", "1.1271", "0.47334"],
        ["1.0054", "0.41884", "1.7761", "0.53108"],
        ["0.88476", "0.7369", "1.0494", "0.90951"],
    ],
}
"""Ratio, lower end, upper end, chance of falling short of each pack, by the model's version."""


def test_figures_that_come_out_otherwise_want_another_version() -> None:
    packs = [Pack.model_validate({**PLATES, "clamp": clamp}).to_inputs() for clamp in CLAMPS]
    found = compare(packs, [Engine.model_validate(ENGINE).to_inputs()], State("oiled", "sliding"))
    columns = (found.ratio, found.low, found.high, found.p_slip)
    shown = [[f"{column[i, 0]:.5g}" for column in columns] for i in range(len(packs))]
    assert shown == FIGURES[MODEL_VERSION], "raise MODEL_VERSION and write the new figures here"
