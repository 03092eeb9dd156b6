from app.presentation.about import LIMITS, PROMISES, about_view
from app.presentation.cautions import CAUTIONS


def test_the_view_names_the_program_and_its_database() -> None:
    view = about_view("1.2", {"database": "SQLite", "version": "3.51.3", "journal mode": "wal"})
    assert view.facts == [
        ("Program version", "1.2"),
        ("Database", "SQLite"),
        ("Database version", "3.51.3"),
        ("Journal mode", "wal"),
    ]
    assert list(view.cautions) == list(CAUTIONS.values())
    assert view.promises is PROMISES
    assert view.limits is LIMITS
