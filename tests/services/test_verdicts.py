import pytest
import sqlalchemy as sa

from app.comparison.board_view import BoardView
from app.documents import Facing
from app.errors import NotFound
from app.records.database import read_session, writing
from app.services import comparing, verdicts
from app.services.catalogue import engines, facings, packs
from app.services.seeding import load_demo
from app.services.verdicts import FIGURES, kept_verdict, shown_board, shown_cell
from tests.factories import make_engine_document, make_pack

VALUES = [{"lubrication": "oiled", "kind": "sliding", "low": 0.1, "nominal": 0.11, "high": 0.12}]


def stocked(database: sa.Engine) -> tuple[list[str], str]:
    with writing(database) as session:
        facings.add(session, Facing(name="own paper", values=VALUES), by="a")
        made = [
            make_pack("b", friction=None, facing="own paper"),
            make_pack("a"),
            make_pack("c", clamp=None),
        ]
        ids = packs.add_many(session, made, by="a")
        return ids, engines.add(session, make_engine_document("E"), by="a").id


def test_a_board_is_kept_with_inputs_friction_limits_and_every_figure(
    database: sa.Engine,
) -> None:
    ids, engine = stocked(database)
    with read_session(database) as session:
        shown = shown_board(session, BoardView(wear_mm=None))
        documents = packs.get_many(session, ids)
    key = shown.keep(database, "csv", by="Ann", version="0.1.0")
    with read_session(database) as session:
        kept = kept_verdict(session, key)
    content = kept.content
    assert [p.name for p in kept.packs] == ["a", "b", "c"]
    assert kept.packs[1].was == documents[0].document.written()
    assert content["friction"][1]["source"] is not None
    assert content["friction"][1]["value"] == pytest.approx(0.11)
    assert [len(cell) for row in content["cells"] for cell in row] == [len(FIGURES)] * 3
    assert content["cells"][2][0] == ["unknown", None, None, None, None]
    assert [len(row) for row in content["failed"]] == [len(row) for row in content["cells"]]
    assert (content["heavy_above"], content["app"]) == (3.0, "0.1.0")
    assert kept.today == content["cells"]
    assert not any(record.changed for record in (*kept.packs, *kept.engines))
    assert kept.view == BoardView(wear_mm=None)
    assert kept.engines[0].id == engine


def test_what_the_table_of_facings_says_today_changes_today_only(database: sa.Engine) -> None:
    ids, _ = stocked(database)
    with read_session(database) as session:
        shown = shown_board(session, BoardView(packs=(ids[0],)))
    key = shown.keep(database, "print", by="Ann", version="0.1.0")
    with writing(database) as session:
        (paper,) = (s for s in facings.page(session, size=500).records if s.name == "own paper")
        stronger = [{**VALUES[0], "low": 0.2, "nominal": 0.21, "high": 0.22}]
        facings.change(session, paper.id, 1, Facing(name="own paper", values=stronger), by="a")
    with read_session(database) as session:
        kept = kept_verdict(session, key)
    assert not kept.packs[0].changed
    assert kept.today[0][0][1] > kept.content["cells"][0][0][1]


def test_checks_that_fail_are_kept_beside_the_torque(database: sa.Engine) -> None:
    with writing(database) as session:
        load_demo(session)
    with read_session(database) as session:
        kept = shown_board(session, BoardView()).content["failed"]
        board = comparing.board(session, BoardView())
    shown = {(i, j): tuple(n) for i, row in enumerate(kept) for j, n in enumerate(row) if n}
    assert shown == dict(board.cells.failed)
    assert any("bolts_up" in names for names in shown.values())


def test_a_cell_is_kept_alone(database: sa.Engine) -> None:
    ids, engine = stocked(database)
    with read_session(database) as session:
        shown = shown_cell(session, ids[1], engine, BoardView(lubrication="oiled"))
        assert (shown.kind, shown.title) == ("cell", "a on E")
        assert len(shown.documents) == 2
        with pytest.raises(NotFound):
            shown_cell(session, "x", engine, BoardView())
        with pytest.raises(NotFound):
            kept_verdict(session, "x")


def test_a_large_board_keeps_versions_only(
    database: sa.Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    ids, _ = stocked(database)
    monkeypatch.setattr(verdicts, "MOST_CELLS", 2)
    with read_session(database) as session:
        shown = shown_board(session, BoardView())
    assert shown.large
    assert shown.documents == {}
    key = shown.keep(database, "csv", by="Ann", version="0.1.0")
    with writing(database) as session:
        packs.put_aside(session, ids[2], 1, by="a")
    with read_session(database) as session:
        kept = kept_verdict(session, key)
    assert kept.today is None
    assert [record.changed for record in kept.packs] == [False, False, True]
