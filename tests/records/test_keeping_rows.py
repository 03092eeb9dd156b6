import sqlalchemy as sa

from app.documents import SavedComparison, ShortlistLine
from app.records.database import read_session, writing
from app.records.keeping_rows import (
    TARGETS,
    comparison_document,
    comparison_values,
    key_of,
    line_values,
    names_of,
    open_line,
    public_ids,
)
from app.services.catalogue import engines, packs, shortlist
from tests.factories import make_engine_document, make_pack


def test_a_comparison_is_the_same_from_its_row() -> None:
    document = SavedComparison(
        name="A", packs=["p"], wear="worn", order="-name", notes="n", heavy_above=4
    )
    values = comparison_values(document)
    assert (values["name_key"], values["notes"]) == ("a", "n")
    assert "name" not in values["asked"]
    assert comparison_document(values) == document


def test_a_line_points_by_keys() -> None:
    line = ShortlistLine(name="A", pack="p", quantity=2)
    values = line_values(line, {"pack": 7})
    assert (values["pack_id"], values["engine_id"], values["quantity"]) == (7, None, 2)


def test_what_a_line_points_at_is_found_by_id_and_key(database: sa.Engine) -> None:
    with writing(database) as session:
        pack = packs.add(session, make_pack("One"), by="a")
        engine = engines.add(session, make_engine_document("E"), by="a")
        shortlist.add(session, ShortlistLine(pack=pack.id), by="a")
        shortlist.add(session, ShortlistLine(pack=pack.id, engine=engine.id, done=True), by="a")
    with read_session(database) as session:
        key = key_of(session, TARGETS["pack"], pack.id)
        assert public_ids(session, TARGETS["pack"], [key or 0]) == {key: pack.id}
        assert key_of(session, TARGETS["pack"], "nothing") is None
        assert names_of(session, TARGETS["engine"], [engine.id, "x"]) == {engine.id: "E"}
        assert public_ids(session, TARGETS["pack"], []) == names_of(session, TARGETS["pack"], [])
        assert open_line(session, pack.id, None)["name"] == "One"
        assert open_line(session, pack.id, engine.id) is None
