"""The page of one cell: verdict, working, inputs, intervals, what moves it, all states."""

from collections import Counter
from dataclasses import dataclass

from app.comparison.all_states import StateAnswer
from app.comparison.board import EngineEntry, PackEntry
from app.comparison.board_view import BoardView
from app.comparison.cell import CellResult
from app.comparison.inputs_list import InputLine
from app.documents import Engine, Pack
from app.mechanics.friction_source import TESTED
from app.presentation import cell_head as head
from app.presentation.beyond_torque import BeyondView
from app.presentation.board_cells import fit_address
from app.presentation.cell_inputs import (
    InputRow,
    ShareRow,
    engine_counts,
    input_rows,
    pack_counts,
    share_rows,
)
from app.presentation.cell_working import (
    INTERVAL_CAUTIONS,
    Working,
    sentence,
    unplaced,
    working,
)
from app.presentation.columns import missing_words
from app.presentation.input_words import HOW_WORDS, anchor, edit_address, input_label
from app.presentation.numbers import NOT_KNOWN
from app.presentation.torques import (
    UNIT_LABEL,
    fast_ratio,
    ratio_span,
    state_words,
    torque_text,
)

FRICTION_WORDS = {
    ("oiled", "sliding"): "Oiled, sliding",
    ("oiled", "static"): "Oiled, static",
    ("dry", "sliding"): "Dry, sliding",
    ("dry", "static"): "Dry, static",
}


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
    board_words: str
    state: str
    units: tuple[tuple[str, str, bool], ...]
    verdict: str
    says: str
    readouts: tuple[head.Readout, ...]
    bar: head.Bar | None
    margins: tuple[head.MarginRow, ...]
    heavy: str
    other_wear: head.OtherWear | None
    looked_over: str
    stopped: tuple[head.Stopped, ...]
    lacks: tuple[Lack, ...]
    unsure: tuple[Unsure, ...]
    tested: str
    working: Working
    remarks: tuple[str, ...]
    pack_counts: tuple[tuple[str, str], ...]
    engine_counts: tuple[tuple[str, str], ...]
    pack_inputs: tuple[InputRow, ...]
    engine_inputs: tuple[InputRow, ...]
    pack_edit: str
    engine_edit: str
    intervals: tuple[head.IntervalRow, ...]
    interval_says: tuple[str, ...]
    differs: str
    shares: tuple[ShareRow, ...]
    measure_next: str
    measured_already: str
    measure_address: str
    states: tuple[tuple[str, tuple[StateCell, ...]], ...]
    beyond: BeyondView
    working_says: str
    inputs_say: str
    enough: bool


def cell_page(
    pack: PackEntry,
    engine: EngineEntry,
    documents: tuple[Pack, Engine],
    result: CellResult,
    states: tuple[tuple[StateAnswer, ...], ...],
    rests_on: tuple[InputLine, ...],
    moving: frozenset[str],
    heavy_above: float,
    view: BoardView,
    beyond: BeyondView,
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
        beyond: what the torque leaves open.
    """
    ids = pack.public_id, engine.public_id
    back = head.back_link(view, ids[0])
    told = {c.code: sentence(c.text) for c in result.cautions}
    next_one = result.measure_next
    return CellPage(
        title=f"{pack.name} on {engine.name}",
        pack_name=pack.name,
        engine_name=engine.name,
        pack_address=f"/packs/{ids[0]}",
        engine_address=f"/engines/{ids[1]}",
        board_address=back[0],
        board_words=back[1],
        state=state_words(view),
        units=tuple(
            (label, view.but(unit=unit).cell_address(*ids), unit == view.unit)
            for unit, label in UNIT_LABEL.items()
        ),
        verdict=result.verdict,
        says=head.says(result, pack.name, engine.name),
        readouts=tuple(
            item
            for item in head.readouts(result, view)
            if result.ratio is not None or item.text != NOT_KNOWN
        ),
        bar=head.bar(result.ratio),
        margins=head.margins(result),
        heavy=head.heavy(result, heavy_above),
        other_wear=head.other_wear(states, view, ids),
        looked_over=head.looked_over(pack.checked, engine.checked),
        stopped=head.stopped(beyond.failed, told),
        lacks=tuple(
            Lack(missing_words([path]), edit_address(path, *ids)) for path in result.missing
        ),
        unsure=tuple(
            Unsure(input_label(line.path), line.quantity.how or "", f"#{anchor(line.path)}")
            for line in rests_on
        ),
        tested=_tested(pack, view),
        working=working(result, view.unit),
        remarks=unplaced(result, (line.path for line in result.inputs)),
        pack_counts=pack_counts(pack.inputs),
        engine_counts=engine_counts(engine.inputs),
        pack_inputs=input_rows(result, "pack", documents[0], moving, ids),
        engine_inputs=input_rows(result, "engine", documents[1], moving, ids),
        pack_edit=edit_address("pack", *ids),
        engine_edit=edit_address("engine", *ids),
        intervals=head.intervals(result),
        interval_says=head.interval_says(result)
        + tuple(_interval_words(code, told[code]) for code in _TOLD_APART if code in told),
        differs=head.differs(result),
        shares=share_rows(result),
        measure_next="" if next_one is None else head.next_words(next_one, dict(result.shares)),
        measured_already=head.measured_already(result),
        measure_address="" if next_one is None else f"#{anchor(next_one.path)}",
        states=_states(states, view, ids),
        beyond=beyond,
        working_says=_working_says(result, view),
        inputs_say=_inputs_say(result),
        enough=result.verdict == "holds",
    )


def _working_says(result: CellResult, view: BoardView) -> str:
    """What the working leads to, in a line."""
    known = [
        f"{torque_text(figure.value, view.unit)} {word}"
        for figure, word in ((result.capacity, "available"), (result.required, "required"))
        if figure is not None
    ]
    steps = f"{len(result.working)} steps"
    return f"{steps} to {' over '.join(known)}" if known else steps


def _inputs_say(result: CellResult) -> str:
    """How many figures there are, and how they are known."""
    hows = Counter(HOW_WORDS.get(line.quantity.how or "", "Not said") for line in result.inputs)
    told = [f"{number} {word.lower()}" for word, number in hows.most_common()]
    return f"{len(result.inputs)} figures: {', '.join(told)}" if told else "none is known"


_TOLD_APART = tuple(code for code in INTERVAL_CAUTIONS if code != "intervals_differ")


def _interval_words(code: str, text: str) -> str:
    """A remark on the interval in a builder's words."""
    if code == "read_as_log_normal":
        return (
            "A doubt of more than a fifth of its figure is read as lopsided, further up than down, "
            "since it would reach below zero otherwise."
        )
    return text


def _tested(pack: PackEntry, view: BoardView) -> str:
    """Address of the fit, where the friction rests on the team's own slip tests."""
    source = pack.inputs.friction_source.get((view.lubrication, view.friction))
    return fit_address(pack.public_id, view) if source == TESTED else ""


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
            cells.append(
                StateCell(
                    answer.verdict,
                    there.cell_address(*ids),
                    "" if r is None else fast_ratio(r.value),
                    "" if r is None else ratio_span(r),
                    missing_words(answer.missing),
                    s == view.state,
                )
            )
        rows.append((FRICTION_WORDS[first.lubrication, first.friction], tuple(cells)))
    return tuple(rows)
