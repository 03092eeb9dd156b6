"""Figures of an engine, of its torque, of its primary gear, and of the launch it has to make.

The usual spans are judgements of ours, without a source; they hold for engines of 50 to 650 cc.
"""

from dataclasses import replace

from app.fields.definition import Field, by_name
from app.fields.pack import PACK

_SPEED = Field(
    "speed_rpm",
    "Crank speed",
    "speed",
    above=0,
    doubt_kind="speed",
    help="Speed of the crankshaft at which the figure was taken.",
    usual=(500, 20000),
)

_WHEEL_RADIUS = Field(
    "wheel_radius_m",
    "Rolling radius of the wheel",
    "length_m",
    above=0,
    # In metres: a share of the figure, as for a mass; the calliper's doubt is in millimetres.
    doubt_kind="mass",
    help="From the axle to the ground, loaded.",
    usual=(0.1, 0.5),
)
_VEHICLE_MASS = Field(
    "vehicle_mass_kg",
    "Mass of the vehicle",
    "mass",
    above=0,
    doubt_kind="mass",
    help="Vehicle, rider and load together, as it starts from rest.",
    usual=(20, 800),
)
_TO_WHEEL = Field(
    "clutch_to_wheel_ratio",
    "Ratio from clutch to wheel",
    "ratio",
    above=0,
    doubt_kind="ratio",
    help="Clutch turns for one turn of the wheel, in first gear.",
    usual=(2, 30),
)

ENGINE = by_name(
    Field(
        "displacement_cc",
        "Displacement",
        "displacement",
        above=0,
        doubt_kind="volume",
        help="Swept volume of all cylinders. Bore and stroke check it.",
        usual=(20, 1500),
    ),
    Field(
        "cylinders",
        "Cylinders",
        "count",
        at_least=1,
        doubt_kind="count",
        help="Number of cylinders on the one crankshaft.",
        usual=(1, 4),
    ),
    Field(
        "bore_mm",
        "Bore",
        "length",
        above=0,
        doubt_kind="length",
        help="Diameter of one cylinder.",
        usual=(30, 120),
    ),
    Field(
        "stroke_mm",
        "Stroke",
        "length",
        above=0,
        doubt_kind="length",
        help="Travel of the piston, twice the crank's throw.",
        usual=(25, 130),
    ),
    Field(
        "torque_nm",
        "Largest torque at the crank",
        "torque",
        above=0,
        doubt_kind="torque",
        help="The maximum of the torque curve, at the crank and not at the wheel.",
        usual=(1, 150),
    ),
    _SPEED,
    Field(
        "power_kw",
        "Power",
        "power",
        above=0,
        doubt_kind="power",
        help="Power at the speed given with it. Largest torque lies lower and is usually higher.",
        usual=(0.5, 120),
    ),
    Field(
        "bmep_kpa",
        "Mean effective pressure",
        "pressure_kpa",
        above=0,
        doubt_kind="pressure",
        help="At the largest torque. If unknown, a published figure for this kind of engine.",
        usual=(200, 2000),
    ),
    Field(
        "curve_torque_nm",
        "Torque on the curve",
        "torque",
        at_least=0,
        doubt_kind="torque",
        help="Torque at one speed of the curve.",
        usual=(0, 1500),
    ),
    Field(
        "relative_doubt",
        "Doubt of the whole curve",
        "fraction",
        at_least=0,
        below=1,
        doubt_kind="share",
        help="How far the whole curve may be off, such as 5 %.",
        usual=(0, 0.2),
    ),
    Field(
        "overall_ratio",
        "Overall ratio",
        "ratio",
        above=0,
        doubt_kind="ratio",
        help="Crank turns for one turn of the wheel, in the gear used.",
        usual=(2, 60),
    ),
    Field(
        "driveline_efficiency",
        "Efficiency from crank to wheel",
        "fraction",
        above=0,
        at_most=1,
        doubt_kind="share",
        help="Share of the crank's power that reaches the wheel.",
        usual=(0.7, 1),
    ),
    Field(
        "primary_ratio",
        "Primary ratio",
        "ratio",
        above=0,
        doubt_kind="ratio",
        help="Crank turns for one turn of the clutch: driven teeth divided by driving teeth.",
        usual=(1, 6),
    ),
    Field(
        "driving_teeth",
        "Driving teeth",
        "count",
        at_least=1,
        doubt_kind="count",
        help="Teeth of the gear or sprocket on the crankshaft.",
        usual=(8, 60),
    ),
    Field(
        "driven_teeth",
        "Driven teeth",
        "count",
        at_least=1,
        doubt_kind="count",
        help="Teeth of the gear or sprocket on the clutch.",
        usual=(15, 130),
    ),
    Field(
        "primary_efficiency",
        "Efficiency of the primary drive",
        "fraction",
        above=0,
        at_most=1,
        doubt_kind="share",
        help="Share of the power that passes the primary drive, such as 97 %.",
        usual=(0.9, 1),
    ),
    Field(
        "service_factor",
        "Service factor",
        "number",
        above=0,
        doubt_kind="number",
        help="The mean torque is multiplied by it, as pulses stand above it. Blank counts as 1.",
        usual=(1, 4),
    ),
    _VEHICLE_MASS,
    _WHEEL_RADIUS,
    _TO_WHEEL,
    *(
        PACK[name]
        for name in (
            "envelope_diameter_mm",
            "envelope_height_mm",
            "spline_count",
            "spline_major_mm",
            "gear_module_mm",
        )
    ),
)
"""Figures of an engine, its torque included. The last five say what fits: room and shaft."""

LAUNCH = by_name(
    Field(
        "torque_nm",
        "Torque of the clutch",
        "torque",
        above=0,
        doubt_kind="torque",
        help="What the clutch passes while it slips.",
        usual=(1, 500),
    ),
    Field(
        "load_torque_nm",
        "Load torque",
        "torque",
        doubt_kind="torque",
        help="What holds the driven side back, at the clutch shaft. Downhill it is below 0.",
        usual=(-100, 300),
    ),
    Field(
        "drive_torque_nm",
        "Drive torque",
        "torque",
        doubt_kind="torque",
        help="What drives the engine's side, at the clutch shaft; engine braking is below 0.",
        usual=(-100, 500),
    ),
    Field(
        "driver_speed_rpm",
        "Speed of the driving side",
        "speed",
        at_least=0,
        doubt_kind="speed",
        help="At the clutch shaft, as the launch begins.",
        usual=(0, 12000),
    ),
    Field(
        "driven_speed_rpm",
        "Speed of the driven side",
        "speed",
        at_least=0,
        doubt_kind="speed",
        help="At the clutch shaft, as the launch begins; 0 from a standstill.",
        usual=(0, 12000),
    ),
    Field(
        "inertia_kg_m2",
        "Moment of inertia",
        "inertia",
        above=0,
        doubt_kind="inertia",
        help="About the clutch shaft. A crank's own counts times the square of the primary ratio.",
        usual=(0.0001, 50),
    ),
    replace(
        _VEHICLE_MASS,
        name="mass_kg",
        label="Mass to be moved",
        help="Vehicle, rider and load together.",
    ),
    _WHEEL_RADIUS,
    replace(
        _TO_WHEEL,
        name="overall_ratio",
        help="Clutch turns for one turn of the wheel, in the gear used.",
    ),
)
"""Figures of a launch."""
