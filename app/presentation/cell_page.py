"""The page of one cell: verdict, working, inputs, intervals, what moves it, all states."""

from dataclasses import dataclass

from app.comparison.all_states import StateAnswer
from app.comparison.board import EngineEntry, PackEntry
from app.comparison.board_view import BoardView
from app.comparison.cell import CellResult, Drawn, Reading
from app.comparison.inputs_list import InputLine
from app.documents import Engine, Pack
from app.presentation.cell_inputs import (
    InputRow,
    ShareRow,
    engine_counts,
    input_rows,
    pack_counts,
    percent,
    share_rows,
)
from app.presentation.cell_working import (
    INTERVAL_CAUTIONS,
    OUTRANKING,
    Working,
    sentence,
    unplaced,
    working,
)
from app.presentation.columns import missing_words
from app.presentation.input_words import HOW_WORDS, anchor, edit_address, input_label
from app.presentation.numbers import (
    NOT_KNOWN,
    margin_text,
    number_text,
    probability_text,
)
from app.presentation.torques import (
    UNIT_LABEL,
    fast_ratio,
    ratio_span,
    span_text,
    state_words,
    torque_number,
    torque_span,
    torque_text,
)

FRICTION_WORDS = {
    ("oiled", "sliding"): "Oiled, sliding", ("oiled", "static"): "Oiled, static",
    ("dry", "sliding"): "Dry, sliding", ("dry", "static"): "Dry, static",
}


@dataclass(frozen=True, slots=True)
class Readout:
    """One key figure."""

    label: str
    text: str
    unit: str = ""
    range: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Bar:
    """Where a ratio and its interval lie beside 1, in per cent of the width."""

    low: float
    mid: float
    high: float
    limit: float
    label: str


@dataclass(frozen=True, slots=True)
class MarginRow:
    """The margin, with and without the service factor."""

    label: str
    ratio: str
    span: str
    margin: str
    margin_span: str


@dataclass(frozen=True, slots=True)
class IntervalRow:
    """One way to the interval."""

    label: str
    low: str
    value: str
    high: str
    chance: str


@dataclass(frozen=True, slots=True)
class StateCell:
    """The verdict in one state; `here` marks the state of this page."""

    verdict: str
    address: str
    ratio: str
    span: str
    missing: str
    here: bool


@dataclass(frozen=True, slots=True)
class Lack:
    """Something that is not known, and where it is typed."""

    label: str
    address: str


@dataclass(frozen=True, slots=True)
class Unsure:
    """An assumed or estimated input that the verdict rests on."""

    label: str
    how: str
    address: str


@dataclass(frozen=True)
class CellPage:
    """One cell. Everything is ready text; an empty text is left out."""

    title: str
    pack_name: str
    engine_name: str
    pack_address: str
    engine_address: str
    board_address: str
    state: str
    units: tuple[tuple[str, str, bool], ...]
    verdict: str
    says: str
    readouts: tuple[Readout, ...]
    bar: Bar | None
    margins: tuple[MarginRow, ...]
    heavy: str
    checks: tuple[str, ...]
    lacks: tuple[Lack, ...]
    unsure: tuple[Unsure, ...]
    working: Working
    remarks: tuple[str, ...]
    pack_counts: tuple[tuple[str, str], ...]
    engine_counts: tuple[tuple[str, str], ...]
    pack_inputs: tuple[InputRow, ...]
    engine_inputs: tuple[InputRow, ...]
    pack_edit: str
    engine_edit: str
    intervals: tuple[IntervalRow, ...]
    interval_says: tuple[str, ...]
    shares: tuple[ShareRow, ...]
    measure_next: str
    measure_address: str
    states: tuple[tuple[str, tuple[StateCell, ...]], ...]


def cell_page(
    pack: PackEntry, engine: EngineEntry, documents: tuple[Pack, Engine], result: CellResult,
    states: tuple[tuple[StateAnswer, ...], ...], rests_on: tuple[InputLine, ...],
    moving: frozenset[str], heavy_above: float, view: BoardView,
) -> CellPage:
    """The page of one cell.

    Args:
        pack: the pack.
        engine: the engine.
        documents: their records as they are written down.
        result: the whole answer, with drawn intervals.
        states: the verdicts in all states.
        rests_on: assumed and estimated inputs that the verdict rests on.
        moving: paths of the inputs that the ratio depends on.
        heavy_above: ratio without the service factor above which a pack is called heavy.
        view: state and unit.
    """
    ids = pack.public_id, engine.public_id
    told = {c.code: sentence(c.text) for c in result.cautions}
    next_one = result.measure_next
    return CellPage(
        title=f"{pack.name} on {engine.name}",
        pack_name=pack.name,
        engine_name=engine.name,
        pack_address=f"/packs/{ids[0]}",
        engine_address=f"/engines/{ids[1]}",
        board_address=_board_view(view).address(),
        state=state_words(view),
        units=tuple(
            (label, view.but(unit=unit).cell_address(*ids), unit == view.unit)
            for unit, label in UNIT_LABEL.items()
        ),
        verdict=result.verdict,
        says=_says(result, pack.name, engine.name),
        readouts=_readouts(result, view),
        bar=_bar(result.ratio),
        margins=_margins(result),
        heavy=_heavy(result, heavy_above),
        checks=tuple(told[code] for code in OUTRANKING if code in told),
        lacks=tuple(
            Lack(missing_words([path]), edit_address(path, *ids)) for path in result.missing
        ),
        unsure=tuple(
            Unsure(input_label(line.path), line.quantity.how or "", f"#{anchor(line.path)}")
            for line in rests_on
        ),
        working=working(result, view.unit),
        remarks=unplaced(result, (line.path for line in result.inputs)),
        pack_counts=pack_counts(pack.inputs),
        engine_counts=engine_counts(engine.inputs),
        pack_inputs=input_rows(result, "pack", documents[0], moving, ids),
        engine_inputs=input_rows(result, "engine", documents[1], moving, ids),
        pack_edit=edit_address("pack", *ids),
        engine_edit=edit_address("engine", *ids),
        intervals=_intervals(result),
        interval_says=_interval_says(result.drawn)
        + tuple(told[code] for code in INTERVAL_CAUTIONS if code in told),
        shares=share_rows(result),
        measure_next="" if next_one is None else _next_words(next_one, dict(result.shares)),
        measure_address="" if next_one is None else f"#{anchor(next_one.path)}",
        states=_states(states, view, ids),
    )


def _board_view(view: BoardView) -> BoardView:
    return BoardView(view.lubrication, view.friction, view.wear_mm, view.radius, view.speed_rpm,
                     unit=view.unit, heavy_above=view.heavy_above)


def _says(result: CellResult, pack: str, engine: str) -> str:
    if result.ratio is None:
        return "There is no verdict: something needed is not known."
    ratio = fast_ratio(result.ratio.value)
    text = f"{pack} carries {ratio} times the torque that {engine} asks"
    return {
        "holds": f"{text}, and the margin covers the doubt.",
        "tight": f"{text}, but the doubt reaches below 1.",
        "slips": f"{text}: less than it asks.",
    }[result.verdict]


def _readouts(result: CellResult, view: BoardView) -> tuple[Readout, ...]:
    def torque(label: str, figure: Reading | None) -> Readout:
        if figure is None:
            return Readout(label, NOT_KNOWN)
        return Readout(label, torque_number(figure.value, view.unit), UNIT_LABEL[view.unit],
                       torque_span(figure, view.unit), _other_unit(figure, view))

    ratio = result.ratio
    return (
        Readout("Ratio, with its 95 % interval", NOT_KNOWN if ratio is None
                else fast_ratio(ratio.value), "", "" if ratio is None else ratio_span(ratio)),
        torque("Available", result.capacity),
        torque("Required", result.required),
        Readout("Chance of falling short", probability_text(result.p_slip), "",
                "of what is required, factor included"),
    )


def _other_unit(figure: Reading, view: BoardView) -> str:
    """The stored unit, where another is shown."""
    return "" if view.unit == "nm" else torque_text(figure.value, "nm")


def _bar(ratio: Reading | None) -> Bar | None:
    if ratio is None:
        return None
    full = max(ratio.high, 1.0) * 1.08

    def at(value: float) -> float:
        return round(100.0 * value / full, 2)

    return Bar(at(ratio.low), at(ratio.value), at(ratio.high), at(1.0),
               f"Ratio {fast_ratio(ratio.value)}, interval {ratio_span(ratio)}, limit 1")


def _margins(result: CellResult) -> tuple[MarginRow, ...]:
    rows = []
    for label, figure in (("With the service factor", result.ratio),
                          ("Without it", result.ratio_without_factor)):
        if figure is not None:
            rows.append(MarginRow(
                label, fast_ratio(figure.value), ratio_span(figure), margin_text(figure.value),
                span_text(margin_text(figure.low), margin_text(figure.high)),
            ))
    return tuple(rows)


def _heavy(result: CellResult, heavy_above: float) -> str:
    without = result.ratio_without_factor
    if not result.heavy or without is None:
        return ""
    return (f"Heavy: without the service factor the ratio is {fast_ratio(without.value)}, above "
            f"the limit of {number_text(heavy_above)}. More effort at the lever and a harsher "
            "take-up than the engine needs, and no slip to protect the gears.")


def _intervals(result: CellResult) -> tuple[IntervalRow, ...]:
    rows = []
    if result.ratio is not None:
        r = result.ratio
        rows.append(IntervalRow("Worked out (used for the verdict)", fast_ratio(r.low),
                                fast_ratio(r.value), fast_ratio(r.high),
                                probability_text(result.p_slip)))
    if result.drawn is not None and result.drawn.ratio is not None:
        d = result.drawn.ratio
        rows.append(IntervalRow(f"Drawn {number_text(float(result.drawn.draws))} times",
                                fast_ratio(d.low), f"{fast_ratio(d.mean)} (mean)",
                                fast_ratio(d.high), probability_text(result.drawn.p_slip)))
    return tuple(rows)


def _interval_says(drawn: Drawn | None) -> tuple[str, ...]:
    if drawn is None or drawn.ratio is None:
        return ()
    seed = f"The draws start from the seed {drawn.seed}, so the same inputs give the same draws."
    if drawn.agrees:
        return ("Both ends agree within a tenth of the half-width.", seed)
    return (seed,)


def _next_words(line: InputLine, shares: dict[str, float]) -> str:
    how = HOW_WORDS.get(line.quantity.how or "", "not said how known").lower()
    share = percent(shares.get(line.path, 0.0))
    return f"{input_label(line.path)}: {how}, and {share} of the doubt"


def _states(
    states: tuple[tuple[StateAnswer, ...], ...], view: BoardView, ids: tuple[str, str]
) -> tuple[tuple[str, tuple[StateCell, ...]], ...]:
    rows = []
    for answers in states:
        first = answers[0].state
        cells = []
        for answer in answers:
            s, r = answer.state, answer.ratio
            there = view.but(lubrication=s.lubrication, friction=s.friction, wear_mm=s.wear_mm)
            cells.append(StateCell(
                answer.verdict, there.cell_address(*ids),
                "" if r is None else fast_ratio(r.value), "" if r is None else ratio_span(r),
                missing_words(answer.missing), s == view.state,
            ))
        rows.append((FRICTION_WORDS[first.lubrication, first.friction], tuple(cells)))
    return tuple(rows)
