from app.presentation.about import LIMITS, PROMISES, about_view
from app.presentation.cautions import CAUTIONS
from app.presentation.copies import copies_view
from tests.presentation.test_copies import FACTS


def test_the_view_names_the_program_and_its_database() -> None:
    storage = {"database": "SQLite", "version": "3.51.3", "journal mode": "wal"}
    copies = copies_view(FACTS)
    view = about_view("1.2", storage, copies)
    assert view.facts == [
        ("Program version", "1.2"),
        ("Database", "SQLite"),
        ("Database version", "3.51.3"),
        ("Journal mode", "wal"),
    ]
    assert list(view.cautions) == list(CAUTIONS.values())
    assert view.promises is PROMISES
    assert view.limits is LIMITS
    assert view.copies is copies
