import pytest
import sqlalchemy as sa
from sqlalchemy.exc import IntegrityError

from app.records.database import writing_apart
from app.records.photos import Photo

TABLE: sa.Table = Photo.__table__  # type: ignore[attr-defined]  # a table
ROW = {"version": 1, "added_by": "a", "width": 1, "height": 1, "digest": "d", "small": b"s",
       "picture": b"p"}


@pytest.mark.parametrize(
    "wrong", [{}, {"slip_test_id": 1, "finding_id": 1}, {"slip_test_id": 99},
              {"finding_id": 1, "width": 0}, {"finding_id": 1, "caption": ""}])
def test_the_database_refuses_a_photo_of_nothing_or_of_no_size(
    database: sa.Engine, wrong: dict[str, object]
) -> None:
    with pytest.raises(IntegrityError), writing_apart(database) as connection:
        connection.execute(sa.insert(TABLE), [{**ROW, **wrong}])


def test_the_pictures_stand_last_in_the_row() -> None:
    assert [c.name for c in TABLE.c][-2:] == ["small", "picture"]
