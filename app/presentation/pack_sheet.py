"""The data sheet of a pack, in the order of work at the bench."""

from app.documents import Clamp, Coil, DiscTable, LoadPoint, Pack, SpringGroup
from app.fields import CATALOGUE, FRICTION, PACK, SPRING_GROUP
from app.mechanics.spring_checks import free_length_spread
from app.presentation.data_sheet import ENDS_WORDS, SheetLine, SheetPart, figure_line, part
from app.presentation.numbers import number_text, with_unit

MOUNTING_WORDS = {
    "crankshaft": "On the crankshaft",
    "geared": "Geared, behind the primary gear",
}
CLAMP_WORDS = {
    "coil": "Coil springs",
    "load": "Clamp load, measured",
    "disc": "Disc spring, by its measures",
    "disc_table": "Disc spring, measured point by point",
    "centrifugal": "Weights on ramps",
}

_PLATES = ("friction_plates", "lined_faces_per_plate", "plain_plates")
_THICKNESSES = ("friction_plate_mm", "plain_plate_mm")
_RELEASE = ("lift_mm", "lever_ratio", "stack_wear_limit_mm", "plate_mass_kg")
_FIT = (
    "envelope_diameter_mm",
    "envelope_height_mm",
    "spline_count",
    "spline_major_mm",
    "basket_spline_mm",
    "gear_teeth",
    "gear_module_mm",
)
_SPRING_FIRST = ("count", "free_length_mm", "installed_length_mm", "shim_mm", "rate_n_per_mm")
_SPRING_WIRE = (
    "wire_mm",
    "outside_mm",
    "inside_mm",
    "mean_mm",
    "total_coils",
    "shear_modulus_mpa",
)
_ONE_DIAMETER = ("outside_mm", "inside_mm", "mean_mm")


def pack_sheet(pack: Pack) -> tuple[SheetPart, ...]:
    """All parts of a pack's sheet."""
    plates = [*_PLATES, *_THICKNESSES]
    if pack.surfaces is not None:
        plates.insert(3, "surfaces")
    reason = pack.surfaces_reason
    why = (SheetLine("Why the count of faces is another", reason),) if reason else ()
    return (
        part("Plates", pack, PACK, plates, why),
        _facing(pack),
        *_clamp(pack.clamp),
        part("Release and wear", pack, PACK, _RELEASE),
        part("Fit", pack, PACK, _FIT, (_mounting(pack),)),
    )


def _mounting(pack: Pack) -> SheetLine:
    return SheetLine("Mounting", MOUNTING_WORDS.get(pack.mounting or "", "not known"))


def _facing(pack: Pack) -> SheetPart:
    more = [] if pack.facing is None else [SheetLine("Facing material", facing_word(pack.facing))]
    more += [
        figure_line(f"Friction coefficient, {lubrication}, {kind}", q, FRICTION["friction"])
        for (lubrication, kind), q in pack.own_friction().items()
    ]
    return part("Facing", pack, PACK, ("facing_od_mm", "facing_id_mm", "grooved_fraction"), more)


def facing_word(name: str) -> str:
    """A facing's name as a page writes it.

    >>> facing_word("cast_iron_or_hard_steel")
    'cast iron or hard steel'
    """
    return name.replace("_", " ")


def _clamp(clamp: Clamp | None) -> tuple[SheetPart, ...]:
    if clamp is None:
        return (SheetPart("Clamp", (), "What presses the plates together"),)
    if isinstance(clamp, Coil):
        if not clamp.springs:
            return (SheetPart("Springs", (SheetLine("Clamp", CLAMP_WORDS["coil"]),), "Springs"),)
        many = len(clamp.springs) > 1
        return tuple(_springs(group, n, many) for n, group in enumerate(clamp.springs, start=1))
    kind = (SheetLine("Clamp", CLAMP_WORDS[clamp.kind]),)
    fields = CATALOGUE[clamp.kind]
    lines = part("Clamp", clamp, fields, fields, kind)
    if isinstance(clamp, DiscTable):
        points = (SheetLine("Load points", points_text(clamp.points)),) if clamp.points else ()
        return (SheetPart("Clamp", (*lines.lines, *points), lines.unknown),)
    return (lines,)


def _springs(group: SpringGroup, number: int, many: bool) -> SheetPart:
    heading = f"Springs, group {number}" if many else "Springs"
    if group.name:
        heading = f"{heading}: {group.name}"
    more: list[SheetLine] = []
    if group.positions is not None:
        more.append(SheetLine(SPRING_GROUP["positions"].label, str(group.positions)))
    if group.free_lengths_mm:
        label = SPRING_GROUP["free_lengths_mm"].label
        more.append(SheetLine(label, lengths_text(group.free_lengths_mm)))
    if group.load_points:
        more.append(SheetLine("Load points", points_text(group.load_points)))
    if group.tester_limit is not None:
        limit = f"{number_text(100 * group.tester_limit)} %"
        more.append(SheetLine(SPRING_GROUP["tester_limit"].label, limit))
    if group.ends:
        more.append(SheetLine("Ends", ENDS_WORDS[group.ends]))
    if group.wire_material:
        more.append(SheetLine("Wire", group.wire_material))
    first = part(heading, group, SPRING_GROUP, _SPRING_FIRST)
    known = [n for n in _SPRING_WIRE if getattr(group, n) is not None]
    wire = part(heading, group, SPRING_GROUP, known, ())
    unknown = [text for text in (first.unknown, _unknown_wire(group)) if text]
    return SheetPart(heading, (*first.lines, *wire.lines, *more), "; ".join(unknown))


def _unknown_wire(group: SpringGroup) -> str:
    """What the wire lacks, in one word: it is a second way to the rate and seldom needed whole."""
    some = any(getattr(group, name) is not None for name in _ONE_DIAMETER)
    whole = some and group.wire_mm is not None and group.total_coils is not None
    return "" if whole else "Wire, coil diameter and coils"


def lengths_text(lengths_mm: list[float]) -> str:
    """Free lengths of a set in one line, with their mean and spread.

    >>> lengths_text([31.0, 32.0]).replace("\u00a0", " ")
    '31, 32 mm; mean 31.50 mm, spread 3.2 % of it'
    """
    mean = sum(lengths_mm) / len(lengths_mm)
    spread = 100.0 * free_length_spread(lengths_mm)
    each = with_unit(", ".join(map(number_text, lengths_mm)), "mm")
    middle = with_unit(number_text(mean, decimals=2), "mm")
    return f"{each}; mean {middle}, spread {with_unit(number_text(spread, decimals=1), '%')} of it"


def points_text(points: list[LoadPoint]) -> str:
    """Readings of a spring in one line, force at deflection."""
    pairs = [
        (with_unit(number_text(p.force_n), "N"), with_unit(number_text(p.deflection_mm), "mm"))
        for p in points
    ]
    return "; ".join(f"{force} at {deflection}" for force, deflection in pairs)
