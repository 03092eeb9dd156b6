"""One cell with its records."""

from collections.abc import Iterator

import pytest
import sqlalchemy as sa

from app.comparison.board_view import BoardView
from app.comparison.cell import evaluate
from app.errors import NotFound
from app.mechanics.monte_carlo import USUAL_DRAWS
from app.records.database import make_engine, read_session, writing
from app.services.catalogue import engines, packs
from app.services.cell_working import WorkedCell, worked_cell
from tests.factories import make_engine_document, make_pack


@pytest.fixture
def kept(sqlite_url: str) -> Iterator[tuple[sa.Engine, str, str]]:
    engine = make_engine(sqlite_url)
    with writing(engine) as session:
        pack = packs.add(session, make_pack(), by="Ann").id
        motor = engines.add(session, make_engine_document(), by="Ann").id
    yield engine, pack, motor
    engine.dispose()


def worked(kept: tuple[sa.Engine, str, str], view: BoardView) -> WorkedCell:
    with read_session(kept[0]) as session:
        return worked_cell(session, kept[1], kept[2], view)


def test_the_figures_are_those_of_evaluate(kept: tuple[sa.Engine, str, str]) -> None:
    view = BoardView(heavy_above=0.5)
    found = worked(kept, view)
    alone = evaluate(
        found.pack.inputs, found.engine.inputs, view.state, USUAL_DRAWS, heavy_above=0.5
    )
    assert found.result.ratio == alone.ratio
    assert found.result.drawn is not None
    assert alone.drawn is not None
    assert found.result.drawn.ratio is not None
    assert alone.drawn.ratio is not None
    assert found.result.drawn.ratio.low == alone.drawn.ratio.low
    assert found.result.heavy is alone.heavy is True
    assert "pack.facing_od_mm" in found.moving
    assert "pack.lift_mm" not in found.moving


def test_the_documents_come_with_who_measured(kept: tuple[sa.Engine, str, str]) -> None:
    found = worked(kept, BoardView())
    assert found.pack_document.facing_od_mm is not None
    assert found.pack_document.facing_od_mm.by == "Ann"
    assert found.engine_document.name == "Tern 125"


def test_it_is_worked_out_once_for_a_state(kept: tuple[sa.Engine, str, str]) -> None:
    assert worked(kept, BoardView()) is worked(kept, BoardView(unit="lbf_ft"))
    assert worked(kept, BoardView()) is not worked(kept, BoardView(wear_mm=None))


@pytest.mark.parametrize(("place", "noun"), [(1, "pack"), (2, "engine")])
def test_a_record_that_is_not_there_is_named(
    kept: tuple[sa.Engine, str, str], place: int, noun: str
) -> None:
    ids = [kept[0], kept[1], kept[2]]
    ids[place] = "gone"
    with read_session(kept[0]) as session, pytest.raises(NotFound, match=f"no {noun} gone"):
        worked_cell(session, str(ids[1]), str(ids[2]), BoardView())
