"""One cell with its records: the whole working, all states, the documents behind its figures."""

from dataclasses import dataclass

from sqlmodel import Session

from app.comparison.all_states import StateAnswer, all_states
from app.comparison.board import EngineEntry, PackEntry, work_out_cells
from app.comparison.board_view import BoardView
from app.comparison.cell import CellResult, evaluate
from app.comparison.inputs_list import InputLine
from app.comparison.rests_on import moving_inputs
from app.documents import Engine, Pack
from app.errors import NotFound
from app.mechanics.friction_source import with_friction
from app.mechanics.monte_carlo import USUAL_DRAWS
from app.services.catalogue import engines, packs
from app.services.standing import standing


@dataclass(frozen=True)
class WorkedCell:
    """Everything that a cell's page tells."""

    pack: PackEntry
    engine: EngineEntry
    pack_document: Pack
    engine_document: Engine
    result: CellResult
    states: tuple[tuple[StateAnswer, ...], ...]
    rests_on: tuple[InputLine, ...]
    moving: frozenset[str]
    heavy_above: float


def worked_cell(session: Session, pack_id: str, engine_id: str, view: BoardView) -> WorkedCell:
    """One pack against one engine in a view's state, with drawn intervals.

    Raises:
        NotFound: there is no such pack or engine in use.
    """
    now = standing(session)
    pack, engine = now.pack_by_id.get(pack_id), now.engine_by_id.get(engine_id)
    if pack is None:
        raise NotFound("pack", pack_id)
    if engine is None:
        raise NotFound("engine", engine_id)
    heavy = now.heavy_above if view.heavy_above is None else view.heavy_above
    asked = (pack_id, engine_id, view.state, heavy)
    kept = now.worked.get(asked)
    if isinstance(kept, WorkedCell):
        return kept
    state = view.state
    known = with_friction(pack.inputs, state.lubrication, state.friction)
    worked = WorkedCell(
        pack=pack,
        engine=engine,
        pack_document=packs.get(session, pack_id).document,
        engine_document=engines.get(session, engine_id).document,
        result=evaluate(pack.inputs, engine.inputs, state, USUAL_DRAWS, heavy_above=heavy),
        states=all_states(pack.inputs, engine.inputs, state),
        rests_on=work_out_cells([pack.inputs], [engine.inputs], state).rests_on.get((0, 0), ()),
        moving=moving_inputs(known, engine.inputs, state),
        heavy_above=heavy,
    )
    now.worked.put(asked, worked)
    return worked
