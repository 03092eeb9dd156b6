import json
from datetime import UTC, datetime

from app.services.stored import Stored
from tests.factories import make_pack


def test_a_record_is_written_with_its_version_and_who_touched_it() -> None:
    at = datetime(2026, 11, 25, 8, tzinfo=UTC)
    stored = Stored("abc", 3, make_pack(), at, "ann", at, "bo", None)
    written = json.loads(json.dumps(stored.written()))
    assert written["document"] == make_pack().written()
    assert {key: written[key] for key in written if key != "document"} == {
        "id": "abc",
        "version": 3,
        "created_at": "2026-11-25T08:00:00+00:00",
        "created_by": "ann",
        "changed_at": "2026-11-25T08:00:00+00:00",
        "changed_by": "bo",
        "put_aside_at": None,
    }
    assert stored.name == "Tern 4"
