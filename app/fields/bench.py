"""Figures of a slip test and of the chain of parts that drives it.

The usual spans are judgements of ours, without a source.
"""

from app.fields.definition import Field, by_name


def _torque(name: str, label: str, told: str) -> Field:
    return Field(name, label, "torque", at_least=0, doubt_kind="torque", help=told, usual=(0, 400))


SLIP_TEST = by_name(
    Field(
        "clamp_n",
        "Clamp load in the run",
        "force",
        above=0,
        doubt_kind="force",
        help="With the springs that were fitted in this run.",
        usual=(50, 20000),
    ),
    Field(
        "springs_fitted",
        "Springs fitted",
        "count",
        at_least=1,
        doubt_kind="count",
        help="Count them. Fewer than three, or unevenly spaced, let the plate tilt.",
        usual=(3, 12),
    ),
    Field(
        "speed_rpm",
        "Speed of slip",
        "speed",
        at_least=0,
        doubt_kind="speed",
        help="Difference of speed between the two sides; 0 with a wrench pulled by hand.",
        usual=(0, 3000),
    ),
    Field(
        "runs_since_assembly",
        "Runs since assembly",
        "count",
        at_least=0,
        doubt_kind="count",
        help="Runs of this pack since it was last put together, without this one.",
        usual=(0, 500),
    ),
    Field(
        "wear_mm",
        "Wear of the whole stack",
        "length",
        at_least=0,
        doubt_kind="length",
        help="Thickness lost since new, all facings together. Blank counts as 0.",
        usual=(0, 5),
    ),
    Field(
        "temperature_c",
        "Temperature",
        "temperature",
        at_least=-273.15,
        doubt_kind="temperature",
        help="Of the plates, or of the oil if only that was taken.",
        usual=(-10, 250),
    ),
    _torque("torque_nm", "Torque read", "What the gauge showed as the pack slipped."),
    _torque("low_nm", "Lowest torque read", "Lower end of a gauge that kept moving."),
    _torque("high_nm", "Highest torque read", "Upper end of a gauge that kept moving."),
    _torque(
        "at_least_nm", "Held at least", "The pack still held when the gauge or the wrench ended."
    ),
    _torque("at_most_nm", "Slipped below", "The pack slipped before the first mark."),
)
"""Figures of a run of slip tests and of its readings."""

INSTRUMENT = by_name(
    Field(
        "range_low_nm",
        "Range from",
        "torque",
        at_least=0,
        doubt_kind="torque",
        help="First mark that can be trusted.",
        usual=(0, 100),
    ),
    Field(
        "range_high_nm",
        "Range to",
        "torque",
        above=0,
        doubt_kind="torque",
        help="End of the scale, or the largest torque that the wrench is made for.",
        usual=(1, 1000),
    ),
    Field(
        "relative_accuracy",
        "Accuracy, as a share of the reading",
        "fraction",
        at_least=0,
        below=1,
        doubt_kind="number",
        help="Limit from its certificate or its maker, such as 4 %.",
        usual=(0.001, 0.2),
    ),
    Field(
        "resolution_nm",
        "Resolution",
        "torque",
        at_least=0,
        doubt_kind="torque",
        help="Smallest step that can be read off.",
        usual=(0.001, 10),
    ),
)
"""Figures of a gauge or a torque wrench."""

TEST_CHAIN = by_name(
    Field(
        "max_nm",
        "Largest torque",
        "torque",
        above=0,
        doubt_kind="torque",
        help="End of the gauge, or the torque that the part is rated for.",
        usual=(1, 1000),
    ),
    Field(
        "diameter_mm",
        "Diameter of the round part",
        "length",
        above=0,
        doubt_kind="length",
        help="Where it is thinnest.",
        usual=(4, 60),
    ),
    Field(
        "across_flats_mm",
        "Width across flats",
        "length",
        above=0,
        doubt_kind="length",
        help="Of the square or the hexagon, where it is smallest.",
        usual=(4, 60),
    ),
    Field(
        "yield_mpa",
        "Yield strength",
        "pressure",
        above=0,
        doubt_kind="modulus",
        help="In tension, of the part's steel as it is heat-treated.",
        usual=(150, 2000),
    ),
    Field(
        "arm_m",
        "Length of the arm",
        "length_m",
        above=0,
        doubt_kind="arm",
        help="From the shaft's middle to where the arm is held, square to it.",
        usual=(0.05, 2),
    ),
    Field(
        "seconds",
        "Length of the run",
        "time",
        above=0,
        doubt_kind="time",
        help="How long the pack slips at the stated speed.",
        usual=(0.5, 120),
    ),
    Field(
        "max_temperature_rise_k",
        "Largest temperature rise",
        "temperature_rise",
        above=0,
        doubt_kind="temperature",
        help="How much warmer the plates may get in one run.",
        usual=(10, 250),
    ),
)
"""Figures of the parts between the drive and the gauge, and of the run they must bear."""
