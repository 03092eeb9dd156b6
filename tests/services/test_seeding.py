"""What a catalogue is filled with: the published facings, and the made-up shop."""

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
import sqlalchemy as sa

from app.errors import BadInput
from app.records.database import WriteSession, make_engine, writing
from app.records.listing import Search
from app.services.catalogue import (
    comparisons,
    engines,
    facings,
    offers,
    packs,
    shortlist,
    slip_tests,
)
from app.services.seeding import DEMO_FOLDER, load_demo, missing_facings, published_facings, seed
from app.services.slip_fitting import fit_of_pack, fitted_mu


@pytest.fixture
def session(sqlite_url: str) -> Iterator[WriteSession]:
    engine: sa.Engine = make_engine(sqlite_url)
    with writing(engine) as found:
        yield found
    engine.dispose()


def test_the_published_facings_come_with_their_sources() -> None:
    found = {facing.name: facing for facing in published_facings()}
    assert "moulded" in found
    assert all(value.source for facing in found.values() for value in facing.values)
    assert all("_" not in name for name in found)


def test_the_table_is_put_in_once(session: WriteSession) -> None:
    # The database of the tests is prepared as every new one is.
    assert missing_facings(session) == []
    before = facings.page(session).total
    assert before == len(published_facings())
    assert seed(session) == 0
    assert facings.page(session).total == before


def test_a_facing_put_aside_stays_aside(session: WriteSession) -> None:
    cork = facings.page(session, Search(text="cork")).records[0]
    facings.put_aside(session, cork.id, cork.version, by="Ada")
    assert seed(session) == 0
    assert facings.page(session, Search(text=cork.name)).total == 0


def test_the_shop_is_loaded_through_the_catalogue(session: WriteSession) -> None:
    loaded = load_demo(session)
    assert (loaded.packs, loaded.engines, loaded.offers, loaded.slip_tests) == (
        packs.page(session).total,
        engines.page(session).total,
        offers.page(session).total,
        slip_tests.page(session).total,
    )
    assert loaded.slip_tests > 10
    names = {pack.id: pack.name for pack in packs.page(session, size=200).records}
    for test in slip_tests.page(session, size=200).records:
        assert names[test.document.pack or ""] in test.name
        assert test.document.instrument is not None
    written = {o["name"]: o["pack"] for o in json.loads((DEMO_FOLDER / "offers.json").read_text())}
    for offer in offers.page(session, size=200).records:
        assert offer.document.pack is not None
        assert packs.get(session, offer.document.pack).name == written[offer.name]


def test_the_shop_keeps_a_comparison_and_a_shortlist_that_point_at_its_records(
    session: WriteSession,
) -> None:
    loaded = load_demo(session)
    assert (loaded.comparisons, loaded.shortlist) == (
        comparisons.page(session).total, shortlist.page(session).total) == (1, 3)
    (board,) = (record.document for record in comparisons.page(session).records)
    written = json.loads((DEMO_FOLDER / "comparisons.json").read_text())[0]
    assert [packs.get(session, key).name for key in board.packs] == written["packs"]
    assert [engines.get(session, key).name for key in board.engines] == written["engines"]
    for line in (record.document for record in shortlist.page(session).records):
        assert line.why
        offer = offers.get(session, line.offer or "").document
        assert offer.pack == line.pack
        assert engines.get(session, line.engine or "").name in (engine.name for engine in
                                                                engines.page(session).records)
    assert {line.document.done for line in shortlist.page(session).records} == {True, False}


def test_an_offer_of_a_pack_that_is_not_there_is_refused(
    session: WriteSession, tmp_path: Path
) -> None:
    for name, content in (
        ("packs", "[]"),
        ("engines", "[]"),
        ("offers", '[{"name": "A", "pack": "Nobody"}]'),
    ):
        (tmp_path / f"{name}.json").write_text(content)
    with pytest.raises(BadInput, match="no pack"):
        load_demo(session, tmp_path)


def test_the_friction_that_a_pack_says_is_fitted_is_what_its_slip_tests_give(
    session: WriteSession,
) -> None:
    load_demo(session)
    reed = next(p for p in packs.page(session, size=200).records if p.name == "Reed 8")
    fitted = fit_of_pack(session, reed.id, ("oiled", "sliding"), "auto", ())
    mu, kept = fitted_mu(fitted), reed.document.own_friction()[("oiled", "sliding")]
    assert mu is not None
    # As written, to four places.
    assert (kept.value, kept.std) == (round(mu.value, 4), round(mu.std or 0.0, 4))
    assert kept.with_what == f"fitted to {sum(fitted.fit.taken)} slip tests on {kept.at}"
