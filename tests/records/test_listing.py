import base64
import json
from collections.abc import Iterator
from typing import Any

import pytest
import sqlalchemy as sa
from sqlmodel import Session

from app.errors import BadInput
from app.records.base import folded, now
from app.records.database import read_session, writing
from app.records.engines import Engine
from app.records.listing import (
    ORDERS,
    Search,
    active_name_taken,
    all_rows,
    by_cursor,
    by_number,
    names_by_public_id,
    rows_by_public_id,
    total,
)

NAMES = ["Tern 50", "tern 125", "Ångström", "Zeta", "_odd", "100 % dry", "Éclair", "plain"]


@pytest.fixture
def session(database: sa.Engine) -> Iterator[Session]:
    with writing(database) as writer:
        for i, name in enumerate(NAMES):
            writer.add(
                Engine(
                    name=name,
                    name_key=folded(name),
                    search_text=folded(name),
                    created_by="a",
                    changed_by="a",
                    strokes=2 if i % 2 else 4,
                    put_aside_at=now() if name == "plain" else None,
                )
            )
    with read_session(database) as reader:
        yield reader


def names(rows: Any) -> list[str]:
    return [row["name"] for row in rows]


def walked(session: Session, search: Search, limit: int) -> list[str]:
    found: list[str] = []
    cursor = None
    while True:
        part = by_cursor(session, Engine, search, cursor, limit)
        found += names(part.rows)
        cursor = part.next_cursor
        if cursor is None:
            return found


def test_names_come_in_one_order_on_every_database(session: Session) -> None:
    expected = sorted((n for n in NAMES if n != "plain"), key=folded)
    assert names(all_rows(session, Engine, Search())) == expected


@pytest.mark.parametrize("order", ORDERS)
@pytest.mark.parametrize("limit", [1, 2, 3, 7, 100])
def test_walking_by_cursor_meets_every_record_once(
    session: Session, order: str, limit: int
) -> None:
    search = Search(order=order)
    assert walked(session, search, limit) == names(all_rows(session, Engine, search))


def test_numbered_pages_make_up_the_whole(session: Session) -> None:
    search = Search(order="-name")
    rows = [row for page in (1, 2, 3) for row in by_number(session, Engine, search, page, 3)]
    assert names(rows) == names(all_rows(session, Engine, search))
    assert total(session, Engine, search) == 7


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("TERN", ["tern 125", "Tern 50"]),
        ("125 tern", ["tern 125"]),
        ("%", ["100 % dry"]),
        ("_", ["_odd"]),
        ("ÉCL", ["Éclair"]),
        ("tern 126", []),
        ("plain", []),
    ],
)
def test_every_word_must_occur_and_signs_mean_themselves(
    session: Session, text: str, found: list[str]
) -> None:
    assert names(all_rows(session, Engine, Search(text=text))) == found


def test_filters_take_one_value_or_several(session: Session) -> None:
    two = Search(filters={"strokes": 2, "cylinders": None})
    assert names(all_rows(session, Engine, two)) == ["100 % dry", "tern 125", "Zeta"]
    assert total(session, Engine, Search(filters={"strokes": [2, 4]})) == 7


def test_what_was_put_aside_is_listed_apart(session: Session) -> None:
    assert names(all_rows(session, Engine, Search(put_aside=True))) == ["plain"]
    assert not active_name_taken(session, Engine, "Plain")
    assert active_name_taken(session, Engine, " TERN  50 ")


@pytest.mark.parametrize(
    "cursor",
    [
        "x",
        "é",
        "",
        base64.urlsafe_b64encode(b"[]").decode(),
        base64.urlsafe_b64encode(b"3").decode(),
        base64.urlsafe_b64encode(json.dumps(["-name", "a", 1]).encode()).decode(),
        base64.urlsafe_b64encode(json.dumps(["name", 3, 1]).encode()).decode(),
        base64.urlsafe_b64encode(json.dumps(["name", "a", "b"]).encode()).decode(),
    ],
)
def test_a_cursor_of_somebody_s_own_making_is_refused(session: Session, cursor: str) -> None:
    with pytest.raises(BadInput) as caught:
        by_cursor(session, Engine, Search(), cursor, 5)
    assert [problem.field for problem in caught.value.problems] == ["cursor"]


def test_an_order_that_is_not_there_is_refused(session: Session) -> None:
    with pytest.raises(BadInput, match="name, -name"):
        all_rows(session, Engine, Search(order="colour"))


def test_rows_are_found_by_public_id(session: Session) -> None:
    row = all_rows(session, Engine, Search())[0]
    assert list(rows_by_public_id(session, Engine, [row["public_id"], "nobody"])) == [
        row["public_id"]
    ]


def test_names_are_found_by_id_with_whether_they_are_put_aside(session: Session) -> None:
    ids = {row["name"]: row["public_id"] for row in all_rows(session, Engine, Search())}
    (aside,) = all_rows(session, Engine, Search(put_aside=True))
    found = names_by_public_id(session, Engine, [ids["Zeta"], aside["public_id"], "nothing"])
    assert found == {ids["Zeta"]: ("Zeta", False), aside["public_id"]: ("plain", True)}
