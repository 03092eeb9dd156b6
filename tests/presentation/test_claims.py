import pytest

from app.comparison.board import EngineEntry, PackEntry
from app.documents import Offer
from app.presentation.claims import (
    cheaper_packs,
    cheaper_says,
    claim_of,
    claimed_engines,
    offer_facts,
    other_money,
    usual_engine,
)
from tests.factories import make_engine_document, make_pack


def pack(key: str, plates: int) -> PackEntry:
    return PackEntry(key, 1, key.upper(), make_pack(friction_plates=plates).to_inputs())


def engine(key: str, cc: float | None, torque: float = 5.0) -> EngineEntry:
    document = make_engine_document(
        displacement_cc=cc, torque={"kind": "measured", "torque_nm": torque}
    )
    return EngineEntry(key, 1, key.upper(), document.to_inputs())


def offer(**more: object) -> Offer:
    return Offer.model_validate({"name": "O", "pack": "p", "price": 50, "currency": "EUR"} | more)


ENGINES = [engine("a", 50), engine("b", 125), engine("c", 126), engine("d", None)]
STRONG = pack("p", 60)


def test_engines_within_the_claim_count_its_ends_in() -> None:
    found = claimed_engines(offer(claimed_cc_low=50, claimed_cc_high=125), ENGINES)
    assert [e.public_id for e in found] == ["a", "b"]
    assert [e.public_id for e in claimed_engines(offer(claimed_cc_low=126), ENGINES)] == ["c"]
    assert claimed_engines(offer(), ENGINES) == []


@pytest.mark.parametrize(
    ("plates", "torque", "words"),
    [
        (60, 5.0, "The claim holds by torque for our 2 engines of up to 125 cc."),
        (1, 50.0, "The claim does not hold for our 2 engines of up to 125 cc: it slips on 2."),
    ],
)
def test_a_claim_is_held_against_every_engine_of_it(
    plates: int, torque: float, words: str
) -> None:
    ours = [engine("a", 50, torque), engine("b", 125, torque), engine("c", 300, torque)]
    claim = claim_of(offer(claimed_cc_high=125), pack("p", plates), ours)
    assert claim.says.replace("\u00a0", " ") == words
    assert {line.href for line in claim.lines} == {"/cell/p/a", "/cell/p/b"}


def test_a_claim_that_some_engines_slip_on_counts_them() -> None:
    ours = [engine("a", 50, 1.0), engine("b", 125, 500.0)]
    claim = claim_of(offer(claimed_cc_high=125), STRONG, ours)
    assert "it holds 1, it slips on 1" in claim.says
    unknown = make_engine_document(displacement_cc=100, torque=None)
    ours = [EngineEntry("x", 1, "X", unknown.to_inputs())]
    says = claim_of(offer(claimed_cc_high=125), STRONG, ours).says
    assert says.startswith("The claim is not settled for our one engine")


@pytest.mark.parametrize(
    ("made", "entry", "words"),
    [
        ({}, STRONG, "claims no displacement"),
        ({"claimed_cc_high": 125}, None, "not recorded"),
        ({"claimed_cc_low": 500}, STRONG, "None of our engines"),
    ],
)
def test_what_cannot_be_held_is_said(
    made: dict[str, float], entry: PackEntry | None, words: str
) -> None:
    assert words in claim_of(offer(**made), entry, ENGINES).says


def test_the_largest_claimed_engine_is_looked_at_first() -> None:
    assert usual_engine(offer(claimed_cc_high=125), ENGINES) == "b"
    assert usual_engine(offer(), ENGINES) == "c"
    assert usual_engine(offer(), []) == ""


def test_packs_that_hold_for_less_come_the_cheapest_first() -> None:
    packs = [STRONG, pack("q", 50), pack("r", 1), pack("s", 40), pack("t", 40)]
    offers = [
        ("1", offer(name="q dear", pack="q", price=49)),
        ("2", offer(name="q cheap", pack="q", price=30)),
        ("3", offer(name="too weak", pack="r", price=1)),
        ("4", offer(name="other money", pack="s", price=1, currency="GBP")),
        ("5", offer(name="t", pack="t", price=20)),
        ("6", offer(name="no pack", pack=None, price=1)),
        ("7", offer(name="dearer", pack="s", price=50)),
        ("8", offer(name="own", pack="p", price=1)),
    ]
    strong = engine("b", 125, 8.0)
    found = cheaper_packs(offer(), strong, packs, offers)
    assert [(c.pack, c.offer, c.saving) for c in found] == [
        ("T", "t", "30.00 EUR"), ("Q", "q cheap", "20.00 EUR"),
    ]  # fmt: skip
    assert {c.verdict for c in found} == {"holds"}
    says = cheaper_says(offer(), "B", found).replace("\u00a0", " ")
    assert says == "T holds B for 20.00 EUR, 30.00 EUR less. 2 packs do."


def test_a_pack_that_fails_a_check_comes_last_and_is_no_answer() -> None:
    wide = make_pack(friction_plates=40, envelope_diameter_mm=900).to_inputs()
    packs = [STRONG, PackEntry("w", 1, "WIDE", wide), pack("q", 50)]
    asked = make_engine_document(
        torque={"kind": "measured", "torque_nm": 8.0}, envelope_diameter_mm=150
    )
    small = EngineEntry("b", 1, "B", asked.to_inputs())
    offers = [("1", offer(name="w", pack="w", price=5)), ("2", offer(name="q", pack="q", price=30))]
    found = cheaper_packs(offer(), small, packs, offers)
    assert [(c.pack, c.failed) for c in found] == [("Q", ""), ("WIDE", "won’t bolt up")]
    says = cheaper_says(offer(), "B", found)
    assert says.startswith("Q holds B")
    assert says.endswith("1 more has the torque but fails a check.")
    assert "No other pack that passes its checks" in cheaper_says(offer(), "B", found[1:])
    claim = claim_of(offer(pack="w", claimed_cc_low=1, claimed_cc_high=500), packs[1], [small])
    assert [line.failed for line in claim.lines] == ["won’t bolt up"]
    assert claim.says.endswith("it fails a check on 1.")


def test_other_money_is_left_out_and_that_is_said() -> None:
    packs = [STRONG, pack("q", 50)]
    offers = [("1", offer(pack="q", price=1, currency="GBP")), ("2", offer(pack="q", price=1)),
              ("3", offer(pack="q", price=1, currency=None)),
              ("4", offer(pack="p", currency="USD"))]
    says = other_money(offer(), packs, offers)
    assert says.startswith("2 offers are left out for asking in other money (GBP, no currency")
    assert other_money(offer(), packs, offers[1:2]) == ""
    assert other_money(offer(price=None), packs, offers) == ""


def test_nothing_cheaper_and_nothing_known_are_told_apart() -> None:
    assert cheaper_packs(offer(price=None), ENGINES[0], [STRONG], []) == ()
    assert "Without a price" in cheaper_says(offer(price=None), "B", ())
    assert "No other pack" in cheaper_says(offer(), "B", ())
    assert "no engine" in cheaper_says(offer(), "", ())


def test_facts_say_what_is_not_said() -> None:
    facts = dict(offer_facts(Offer(name="O")))
    assert set(facts.values()) == {"not said", "none"}
