from app.documents import Facing, Offer
from app.records.source_rows import (
    facing_document,
    facing_friction_values,
    facing_values,
    offer_document,
    offer_values,
)


def test_a_facing_comes_back_from_its_rows() -> None:
    rows = [
        {"lubrication": "dry", "kind": "both", "low": 0.2, "nominal": 0.3, "high": 0.4},
        {"lubrication": "oiled", "kind": "static", "nominal": 0.1, "source": "s", "note": "n"},
    ]
    document = Facing.model_validate({"name": "paper", "notes": "x", "values": rows})
    assert facing_document(facing_values(document), facing_friction_values(document)) == document


def test_an_offer_comes_back_from_its_row() -> None:
    document = Offer.model_validate(
        {
            "name": "All engines",
            "pack": "abc",
            "seller": "Fen Market",
            "claim": "holds anything",
            "claimed_cc_low": 50,
            "claimed_cc_high": 650,
            "price": 39.9,
            "currency": "EUR",
            "link": "https://fen.example/1",
            "date": "2026-11-20",
        }
    )
    values = offer_values(document, 3)
    assert values["pack_id"] == 3
    assert "fen market" in values["search_text"]
    assert offer_document(values, "abc") == document
