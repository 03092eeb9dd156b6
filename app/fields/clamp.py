"""Figures of the clamp: coil springs, disc springs, a measured load, or weights on ramps.

The usual spans are judgements of ours, without a source.
"""

from app.fields.definition import Field, by_name

SPRING_GROUP = by_name(
    Field(
        "count",
        "Springs in the group",
        "count",
        at_least=1,
        doubt_kind="count",
        help="How many, all alike. Inner springs inside outer ones are a group of their own.",
        usual=(3, 12),
    ),
    Field(
        "positions",
        "Places for springs",
        "count",
        at_least=1,
        doubt_kind="count",
        help="Places of this group, evenly spaced. Only where some of them are left empty.",
        usual=(3, 12),
    ),
    Field(
        "free_lengths_mm",
        "Free length of each spring",
        "length",
        above=0,
        doubt_kind="length",
        help="In mm, with spaces between. Their mean serves where the free length is left blank.",
        usual=(15, 120),
    ),
    Field(
        "free_length_mm",
        "Free length",
        "length",
        above=0,
        doubt_kind="length",
        help="End to end with no load. Measure every spring and give the mean.",
        usual=(8, 120),
    ),
    Field(
        "installed_length_mm",
        "Installed length",
        "length",
        above=0,
        doubt_kind="length",
        help="Length with the pack bolted up and the lever let go, before any shim.",
        usual=(5, 110),
    ),
    Field(
        "shim_mm",
        "Shim under each spring",
        "length",
        at_least=0,
        doubt_kind="plate",
        help="Thickness of the washers that press the spring further; 0 without any.",
        usual=(0, 5),
    ),
    Field(
        "rate_n_per_mm",
        "Rate of one spring",
        "rate",
        above=0,
        doubt_kind="rate",
        help="Force for each millimetre of compression of one spring.",
        usual=(1, 200),
    ),
    Field(
        "wire_mm",
        "Wire diameter",
        "length",
        above=0,
        doubt_kind="wire",
        help="Use a micrometer: the rate goes with the fourth power of the wire diameter.",
        usual=(0.8, 8),
    ),
    Field(
        "outside_mm",
        "Coil outside diameter",
        "length",
        above=0,
        doubt_kind="length",
        help="Across the outside of the coils, midway along the spring.",
        usual=(6, 60),
    ),
    Field(
        "inside_mm",
        "Coil inside diameter",
        "length",
        above=0,
        doubt_kind="length",
        help="Across the inside of the coils, midway along the spring.",
        usual=(3, 50),
    ),
    Field(
        "mean_mm",
        "Coil mean diameter",
        "length",
        above=0,
        doubt_kind="length",
        help="Outside diameter less one wire. Give one of the three diameters only.",
        usual=(4, 55),
    ),
    Field(
        "total_coils",
        "Total coils",
        "number",
        above=0,
        doubt_kind="coils",
        help="All coils with the closed ends counted, to the quarter turn.",
        usual=(3, 25),
    ),
    Field(
        "shear_modulus_mpa",
        "Shear modulus of the wire",
        "pressure",
        above=0,
        doubt_kind="modulus",
        help="Of the wire's steel. Leave it out to take the one of the chosen wire.",
        usual=(30000, 90000),
    ),
    Field(
        "tester_limit",
        "Limit of error of the spring tester",
        "fraction",
        at_least=0,
        below=1,
        doubt_kind="share",
        help="How far the tester's scale may be off, as a share of the reading, such as 2 %.",
        usual=(0, 0.1),
    ),
)
"""Figures of a group of coil springs alike."""

LOAD_POINT = by_name(
    Field(
        "deflection_mm",
        "Deflection from free",
        "length",
        at_least=0,
        doubt_kind="deflection",
        help="How far the spring is pressed from its free length.",
        usual=(0, 60),
    ),
    Field(
        "force_n",
        "Force at that deflection",
        "force",
        at_least=0,
        doubt_kind="force",
        help="What the tester shows. Read it on the way in, with the spring seated.",
        usual=(0, 10000),
    ),
)
"""One reading of a spring tester."""

LOAD = by_name(
    Field(
        "force_n",
        "Clamp load",
        "force",
        above=0,
        doubt_kind="force",
        help="Load on the plates with the pack bolted up and the lever let go.",
        usual=(100, 20000),
    ),
    Field(
        "rate_n_per_mm",
        "Rate of the whole clamp",
        "rate",
        above=0,
        doubt_kind="rate",
        help="Change of the clamp load for each millimetre, all springs together. Without it "
        "the load when worn or lifted stays unknown.",
        usual=(5, 2000),
    ),
)
"""A clamp load that was measured as a whole."""

_INSTALLED_DEFLECTION = Field(
    "installed_deflection_mm",
    "Installed deflection",
    "length",
    at_least=0,
    doubt_kind="length",
    help="How far the whole stack of disc springs is flattened with the pack bolted up.",
    usual=(0.1, 15),
)

DISC = by_name(
    Field(
        "outside_mm",
        "Disc outside diameter",
        "length",
        above=0,
        doubt_kind="length",
        help="Across the disc spring where it is supported.",
        usual=(20, 300),
    ),
    Field(
        "inside_mm",
        "Disc inside diameter",
        "length",
        above=0,
        doubt_kind="length",
        help="Where the closed ring ends; fingers are left out.",
        usual=(5, 280),
    ),
    Field(
        "thickness_mm",
        "Disc thickness",
        "length",
        above=0,
        doubt_kind="wire",
        help="Use a micrometer: the load goes with up to the third power of the thickness.",
        usual=(0.3, 8),
    ),
    Field(
        "cone_height_mm",
        "Height of the cone",
        "length",
        above=0,
        doubt_kind="length",
        help="Free height of one disc less its thickness.",
        usual=(0.1, 12),
    ),
    _INSTALLED_DEFLECTION,
    Field(
        "in_parallel",
        "Discs laid the same way",
        "count",
        at_least=1,
        doubt_kind="count",
        help="Discs that lie in one another: they multiply the force.",
        usual=(1, 4),
    ),
    Field(
        "in_series",
        "Discs laid against each other",
        "count",
        at_least=1,
        doubt_kind="count",
        help="Discs or packets laid alternately: they add up the deflection.",
        usual=(1, 12),
    ),
    Field(
        "modulus_mpa",
        "Elastic modulus",
        "pressure",
        above=0,
        doubt_kind="modulus",
        help="206 000 MPa for spring steel.",
        usual=(90000, 220000),
    ),
    Field(
        "poisson",
        "Poisson's ratio",
        "number",
        at_least=0,
        at_most=0.5,
        doubt_kind="modulus",
        help="0.3 for steel.",
        usual=(0.25, 0.35),
    ),
)
"""Figures of a disc spring."""

DISC_TABLE = by_name(_INSTALLED_DEFLECTION)
"""Figures of a disc spring that was measured point by point; the points are load points."""

CENTRIFUGAL = by_name(
    Field(
        "weights",
        "Weights",
        "count",
        at_least=1,
        doubt_kind="count",
        help="Weights or rollers that press when the clutch turns.",
        usual=(2, 12),
    ),
    Field(
        "weight_mass_g",
        "Mass of one weight",
        "mass_g",
        above=0,
        doubt_kind="mass",
        help="Weigh them together and divide by their number.",
        usual=(2, 500),
    ),
    Field(
        "radius_mm",
        "Radius of the weights",
        "length",
        above=0,
        doubt_kind="length",
        help="From the shaft's middle to the middle of a weight, as the clutch bites.",
        usual=(15, 120),
    ),
    Field(
        "ramp_angle_deg",
        "Angle of the ramp",
        "angle",
        above=0,
        below=90,
        doubt_kind="angle",
        help="Between the ramp and the plane of rotation. A steep ramp presses less.",
        usual=(15, 75),
    ),
    Field(
        "return_force_n",
        "Return force",
        "force",
        at_least=0,
        doubt_kind="force",
        help="Of all return springs together, at the pressure plate.",
        usual=(0, 3000),
    ),
)
"""Figures of a clamp by weights on ramps."""
