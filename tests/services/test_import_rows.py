from typing import Any

import pytest
import sqlalchemy as sa

from app.documents import Facing, Pack
from app.documents.flat_headings import read_headings
from app.records.database import read_session, writing
from app.services.catalogue import facings, packs
from app.services.import_rows import RowFound, RowReader
from app.services.stored import Stored
from tests.factories import make_pack

HEADINGS = ["id", "version", "name", "friction_plates", "facing", "lift_mm", "lift_mm_how"]


@pytest.fixture
def standing(database: sa.Engine) -> Stored[Any]:
    with writing(database) as session:
        facings.add(session, Facing(name="own paper"), by="Ann")
        document = make_pack("Six", facing="own paper", friction_plates=6)
        return packs.add(session, document, by="Ann")


def found(database: sa.Engine, *lines: str) -> list[RowFound]:
    reader = RowReader(packs, read_headings(Pack, HEADINGS).columns)
    rows = [dict(zip(HEADINGS, line.split(","), strict=True)) for line in lines]
    with read_session(database) as session:
        return reader.read(session, list(enumerate(rows, start=2)))


def test_rows_are_new_changed_unchanged_or_bad(
    database: sa.Engine, standing: Stored[Any]
) -> None:
    rows = found(
        database,
        ",,Fresh,4,,,",
        f"{standing.id},1,Six,7,own paper,1.2,",
        ",,Bad,x,,,",
    )
    assert [(r.number, r.status, r.record, r.version) for r in rows] == [
        (2, "new", None, None), (3, "changed", standing.id, 1), (4, "bad", None, None),
    ]  # fmt: skip
    assert rows[1].document["friction_plates"] == 7
    (same,) = found(database, f"{standing.id},1,Six,6,OWN  PAPER,1.2,")
    assert same.status == "unchanged"


def test_the_usual_doubt_counts_when_rows_are_compared(
    database: sa.Engine, standing: Stored[Any]
) -> None:
    (row,) = found(database, f"{standing.id},1,Six,6,own paper,1.2,listed")
    assert row.status == "changed"
    assert row.document["lift_mm"]["default_doubt"] is True


def test_a_name_that_another_record_has_is_bad_and_a_row_keeps_its_own(
    database: sa.Engine, standing: Stored[Any]
) -> None:
    with writing(database) as session:
        other = packs.add(session, make_pack("Other"), by="Ann")
    rows = found(database, f"{other.id},1,SIX,4,,,", f"{standing.id},1,six,6,own paper,1.2,")
    assert rows[0].problems[0].expected.startswith("Another pack has this name")
    assert rows[1].status == "bad"
    (renamed,) = found(database, f"{standing.id},1,six,6,own paper,1.2,")
    assert renamed.status == "changed"


def test_names_are_kept_apart_over_the_whole_file(database: sa.Engine) -> None:
    reader = RowReader(packs, read_headings(Pack, HEADINGS).columns)
    blank = dict.fromkeys(HEADINGS, "")
    with read_session(database) as session:
        (first,) = reader.read(session, [(2, {**blank, "name": "A"})])
        (second,) = reader.read(session, [(252, {**blank, "name": "a"})])
    assert first.status == "new"
    assert second.problems[0].expected == "Row 2 has this name. Give each its own."


def test_a_row_is_written_as_the_table_of_imports_has_it(database: sa.Engine) -> None:
    (row,) = found(database, ",,Bad,x,,,")
    written = row.written()
    assert (written["number"], written["status"], written["document"]) == (2, "bad", None)
    assert written["problems"][0][:2] == ["friction_plates", "x"]
