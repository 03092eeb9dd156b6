"""Which packs a view finds, in which order, from how many queries."""

import threading
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
import sqlalchemy as sa
from sqlalchemy import event

from app.comparison.board import Board
from app.comparison.board_view import BoardView, Order
from app.comparison.cell import evaluate
from app.comparison.verdict import VERDICTS
from app.errors import BadInput
from app.records.database import make_engine, read_session, writing
from app.services import comparing
from app.services.catalogue import engines, packs
from app.services.seeding import load_demo
from app.services.standing import standing
from app.services.team_settings import held, set_limits
from tests.factories import make_engine_document, make_pack


@pytest.fixture
def shop(sqlite_url: str) -> Iterator[sa.Engine]:
    """A database with the made-up shop in it."""
    engine = make_engine(sqlite_url)
    with writing(engine) as session:
        load_demo(session)
    yield engine
    engine.dispose()


def board(engine: sa.Engine, view: BoardView | None = None) -> Board:
    with read_session(engine) as session:
        return comparing.board(session, view or BoardView())


def names(found: Board) -> list[str]:
    return [pack.name for pack in found.packs]


def test_packs_come_by_name_and_every_engine_is_found(shop: sa.Engine) -> None:
    found = board(shop)
    assert names(found) == sorted(names(found), key=str.casefold)
    assert found.found == found.all_packs == len(found.packs)
    assert found.cells.figures.ratio.shape == (len(found.packs), len(found.engines))
    assert names(board(shop, BoardView(order=Order(falling=True)))) == names(found)[::-1]


def test_the_margin_orders_them_and_what_is_not_known_comes_last(shop: sa.Engine) -> None:
    first = board(shop).engines[0].public_id
    for falling in (True, False):
        found = board(shop, BoardView(order=Order("margin", first, falling)))
        ratios = found.cells.figures.ratio[:, 0]
        known = ratios[~np.isnan(ratios)]
        assert 5 < known.size < ratios.size
        assert np.isnan(ratios[known.size :]).all()
        assert (np.diff(known) <= 0).all() if falling else (np.diff(known) >= 0).all()


def test_capacity_orders_them(shop: sa.Engine) -> None:
    found = board(shop, BoardView(order=Order("capacity", None, True)))
    carried = found.cells.available.value[:, 0]
    known = carried[~np.isnan(carried)]
    assert (np.diff(known) <= 0).all()


def test_one_engine_asked_for_orders_by_its_margin(shop: sa.Engine) -> None:
    engine = board(shop).engines[3]
    found = board(shop, BoardView(engines=(engine.public_id,)))
    assert found.order == Order("margin", engine.public_id, True)
    assert [e.name for e in found.engines] == [engine.name]
    assert found.view.order is None


def test_filters_keep_what_they_say(shop: sa.Engine) -> None:
    every = board(shop)
    assert names(board(shop, BoardView(q="  ALDER 3 "))) == ["Alder 3", "Alder 3 automatic"]
    geared = board(shop, BoardView(mounting="geared"))
    assert {p.inputs.mounting for p in geared.packs} == {"geared"}
    assert 0 < geared.found < every.found
    two = (every.packs[4].public_id, every.packs[1].public_id)
    assert {p.public_id for p in board(shop, BoardView(packs=two)).packs} == set(two)
    assert board(shop, BoardView(q="no such pack")).found == 0


def test_a_filter_keeps_the_same_packs_a_few_at_a_time(
    shop: sa.Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    at_once = board(shop, BoardView(verdicts=("holds", "tight")))
    monkeypatch.setattr(comparing, "FILTERED_AT_ONCE", 20)
    few = board(shop, BoardView(verdicts=("holds", "tight"), mounting="geared"))
    geared = [p for p in at_once.packs if p.inputs.mounting == "geared"]
    assert [p.name for p in few.packs] == [p.name for p in geared]
    assert len(geared) > 1


@pytest.mark.parametrize("verdict", ["holds", "tight", "slips", "unknown"])
def test_a_verdict_keeps_packs_that_have_it(shop: sa.Engine, verdict: Any) -> None:
    every = board(shop)
    code = VERDICTS.index(verdict)
    has = {
        every.packs[i].name
        for i in np.flatnonzero((every.cells.figures.verdict == code).any(axis=1))
    }
    found = board(shop, BoardView(verdicts=(verdict,)))
    assert set(names(found)) == has
    assert has


def test_pages_part_the_packs_and_one_beyond_the_last_gives_the_last(shop: sa.Engine) -> None:
    every = names(board(shop))
    parts = [names(board(shop, BoardView(per=5, page=n))) for n in range(1, 6)]
    assert [name for part in parts for name in part] == every
    beyond = board(shop, BoardView(per=5, page=9))
    assert names(beyond) == parts[-1]
    assert beyond.first == 20


def test_a_page_shows_twelve_engines_unless_they_are_named(shop: sa.Engine) -> None:
    with writing(shop) as session:
        for n in range(6):
            engines.add(session, make_engine_document(f"Zeta {n}"), by="Ann")
    found = board(shop)
    assert (len(found.engines), found.engines_found) == (12, 15)
    asked = tuple(e.public_id for e in found.all_engines)
    assert len(board(shop, BoardView(engines=asked)).engines) == 15
    with read_session(shop) as session:
        assert len(comparing.whole_board(session, BoardView()).engines) == 15


@pytest.mark.parametrize(
    "view",
    [
        BoardView(packs=("gone",)),
        BoardView(engines=("gone",)),
        BoardView(order=Order("margin", "gone")),
    ],
)
def test_a_record_that_is_not_in_use_is_named(shop: sa.Engine, view: BoardView) -> None:
    with pytest.raises(BadInput, match="gone"):
        board(shop, view)


def test_a_chart_draws_one_engine_or_one_pack(shop: sa.Engine) -> None:
    with read_session(shop) as session:
        found = comparing.board(session, BoardView())
        assert comparing.charted(session, found) is None
        engine, pack = found.engines[2], found.packs[3]
        of_engine = comparing.board(session, BoardView(chart=("engine", engine.public_id)))
        drawn = comparing.charted(session, of_engine)
        assert drawn is not None
        assert (len(drawn.packs), drawn.engines) == (len(found.packs), (engine,))
        np.testing.assert_array_equal(
            drawn.cells.figures.ratio[:, 0], found.cells.figures.ratio[:, 2]
        )
        of_pack = comparing.board(session, BoardView(chart=("pack", pack.public_id)))
        drawn = comparing.charted(session, of_pack)
        assert drawn is not None
        assert drawn.packs == (pack,)
        lost = comparing.board(session, BoardView(chart=("pack", "gone")))
        with pytest.raises(BadInput, match="gone"):
            comparing.charted(session, lost)


def test_the_whole_board_is_worked_out_in_blocks_with_the_same_bits(shop: sa.Engine) -> None:
    with read_session(shop) as session:
        page = comparing.board(session, BoardView())
        whole = comparing.whole_board(session, BoardView())
    assert whole.cells.figures.ratio.size == 0
    parts = [comparing.cells_of(whole, i, i + 3).figures.ratio for i in range(0, 21, 3)]
    np.testing.assert_array_equal(np.concatenate(parts), page.cells.figures.ratio)


def test_figures_are_those_of_evaluate(shop: sa.Engine) -> None:
    found = board(shop, BoardView(wear_mm=None))
    state = found.view.state
    one = evaluate(found.packs[2].inputs, found.engines[1].inputs, state)
    assert one.ratio is not None
    assert one.ratio.value == found.cells.figures.ratio[2, 1]


def test_a_change_by_another_process_is_seen_at_once(shop: sa.Engine, sqlite_url: str) -> None:
    before = board(shop)
    elsewhere = make_engine(sqlite_url)
    with writing(elsewhere) as session:
        packs.add(session, make_pack("Aaron 4"), by="Ann")
    assert names(board(shop))[0] == "Aaron 4"
    with writing(elsewhere) as session:
        stored = next(p for p in packs.page(session).records if p.name == "Aaron 4")
        packs.put_aside(session, stored.id, stored.version, by="Ann")
    assert names(board(shop)) == names(before)
    elsewhere.dispose()


def test_the_team_s_limit_of_heavy_is_used_unless_the_view_has_its_own(shop: sa.Engine) -> None:
    assert board(shop).heavy_above == 3.0
    with writing(shop) as session:
        set_limits(session, {"heavy": 2.5}, version=held(session, "limits").version, by="Ann")
    assert board(shop).heavy_above == 2.5
    assert board(shop, BoardView(heavy_above=4.0)).heavy_above == 4.0


def test_two_databases_in_one_process_are_kept_apart(shop: sa.Engine, tmp_path: Any) -> None:
    held_here = board(shop)
    other = make_engine(f"sqlite:///{tmp_path / 'gripledger.db'}")
    assert names(board(other)) == names(held_here)  # the same file through another pool
    with read_session(shop) as here, read_session(other) as there:
        assert standing(here) is not standing(there)
        assert standing(here) is standing(here)
    other.dispose()


def test_the_number_of_queries_does_not_grow_with_the_records(shop: sa.Engine) -> None:
    asked: list[str] = []

    @event.listens_for(shop, "before_cursor_execute")
    def note(_c: Any, _k: Any, statement: str, *_more: Any) -> None:
        if statement != "BEGIN":
            asked.append(statement)

    def counted() -> tuple[int, int]:
        counts = []
        for _ in range(2):
            asked.clear()
            board(shop, BoardView(order=Order("capacity"), verdicts=("holds",)))
            counts.append(len(asked))
        return counts[0], counts[1]

    few = counted()
    with writing(shop) as session:
        for n in range(20):
            packs.add(session, make_pack(f"Many {n}"), by="Ann")
    assert counted() == few
    assert few[1] == 1


def test_many_threads_may_ask_at_once(shop: sa.Engine) -> None:
    results: list[list[str]] = []
    threads = [
        threading.Thread(target=lambda: results.append(names(board(shop)))) for _ in range(8)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(results) == 8
    assert all(found == results[0] for found in results)
