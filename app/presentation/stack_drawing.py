"""The pack drawn to scale from its own measures: plates, facings, springs, with dimensions.

The ring of the plates in section; the shaft's axis lies below the drawing. What isn't recorded is
drawn dashed at a usual size and listed, so that a drawing never looks more certain than the record.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

from app.mechanics.inputs import CoilClamp, PackInputs, Quantity, SpringGroup
from app.presentation.numbers import NBSP, number_text

WIDTH = 640.0
MARGIN_LEFT, MARGIN_RIGHT, MARGIN_TOP, MARGIN_BOTTOM = 76.0, 24.0, 12.0, 44.0
RING_HEIGHT = 230.0
# Usual sizes for what isn't recorded [mm]; such parts are dashed.
USUAL_FRICTION_PLATE, USUAL_PLAIN_PLATE, USUAL_END_PLATE = 3.0, 1.6, 4.0
USUAL_SPRING_DIAMETER, USUAL_COILS = 15.0, 6.0
MOST_PLATES = 60


@dataclass(frozen=True, slots=True)
class Box:
    """A part in section: place and size in drawing units, what it is, whether its size is known."""

    x: str
    y: str
    width: str
    height: str
    role: str
    known: bool


@dataclass(frozen=True, slots=True)
class Path:
    """A line through points, "x,y x,y …" in drawing units."""

    points: str
    role: str
    known: bool


@dataclass(frozen=True, slots=True)
class Label:
    """A piece of text at a place; anchor as SVG has it."""

    x: str
    y: str
    text: str
    anchor: str


@dataclass(frozen=True, slots=True)
class Measure:
    """A dimension line with its text."""

    x1: str
    y1: str
    x2: str
    y2: str
    label: Label


@dataclass(frozen=True)
class StackDrawing:
    """A drawing in SVG user units, with the sentence that says the same."""

    width: str
    height: str
    boxes: tuple[Box, ...]
    paths: tuple[Path, ...]
    measures: tuple[Measure, ...]
    labels: tuple[Label, ...]
    sentence: str
    not_recorded: tuple[str, ...]


@dataclass
class _Canvas:
    scale: float
    top_mm: float
    bottom: float
    boxes: list[Box] = field(default_factory=list)
    paths: list[Path] = field(default_factory=list)
    measures: list[Measure] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)

    def x(self, mm: float) -> float:
        return MARGIN_LEFT + self.scale * mm

    def y(self, radius_mm: float) -> float:
        return MARGIN_TOP + self.scale * (self.top_mm - radius_mm)

    def ring(self, at: float, thick: float, inner: float, outer: float, role: str, known: bool
             ) -> None:
        self.boxes.append(Box(
            _n(self.x(at)), _n(self.y(outer)), _n(self.scale * thick),
            _n(self.scale * (outer - inner)), role, known))


def _n(value: float) -> str:
    return f"{value:.1f}".rstrip("0").rstrip(".")


def _mm(value: float) -> str:
    return f"{number_text(value)}{NBSP}mm"


def draw_stack(pack: PackInputs) -> StackDrawing | None:
    """The pack in half section, or None when neither diameters nor plates are recorded.

    The stack from the hub's end plate: friction and plain plates in turn, the pressure plate, then
    the springs at their installed length.
    """
    outer_q, inner_q, plates = pack.facing_od_mm, pack.facing_id_mm, pack.friction_plates
    if outer_q is None or inner_q is None or plates is None or plates > MOST_PLATES:
        return None
    outer, inner = outer_q.value / 2.0, inner_q.value / 2.0
    parts = _parts(pack, plates)
    springs = pack.clamp.springs if isinstance(pack.clamp, CoilClamp) else ()
    spring_length = max((_length(g) for g in springs), default=0.0)
    stack = sum(thick for _, thick, _ in parts)
    total = stack + spring_length + (4.0 if springs else 0.0)
    top, bottom = outer * 1.04, inner * 0.88
    scale = min((WIDTH - MARGIN_LEFT - MARGIN_RIGHT) / total, RING_HEIGHT / (top - bottom))
    canvas = _Canvas(scale, top, MARGIN_TOP + scale * (top - bottom))
    _plates(canvas, parts, inner, outer)
    _springs(canvas, springs, stack, (inner + outer) / 2.0)
    _dimensions(canvas, outer_q, inner_q, stack, springs, pack)
    gaps = _not_recorded(pack, springs)
    height = canvas.bottom + MARGIN_BOTTOM
    return StackDrawing(
        _n(WIDTH), _n(height), tuple(canvas.boxes), tuple(canvas.paths), tuple(canvas.measures),
        tuple(canvas.labels), _sentence(pack, plates, springs), gaps,
    )


def _parts(pack: PackInputs, plates: int) -> list[tuple[str, float, bool]]:
    """Every plate in turn: role, thickness [mm], whether it is recorded."""
    lining = _or_usual(pack.friction_plate_mm, USUAL_FRICTION_PLATE)
    plain = _or_usual(pack.plain_plate_mm, USUAL_PLAIN_PLATE)
    extra = (pack.plain_plates if pack.plain_plates is not None else plates - 1) - (plates - 1)
    found: list[tuple[str, float, bool]] = [("end", USUAL_END_PLATE, False)]
    if extra >= 2:
        found.append(("plain", *plain))
    for number in range(plates):
        found.append(("friction", *lining))
        if number < plates - 1:
            found.append(("plain", *plain))
    if extra >= 1:
        found.append(("plain", *plain))
    found.append(("end", USUAL_END_PLATE, False))
    return found


def _or_usual(q: Quantity | None, usual: float) -> tuple[float, bool]:
    return (usual, False) if q is None else (q.value, True)


def _plates(
    canvas: _Canvas, parts: Sequence[tuple[str, float, bool]], inner: float, outer: float
) -> None:
    at = 0.0
    for role, thick, known in parts:
        if role == "friction":
            core = thick / 3.0
            canvas.ring(at, core, inner, outer, "facing", known)
            canvas.ring(at + core, core, inner * 0.96, outer * 1.02, "core", known)
            canvas.ring(at + 2.0 * core, core, inner, outer, "facing", known)
        elif role == "plain":
            canvas.ring(at, thick, inner * 0.98, outer, "plain", known)
        else:
            canvas.ring(at, thick, inner * 0.9, outer, "end", known)
        at += thick


def _length(group: SpringGroup) -> float:
    if group.installed_length_mm is None:
        return 25.0
    return max(group.installed_length_mm.value - group.shim_mm.value, 1.0)


def _springs(
    canvas: _Canvas, springs: Sequence[SpringGroup], stack: float, radius: float
) -> None:
    for number, group in enumerate(springs):
        wide, known = _spring_diameter(group)
        coils = group.total_coils.value if group.total_coils else USUAL_COILS
        length, turns = _length(group), max(1, min(round(2.0 * coils), 60))
        points = []
        for step in range(turns + 1):
            x = canvas.x(stack + length * step / turns)
            y = canvas.y(radius + (wide / 2.0 if step % 2 else -wide / 2.0))
            points.append(f"{_n(x)},{_n(y)}")
        seen = known and group.installed_length_mm is not None
        canvas.paths.append(Path(" ".join(points), f"spring spring-{number % 2}", seen))


def _spring_diameter(group: SpringGroup) -> tuple[float, bool]:
    wire = group.wire_mm.value if group.wire_mm else 0.0
    if group.outside_mm is not None:
        return group.outside_mm.value - wire, True
    if group.mean_mm is not None:
        return group.mean_mm.value, True
    if group.inside_mm is not None:
        return group.inside_mm.value + wire, True
    return USUAL_SPRING_DIAMETER, False


def _dimensions(
    canvas: _Canvas, outer: Quantity, inner: Quantity, stack: float,
    springs: Sequence[SpringGroup], pack: PackInputs,
) -> None:
    for q in (outer, inner):
        y = canvas.y(q.value / 2.0)
        label = Label(_n(MARGIN_LEFT - 22.0), _n(y + 4.5), f"⌀{NBSP}{number_text(q.value)}", "end")
        canvas.measures.append(Measure(
            _n(MARGIN_LEFT - 18.0), _n(y), _n(canvas.x(USUAL_END_PLATE)), _n(y), label))
    below = canvas.bottom + 10.0
    known = pack.friction_plate_mm is not None and pack.plain_plate_mm is not None
    if known:
        plates = stack - 2.0 * USUAL_END_PLATE
        start = canvas.x(USUAL_END_PLATE)
        end = canvas.x(stack - USUAL_END_PLATE)
        # No finer than plates are gauged, however many are added up.
        told = f"stack {number_text(plates, digits=4)}{NBSP}mm"
        label = Label(_n((start + end) / 2.0), _n(below + 16.0), told, "middle")
        canvas.measures.append(Measure(_n(start), _n(below), _n(end), _n(below), label))
    if springs and springs[0].installed_length_mm is not None:
        length = _length(springs[0])
        start, end = canvas.x(stack), canvas.x(stack + length)
        label = Label(_n((start + end) / 2.0), _n(below + 16.0), f"spring {_mm(length)}", "middle")
        canvas.measures.append(Measure(_n(start), _n(below), _n(end), _n(below), label))


def _not_recorded(pack: PackInputs, springs: Sequence[SpringGroup]) -> tuple[str, ...]:
    gaps = ["thickness of the end plates"]
    if pack.friction_plate_mm is None:
        gaps.append("thickness of the friction plates")
    if pack.plain_plates is None:
        gaps.append("number of plain plates")
    if pack.plain_plate_mm is None:
        gaps.append("thickness of the plain plates")
    if any(not _spring_diameter(g)[1] for g in springs):
        gaps.append("diameter of the springs")
    if any(g.installed_length_mm is None for g in springs):
        gaps.append("installed length of the springs")
    return tuple(gaps)


def _sentence(pack: PackInputs, plates: int, springs: Sequence[SpringGroup]) -> str:
    words = [f"{plates} friction {'plate' if plates == 1 else 'plates'}"]
    if pack.plain_plates is not None:
        words.append(f"{pack.plain_plates} plain")
    if pack.facing_od_mm is not None and pack.facing_id_mm is not None:
        words.append(f"facing {number_text(pack.facing_id_mm.value)} to "
                     f"{_mm(pack.facing_od_mm.value)}")
    count = sum(g.count or 0 for g in springs)
    if count:
        words.append(f"{count} springs")
    return "Section to scale: " + ", ".join(words) + "."
