"""The page of an engine: its sheet, its demand at both mountings, its curve, the packs for it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from app.comparison.cell import CellResult, evaluate
from app.comparison.working_lines import WorkingLine
from app.documents import Curve, Engine
from app.fields import CATALOGUE, ENGINE
from app.mechanics.engine_torque import displacement
from app.mechanics.inputs import MOUNTINGS, EngineInputs, Mounting, PackInputs
from app.presentation.cell_working import Parts, parts
from app.presentation.check_line import NO_CHECK, CheckLine
from app.presentation.data_sheet import SheetLine, SheetPart, cautions_in, part
from app.presentation.engine_curve import CurveView, curve_view
from app.presentation.input_words import TORQUE_WORDS
from app.presentation.numbers import NBSP, number_text, with_unit
from app.presentation.price_chart import PriceView
from app.presentation.readouts import (
    STATE_WORDS,
    Link,
    Readout,
    missing_links,
    readout_of,
    remarks,
    step_readout,
)
from app.presentation.short_figures import short_text
from app.presentation.verdict_list import SHOWN, VerdictLine, verdicts_of_engine

MOUNTING_HEADS = {
    "crankshaft": "Clutch on the crankshaft",
    "geared": "Geared clutch",
}
ROOM: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "envelope_diameter_mm": ("Room across", "Largest diameter that turns freely in the case."),
        "envelope_height_mm": ("Room along the shaft", "From the shaft's shoulder to the cover."),
        "spline_major_mm": ("Spline major diameter", "Across the tops of the shaft's splines."),
        "gear_module_mm": ("Module of the primary gears", "As for the pack; both must be alike."),
    }
)
"""What the figures of fit are called on the engine's side, with their help."""

_SIZE = ("displacement_cc", "cylinders", "strokes", "bore_mm", "stroke_mm")
_FIT = (
    "envelope_diameter_mm",
    "envelope_height_mm",
    "spline_count",
    "spline_major_mm",
    "gear_module_mm",
)
_LAUNCH = ("vehicle_mass_kg", "wheel_radius_m", "clutch_to_wheel_ratio")
_TORQUE = {
    "measured": ("torque_nm", "speed_rpm"),
    "power": ("power_kw", "speed_rpm"),
    "bmep": ("bmep_kpa",),
}


@dataclass(frozen=True)
class Step:
    """One step of the working."""

    label: str
    formula: Parts
    substituted: Parts
    text: str
    source: str


@dataclass(frozen=True)
class Demand:
    """What the engine asks of a clutch in one mounting."""

    heading: str
    readouts: tuple[Readout, ...]
    working: tuple[Step, ...]
    missing: tuple[Link, ...]
    remarks: tuple[str, ...]


@dataclass(frozen=True)
class EnginePage:
    """All that the page shows."""

    id: str
    name: str
    version: int
    changed: str
    checked: str
    notes: str
    demands: tuple[Demand, ...]
    mismatch: str
    unusual: tuple[tuple[str, str], ...]
    parts: tuple[SheetPart, ...]
    curve: CurveView | None
    verdicts: tuple[VerdictLine, ...]
    verdicts_more: str
    state_words: str = STATE_WORDS
    check: CheckLine = NO_CHECK
    prices: PriceView | None = None

    @property
    def edit(self) -> str:
        """Address of its form."""
        return f"/engines/{self.id}/edit"


def engine_page(
    public_id: str,
    version: int,
    engine: Engine,
    inputs: EngineInputs,
    packs: Sequence[tuple[str, str, PackInputs]],
    changed: str,
) -> EnginePage:
    """The page of one engine.

    Args:
        public_id: of the engine.
        version: of the record.
        engine: its document.
        inputs: the same as the mechanics take it.
        packs: id, name and inputs of every pack in use.
        changed: who changed it last, and when.
    """
    sheet = engine_sheet(engine)
    results = {mounting: _side(inputs, mounting) for mounting in MOUNTINGS}
    edit = f"/engines/{public_id}/edit"
    seen = engine.checked
    return EnginePage(
        id=public_id,
        name=engine.name,
        version=version,
        changed=changed,
        checked="" if seen is None else " · ".join(t for t in (seen.by, seen.at) if t),
        notes=engine.notes or "",
        demands=tuple(_demand(m, result, edit) for m, result in results.items()),
        mismatch=mismatch(inputs, next(iter(results.values()))),
        unusual=tuple(cautions_in(sheet)),
        parts=sheet,
        curve=curve_view(engine, results["geared"].working),
        verdicts=verdicts_of_engine(public_id, inputs, packs),
        verdicts_more=f"/?engine={public_id}" if len(packs) > SHOWN else "",
    )


MISMATCH = "displacement_disagrees"


def mismatch(engine: EngineInputs, result: CellResult) -> str:
    """What bore and stroke make against the displacement that is entered, "" where they agree."""
    bore, stroke, entered = engine.bore_mm, engine.stroke_mm, engine.displacement_cc
    found = any(caution.code == MISMATCH for caution in result.cautions)
    if not found or bore is None or stroke is None or entered is None:
        return ""
    swept = displacement(bore.value, stroke.value, float(engine.cylinders))
    several = "1 cylinder" if engine.cylinders == 1 else f"{engine.cylinders} cylinders"
    return (
        f"A bore of {with_unit(number_text(bore.value, digits=4), 'mm')} and a stroke of "
        f"{with_unit(number_text(stroke.value, digits=4), 'mm')} in {several} make "
        f"{with_unit(number_text(float(swept), digits=4), 'cc')}, but "
        f"{with_unit(number_text(entered.value, digits=4), 'cc')} is entered. Check bore, stroke "
        "and their unit, the number of cylinders, and whether the displacement is a rounded name."
    )


def engine_sheet(engine: Engine) -> tuple[SheetPart, ...]:
    """All parts of an engine's sheet."""
    return (
        part("Engine", engine, _ENGINE, _SIZE),
        _torque(engine),
        _drive(engine),
        part("Room and shaft", engine, _ENGINE, _FIT),
        part("Start from rest", engine, _ENGINE, _LAUNCH),
    )


_ENGINE = {
    **ENGINE,
    **{name: replace(ENGINE[name], label=label) for name, (label, _) in ROOM.items()},
    "spline_count": replace(ENGINE["spline_count"], label="Splines of the shaft"),
    "strokes": replace(ENGINE["cylinders"], label="Strokes", usual=None),
}


def _torque(engine: Engine) -> SheetPart:
    torque = engine.torque
    if torque is None:
        return SheetPart("Torque", (), "Torque")
    kind = (SheetLine("Known by", TORQUE_WORDS[torque.kind]),)
    if not isinstance(torque, Curve):
        return part("Torque", torque, CATALOGUE["engine"], _TORQUE[torque.kind], kind)
    scale = f"{number_text(100 * torque.relative_doubt)}{NBSP}%"
    more = [
        *kind,
        SheetLine("Points", str(len(torque.points))),
        SheetLine("Measured at", "The wheel" if torque.at == "wheel" else "The crank"),
        SheetLine(ENGINE["relative_doubt"].label, f"±{NBSP}{scale}"),
    ]
    names = ("overall_ratio", "driveline_efficiency") if torque.at == "wheel" else ()
    return part("Torque", torque, ENGINE, names, more)


def _drive(engine: Engine) -> SheetPart:
    more = []
    if engine.primary_teeth is not None:
        driving, driven = engine.primary_teeth
        text = f"{driving} driving, {driven} driven: {number_text(driven / driving, digits=4)}"
        more.append(SheetLine("Primary teeth", text))
    names = ["primary_efficiency", "service_factor"]
    if engine.primary_teeth is None or engine.primary_ratio is not None:
        names.insert(0, "primary_ratio")
    return part("Primary drive", engine, ENGINE, names, more)


def _side(engine: EngineInputs, mounting: Mounting) -> CellResult:
    """The engine's side for a clutch in this mounting, of which nothing else is known."""
    return evaluate(PackInputs(mounting=mounting), engine, None)


def _demand(mounting: Mounting, result: CellResult, edit: str) -> Demand:
    steps = {line.name: line for line in result.working}
    lacks = [path for path in result.missing if path.startswith("engine.")]
    return Demand(
        heading=MOUNTING_HEADS[mounting],
        readouts=(
            readout_of("Required torque", result.required, "N·m"),
            step_readout("Torque at the clutch", steps.get("clutch_torque_nm")),
            step_readout("Clutch speed", steps.get("clutch_speed_rpm")),
        ),
        working=tuple(_step(word, steps[n]) for n, word in _STEPS.items() if n in steps),
        missing=missing_links(lacks, edit),
        remarks=remarks(result, but=(MISMATCH,)),
    )


_STEPS = {
    "crank_torque_nm": "Torque at the crank",
    "clutch_torque_nm": "Torque at the clutch",
    "clutch_speed_rpm": "Clutch speed",
    "service_factor": "Service factor",
    "required_nm": "Required torque",
}


def _step(label: str, line: WorkingLine) -> Step:
    unit = "" if line.unit == "1" else line.unit
    text = short_text(line.value, 2.0 * line.std, unit)
    return Step(label, parts(line.formula), parts(line.substituted), text, line.source)
