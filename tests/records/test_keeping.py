import pytest
import sqlalchemy as sa
from sqlalchemy.exc import IntegrityError

from app.records.tables import Pack, SavedComparison, ShortlistLine

STAMPS = {"created_by": "a", "changed_by": "a", "version": 1, "search_text": ""}


def test_two_comparisons_in_use_have_two_names(database: sa.Engine) -> None:
    made = {**STAMPS, "name": "Spring", "name_key": "spring", "asked": {}}
    with database.begin() as connection:
        connection.execute(sa.insert(SavedComparison), [made])
    with pytest.raises(IntegrityError), database.begin() as connection:
        connection.execute(sa.insert(SavedComparison), [made])


def test_a_line_of_the_shortlist_keeps_its_pack(database: sa.Engine) -> None:
    pack = {
        **STAMPS, "name": "P", "name_key": "p", "provenance": {}, "lined_faces_per_plate": 2,
    }  # fmt: skip
    with database.begin() as connection:
        connection.execute(sa.insert(Pack), [pack])
        key = connection.execute(sa.select(Pack.id)).scalar_one()
        line = {**STAMPS, "name": "P", "name_key": "p", "pack_id": key, "quantity": 1}
        connection.execute(sa.insert(ShortlistLine), [{**line, "done": False}])
    with pytest.raises(IntegrityError), database.begin() as connection:
        connection.execute(sa.delete(Pack))
    with pytest.raises(IntegrityError), database.begin() as connection:
        connection.execute(sa.update(ShortlistLine).values(quantity=0))
