"""The worked example: from a pack on the table to an order, every result worked out as shown."""

from dataclasses import dataclass, replace
from functools import cache

from app.comparison.board import EngineEntry, PackEntry
from app.comparison.board_view import BoardView
from app.comparison.cell import CellResult, evaluate
from app.comparison.slip_plan import Link, plan_slip_test
from app.comparison.slip_runs import BenchRun, fit_pack, run_load
from app.documents.doubts import with_defaults
from app.mechanics.inputs import PackInputs, Quantity
from app.mechanics.slip_laws import Estimate
from app.mechanics.slip_readings import SlipReading
from app.presentation import cell_head, example_shop
from app.presentation.cautions import CAUTIONS, Caution
from app.presentation.cell_inputs import ShareRow, share_rows
from app.presentation.cell_working import LABELS, Step, working
from app.presentation.claims import claim_of
from app.presentation.data_sheet import SheetPart
from app.presentation.numbers import NBSP, number_text, with_unit
from app.presentation.pack_sheet import pack_sheet
from app.presentation.plan_page import PlanResult, plan_result
from app.presentation.readouts import STATE, STATE_WORDS
from app.presentation.shortlist_page import price_text
from app.presentation.slip_fit_page import estimate_text, interval_text
from app.presentation.verdict_list import VerdictLine, verdicts_of_pack

SHARES_SHOWN = 4
_FRICTION = (STATE.lubrication, STATE.friction)
_STEPS = ("surfaces", "effective_radius_mm", "clamp_n", "capacity_nm", "clutch_torque_nm",
          "required_nm")


@dataclass(frozen=True)
class CellShown:
    """One cell as the example shows it."""

    verdict: str
    says: str
    readouts: tuple[cell_head.Readout, ...]
    bar: cell_head.Bar | None
    measure_next: str
    shares: tuple[ShareRow, ...]


@dataclass(frozen=True)
class ExamplePage:
    """The example, step by step.

    Attributes:
        sheet: what was typed, with the doubts that were filled in.
        board: the pack against each engine, by the published friction.
        cell: the cell of the engine that the pack is meant for.
        steps: of its working.
        plan: of the slip test.
        readings: of the test, run by run.
        mu: the friction that they give, with its standard uncertainty.
        mu_span: its 95 % interval.
        after: the same cell with that friction.
        board_after: the same board.
        claim: what the offer's claim is worth.
        order: pieces, price of one, what they come to.
    """

    pack: str
    engine: str
    state: str
    sheet: tuple[SheetPart, ...]
    board: tuple[VerdictLine, ...]
    cell: CellShown
    steps: tuple[Step, ...]
    plan: PlanResult
    wrench: str
    readings: tuple[str, ...]
    mu: str
    mu_span: str
    after: CellShown
    board_after: tuple[VerdictLine, ...]
    offer: str
    offer_claim: str
    claim: str
    order: str
    cautions: tuple[Caution, ...]


@cache
def example_page() -> ExamplePage:
    """The example; its figures stand in `example_shop`, nothing on the page is written by hand."""
    pack = example_shop.PACK.to_inputs()
    wanted = example_shop.ENGINES[example_shop.WANTED]
    before = evaluate(pack, wanted.to_inputs(), STATE)
    mu = _fitted(pack)
    tested = _with_friction(pack, mu)
    after = evaluate(tested, wanted.to_inputs(), STATE)
    plan = plan_slip_test(pack, STATE, [_wrench()])
    offer = example_shop.OFFER
    steps = working(before, "nm")
    found = {step.label: step for step in (*steps.pack, *steps.engine)}
    return ExamplePage(
        pack=example_shop.PACK.name,
        engine=wanted.name,
        state=STATE_WORDS,
        sheet=_sheet(),
        board=_board(pack),
        cell=_cell(before, wanted.name),
        steps=tuple(found[LABELS[name]] for name in _STEPS),
        plan=plan_result(plan, "", example_shop.PACK.name, STATE, wants_heat=False),
        wrench=example_shop.WRENCH.name,
        readings=tuple(
            "; ".join(with_unit(number_text(nm), "N·m") for nm in run)
            for run in example_shop.READINGS_NM
        ),
        mu=estimate_text(mu),
        mu_span=interval_text(mu),
        after=_cell(after, wanted.name),
        board_after=_board(tested),
        offer=offer.name,
        offer_claim=offer.claim or "",
        claim=claim_of(offer, PackEntry("", 1, example_shop.PACK.name, tested), _entries()).says,
        order=_order(),
        cautions=tuple(CAUTIONS[key] for key in ("spring", "dust", "slip-test", "wrench")),
    )


def _sheet() -> tuple[SheetPart, ...]:
    """What was typed; what the pack's sheet names as not known yet is left to the record's page."""
    parts = pack_sheet(with_defaults(example_shop.PACK))
    return tuple(replace(part, unknown="") for part in parts if part.lines)


def _entries() -> list[EngineEntry]:
    return [EngineEntry("", 1, engine.name, engine.to_inputs()) for engine in example_shop.ENGINES]


def _board(pack: PackInputs) -> tuple[VerdictLine, ...]:
    engines = [("", engine.name, engine.inputs) for engine in _entries()]
    lines = verdicts_of_pack("", pack, engines)
    order = [engine.name for engine in example_shop.ENGINES]
    return tuple(sorted(lines, key=lambda line: order.index(line.name)))


def _cell(result: CellResult, engine: str) -> CellShown:
    line = result.measure_next
    return CellShown(
        verdict=result.verdict,
        says=cell_head.says(result, example_shop.PACK.name, engine),
        readouts=cell_head.readouts(result, BoardView()),
        bar=cell_head.bar(result.ratio),
        measure_next="" if line is None else cell_head.next_words(line, dict(result.shares)),
        shares=share_rows(result)[:SHARES_SHOWN],
    )


def _wrench() -> Link:
    return Link("gauge", example_shop.WRENCH.name, max_nm=example_shop.WRENCH.range_high_nm)


def _fitted(pack: PackInputs) -> Estimate:
    """The friction that the example's readings give, as a fit of logged runs."""
    wrench = example_shop.WRENCH
    runs = [
        BenchRun(
            key=str(n),
            readings=tuple(SlipReading(nm, nm) for nm in readings),
            springs_fitted=None,
            relative_accuracy=wrench.relative_accuracy,
            resolution_nm=wrench.resolution_nm,
            instrument=wrench.name,
        )
        for n, readings in enumerate(example_shop.READINGS_NM)
    ]
    fit = fit_pack([run_load(pack, STATE, run) for run in runs], (), "auto").fit
    if fit is None or fit.mu_for_comparison is None:
        raise ValueError("the example's readings give a friction coefficient")
    return fit.mu_for_comparison


def _with_friction(pack: PackInputs, mu: Estimate) -> PackInputs:
    figure = Quantity(mu.value, std=mu.std, how="measured")
    return replace(pack, friction={**pack.friction, _FRICTION: figure})


def _order() -> str:
    """What the order comes to.

    >>> _order().replace(NBSP, " ")
    '2 × 64.00 EUR = 128.00 EUR'
    """
    offer, pieces = example_shop.OFFER, example_shop.PIECES
    whole = offer.model_copy(update={"price": pieces * (offer.price or 0.0)})
    return f"{pieces}{NBSP}×{NBSP}{price_text(offer)} = {price_text(whole)}"
