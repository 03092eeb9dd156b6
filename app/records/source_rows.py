"""Facings and offers between their rows and their documents."""

from collections.abc import Iterable
from typing import Any

from app.documents import Facing, FrictionValue, Offer
from app.records.base import Row, folded
from app.records.pack_rows import search_text

_VALUE = (
    "lubrication",
    "kind",
    "low",
    "high",
    "p_max_low_mpa",
    "p_max_high_mpa",
    "power_w_mm2",
    "source",
    "note",
)
_OFFER = (
    "name",
    "seller",
    "claim",
    "claimed_cc_low",
    "claimed_cc_high",
    "price",
    "currency",
    "link",
    "date",
    "notes",
)


def facing_values(document: Facing) -> dict[str, Any]:
    """The columns of a facing's row; its friction values have rows of their own."""
    return {
        "name": document.name,
        "name_key": folded(document.name),
        "search_text": search_text(document.name, document.notes),
        "notes": document.notes,
    }


def facing_friction_values(document: Facing) -> list[dict[str, Any]]:
    """The columns of a facing's friction values."""
    return [
        {name: getattr(value, name) for name in _VALUE}
        | {"friction": value.nominal, "friction_how": "listed", "position": i, "provenance": {}}
        for i, value in enumerate(document.values)
    ]


def facing_document(row: Row, values: Iterable[Row]) -> Facing:
    """The document that a facing's rows hold."""
    return Facing(
        name=row["name"],
        notes=row["notes"],
        values=[
            FrictionValue.model_validate(
                {name: value[name] for name in _VALUE} | {"nominal": value["friction"]}
            )
            for value in values
        ],
    )


def offer_values(document: Offer, pack_id: int | None) -> dict[str, Any]:
    """The columns of an offer's row."""
    return {name: getattr(document, name) for name in _OFFER} | {
        "name_key": folded(document.name),
        "search_text": search_text(document.name, document.seller, document.claim, document.notes),
        "pack_id": pack_id,
    }


def offer_document(row: Row, pack: str | None) -> Offer:
    """The document that an offer's row holds; `pack` is the public id of its pack."""
    return Offer.model_validate({name: row[name] for name in _OFFER} | {"pack": pack})
