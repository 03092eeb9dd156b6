"""What belongs to a facing or a pack goes and stays with it."""

import sqlalchemy as sa

from app.documents import Facing, Offer
from app.records.database import writing
from app.records.tables import METADATA
from app.services.catalogue import facings, offers, packs
from tests.factories import make_pack

ROW = {"lubrication": "dry", "kind": "both", "nominal": 0.3}


def count(database: sa.Engine, table: str) -> int:
    with database.connect() as connection:
        query = sa.select(sa.func.count()).select_from(METADATA.tables[table])
        return int(connection.execute(query).scalar_one())


def test_the_database_takes_a_facing_s_rows_along_and_lets_an_offer_go(
    database: sa.Engine,
) -> None:
    before = count(database, "friction_value")
    with writing(database) as session:
        facing = facings.add(session, Facing.model_validate({"name": "x", "values": [ROW]}), by="a")
        pack = packs.add(session, make_pack(), by="a")
        offers.add(session, Offer(name="Cheap", pack=pack.id), by="a")
    assert count(database, "friction_value") == before + 2
    for table, public_id in (("facing", facing.id), ("pack", pack.id)):
        with database.begin() as connection:
            t = METADATA.tables[table]
            connection.execute(sa.delete(t).where(t.c.public_id == public_id))
    assert count(database, "friction_value") == before
    assert count(database, "offer") == 1
    assert count(database, "spring") == 1


def test_rows_of_a_facing_are_changed_in_place(database: sa.Engine) -> None:
    before = count(database, "friction_value")
    with writing(database) as session:
        made = facings.add(
            session, Facing.model_validate({"name": "x", "values": [ROW, ROW]}), by="a"
        )
        one = Facing.model_validate({"name": "x", "values": [ROW | {"nominal": 0.2}]})
        kept = facings.change(session, made.id, made.version, one, by="a")
    assert kept.document == one
    assert kept.version == 2
    assert count(database, "friction_value") == before + 1
