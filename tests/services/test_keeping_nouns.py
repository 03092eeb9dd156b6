from dataclasses import fields

import pytest
import sqlalchemy as sa

from app.comparison.board_view import BoardView, Order
from app.documents import SavedComparison, ShortlistLine
from app.errors import BadInput
from app.records.database import writing
from app.services.catalogue import comparisons, engines, packs, shortlist
from app.services.keeping_nouns import document_of, view_of
from tests.factories import make_engine_document, make_pack

FULL = BoardView(
    lubrication="dry",
    friction="static",
    wear_mm=0.3,
    radius="uniform_pressure",
    speed_rpm=4200.5,
    spline_friction=0.12,
    q="six springs",
    mounting="geared",
    packs=("a", "b"),
    engines=("c",),
    verdicts=("holds", "tight"),
    order=Order("margin", "c", True),
    unit="lbf_ft",
    heavy_above=4.25,
    worst=("wear",),
)
NOT_KEPT = {"page", "per", "chart", "came_from"}
"""Where one looks in a view or comes from, and no part of what is compared."""


def test_every_part_of_a_view_is_kept() -> None:
    usual = BoardView()
    changed = {f.name for f in fields(BoardView) if getattr(FULL, f.name) != getattr(usual, f.name)}
    assert changed == {f.name for f in fields(BoardView)} - NOT_KEPT
    assert view_of(document_of("A", FULL)) == FULL
    assert view_of(document_of("A", usual)) == usual
    assert view_of(document_of("A", BoardView(wear_mm=None))).wear_mm is None


def test_an_order_that_is_none_is_refused_under_its_own_name(database: sa.Engine) -> None:
    with pytest.raises(BadInput) as refused, writing(database) as session:
        comparisons.add(session, SavedComparison(name="A", order="colour"), by="a")
    assert [p.field for p in refused.value.problems] == ["order"]
    with pytest.raises(BadInput) as refused, writing(database) as session:
        comparisons.add(session, SavedComparison(name="A", packs=["NOT AN ID"]), by="a")
    assert {p.field for p in refused.value.problems} == {"packs"}


def test_a_line_is_named_by_pack_and_engine_and_renamed_with_them(database: sa.Engine) -> None:
    with writing(database) as session:
        pack = packs.add(session, make_pack("One"), by="a").id
        engine = engines.add(session, make_engine_document("E"), by="a").id
        first = shortlist.add(session, ShortlistLine(pack=pack), by="a")
        second = shortlist.add(session, ShortlistLine(pack=pack), by="a")
        assert (first.name, second.name) == ("One", "One (2)")
        named = first.document.model_copy(update={"name": None, "engine": engine})
        changed = shortlist.change(session, first.id, 1, named, by="a")
        assert changed.name == "One for E"
        same = changed.document.model_copy(update={"name": None, "quantity": 4})
        assert shortlist.change(session, first.id, 2, same, by="a").name == "One for E"
        own = ShortlistLine(name="Spare", pack=pack)
        assert shortlist.add(session, own, by="a").name == "Spare"


def test_a_line_of_what_is_not_there_names_each(database: sa.Engine) -> None:
    line = ShortlistLine(name="A", pack="x", engine="y", offer="z")
    with pytest.raises(BadInput) as refused, writing(database) as session:
        shortlist.add(session, line, by="a")
    assert [p.field for p in refused.value.problems] == ["pack", "engine", "offer"]
