from datetime import UTC, datetime

import pytest

from app.documents import Offer, Pack
from app.errors import BadInput
from app.services.stored import Stored
from app.web.api.record_body import KEPT, page_model, record_model, taken, written

AT = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)
STORED = Stored("abcdefgh23", 4, Offer(name="Set", price=3.5), AT, "Ada", AT, "Ben", None)


def test_a_record_is_its_document_with_what_the_server_keeps() -> None:
    assert written(STORED) == {
        "id": "abcdefgh23",
        "version": 4,
        "created_at": "2026-11-25T09:30:00+00:00",
        "created_by": "Ada",
        "changed_at": "2026-11-25T09:30:00+00:00",
        "changed_by": "Ben",
        "name": "Set",
        "price": 3.5,
    }


def test_what_was_sent_out_may_come_back() -> None:
    standing = written(STORED)
    found = taken(Offer, {**standing, "warnings": [], "price": 4}, standing)
    assert found.document == Offer(name="Set", price=4.0)
    assert found.warnings == []


def test_what_the_server_keeps_is_not_changed_and_that_is_said() -> None:
    sent = {**written(STORED), "id": "zzzzzzzz99", "made": 1}
    found = taken(Offer, sent, written(STORED))
    assert [(w["code"], w["where"]) for w in found.warnings] == [
        ("unknown_field", "made"),
        ("not_changed", "id"),
    ]


@pytest.mark.parametrize("raw", [None, [], "text", 3, True])
def test_anything_but_an_object_is_refused(raw: object) -> None:
    with pytest.raises(BadInput) as refusal:
        taken(Pack, raw)
    assert [problem.field for problem in refusal.value.problems] == [""]


def test_no_document_has_a_field_that_the_server_keeps() -> None:
    for model in (Pack, Offer):
        assert not set(KEPT) & set(model.model_fields)


def test_the_described_forms_are_those_that_are_sent() -> None:
    record = record_model(Offer)
    assert record.__name__ == "OfferRecord"
    assert record.model_validate(written(STORED)).model_dump(mode="json")["price"] == 3.5
    page = page_model(record)
    assert page.__name__ == "OfferPage"
    page.model_validate({"items": [written(STORED)], "next": None})
