from app.services.bulk_rows import BULK, stamps
from app.services.catalogue import engines, offers, packs


def test_what_files_hold_is_written_in_bulk() -> None:
    assert set(BULK) == {nouns.noun.kind for nouns in (packs, engines, offers)}


def test_every_new_record_has_an_id_of_its_own() -> None:
    one, two = stamps("ann"), stamps("ann")
    assert one["public_id"] != two["public_id"]
    assert (one["version"], one["created_by"], one["put_aside_at"]) == (1, "ann", None)
    assert one["created_at"] == one["changed_at"]
