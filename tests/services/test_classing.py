"""Packs against displacement classes, as the catalogue stands."""

from collections.abc import Iterator

import pytest
import sqlalchemy as sa

from app.comparison.class_board import ClassBoard
from app.documents import Offer
from app.errors import BadInput
from app.mechanics.class_table import displacement_classes
from app.mechanics.tables import bmep_band
from app.records.database import make_engine, read_session, writing
from app.services.catalogue import offers, packs
from app.services.classing import USUAL_KIND, classes, classes_of_pack, read_class_view
from tests.factories import make_pack


@pytest.fixture
def shop(sqlite_url: str) -> Iterator[tuple[sa.Engine, dict[str, str]]]:
    """Two packs, one of them claimed to hold something by two offers."""
    engine = make_engine(sqlite_url)
    with writing(engine) as session:
        ids = {
            "Tern four": packs.add(session, make_pack("Tern four"), by="Ann").id,
            "Crank three": packs.add(
                session, make_pack("Crank three", mounting="crankshaft"), by="Ann").id,
        }
        for name, more in (
            ("Wide claim", {"claimed_cc_low": 50, "claimed_cc_high": 650}),
            ("Silent offer", {}),
        ):
            offer = Offer.model_validate({"name": name, "pack": ids["Tern four"], **more})
            offers.add(session, offer, by="Ann")
    yield engine, ids
    engine.dispose()


def found(shop: tuple[sa.Engine, dict[str, str]], *pairs: tuple[str, str]) -> ClassBoard:
    with read_session(shop[0]) as session:
        return classes(session, read_class_view(pairs))


def test_without_settings_all_packs_meet_all_classes_of_four_stroke_engines(shop) -> None:
    board = found(shop)
    assert {p.entry.name for p in board.packs} == {"Tern four", "Crank three"}
    assert board.band == bmep_band(USUAL_KIND)
    assert len(board.demands["geared"]) == len(displacement_classes())
    assert board.service_factor == 1.0


def test_an_offer_that_claims_nothing_is_no_claim(shop) -> None:
    tern = next(p for p in found(shop).packs if p.entry.name == "Tern four")
    assert [c.made.offer for c in tern.claims] == ["Wide claim"]
    assert (tern.claims[0].made.low_cc, tern.claims[0].made.high_cc) == (50, 650)


@pytest.mark.parametrize(("pairs", "names"), [
    ([("q", "four TERN")], {"Tern four"}),
    ([("mounting", "crankshaft")], {"Crank three"}),
    ([("q", "nothing")], set()),
])
def test_packs_are_searched_as_on_the_board(shop, pairs, names) -> None:
    assert {p.entry.name for p in found(shop, *pairs).packs} == names


def test_packs_asked_for_by_id_stand_alone(shop) -> None:
    board = found(shop, ("pack", shop[1]["Crank three"]))
    assert [p.entry.name for p in board.packs] == ["Crank three"]


def test_packs_are_ordered_by_name_or_capacity(shop) -> None:
    def names(*pairs: tuple[str, str]) -> list[str]:
        return [entry.name for entry in found(shop, *pairs).entries]

    assert names() == ["Crank three", "Tern four"]
    assert names(("order", "-name")) == ["Tern four", "Crank three"]
    with writing(shop[0]) as session:
        packs.add(session, make_pack("Ample", friction_plates=40), by="Ann")
        packs.add(session, make_pack("Bare", clamp=None), by="Ann")
    # What is not known comes last, and packs alike stay in the order of their names.
    assert names(("order", "capacity")) == ["Crank three", "Tern four", "Ample", "Bare"]
    assert names(("order", "-capacity")) == ["Ample", "Crank three", "Tern four", "Bare"]


def test_a_board_is_held_until_the_catalogue_changes_whatever_page_and_unit(shop) -> None:
    held = found(shop)
    assert found(shop, ("page", "2"), ("unit", "lbf_ft"), ("claims", "2")) is held
    assert found(shop, ("wear", "worn")) is not held
    with writing(shop[0]) as session:
        packs.add(session, make_pack("Newcomer"), by="Ann")
    assert len(found(shop).entries) == len(held.entries) + 1


def test_of_many_packs_every_offer_is_read_and_the_claims_are_the_same(shop, monkeypatch) -> None:
    few = found(shop).made
    monkeypatch.setattr("app.services.classing.FEW", 1)
    with writing(shop[0]) as session:
        offers.add(session, Offer.model_validate({"name": "No pack", "claim": "All"}), by="Ann")
    assert [c.offer for c in found(shop).made] == [c.offer for c in few] == ["Wide claim"]


def test_one_pack_is_told_as_on_the_page(shop) -> None:
    key = shop[1]["Tern four"]
    with read_session(shop[0]) as session:
        alone = classes_of_pack(session, key)
    (there,) = found(shop, ("pack", key)).packs
    assert alone == there
    assert alone.claims[0].made.offer_id


def test_a_pack_that_is_not_there_is_refused(shop) -> None:
    with pytest.raises(BadInput, match="There is no pack gone"):
        found(shop, ("pack", "gone"))


def test_the_kind_and_the_factor_change_the_demand(shop) -> None:
    usual, two = found(shop), found(shop, ("kind", "two_stroke"), ("factor", "1,5"))
    band, other = bmep_band("four_stroke"), bmep_band("two_stroke")
    assert two.service_factor == 1.5
    # A two-stroke fires every turn: T = bmep V_d/(2π), twice that of a four-stroke at one bmep.
    ratio = two.demands["crankshaft"][0].high_nm / usual.demands["crankshaft"][0].high_nm
    assert ratio == pytest.approx(2.0 * 1.5 * other.high_kpa / band.high_kpa)


def test_every_refusal_comes_at_once_under_its_own_name() -> None:
    with pytest.raises(BadInput) as refused:
        read_class_view([("kind", "steam"), ("factor", "two"), ("wear", "old"),
                         ("verdict", "holds"), ("claims", "none")])
    assert {p.field for p in refused.value.problems} == {"kind", "factor", "wear", "claims", ""}


def test_there_is_no_margin_to_order_by_without_an_engine() -> None:
    with pytest.raises(BadInput, match="no engine here"):
        read_class_view([("order", "margin:abc")])


@pytest.mark.parametrize("text", ["0", "-1"])
def test_a_factor_must_be_above_nothing(text: str) -> None:
    with pytest.raises(BadInput, match="above 0"):
        read_class_view([("factor", text)])


def test_an_address_names_only_what_is_not_usual() -> None:
    pairs = [("kind", "two_stroke"), ("factor", "1,5"), ("lubrication", "dry"), ("unit", "nm")]
    view = read_class_view(pairs)
    assert view.address == "/classes?lubrication=dry&kind=two_stroke&factor=1.5"
    assert read_class_view([]).address == "/classes"
