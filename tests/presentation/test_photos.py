from datetime import UTC, datetime

from app.presentation.photos import photo_box

ROW = {"public_id": "p", "caption": None, "added_by": "Ada", "width": 2048, "height": 1024,
       "added_at": datetime(2026, 11, 25, tzinfo=UTC)}


def test_a_photo_says_what_it_shows_or_what_it_is_of() -> None:
    box = photo_box("/x/photos", "run 01", [ROW, {**ROW, "caption": "the stub"}], "why", "typed")
    first, second = box.photos
    assert (first.alt, first.caption) == ("Photo 1 of 2: run 01", "")
    assert first.added == "Ada, 2026-11-25"
    assert (second.alt, second.caption) == ("the stub", "the stub")
    assert (box.problem, box.caption) == ("why", "typed")
    assert photo_box("/x/photos", "run 01", [ROW]).photos[0].alt == "Photo: run 01"


def test_the_small_picture_s_size_is_known_beforehand() -> None:
    (wide,) = photo_box("/x", "y", [ROW]).photos
    assert (wide.width, wide.height) == (320, 160)
    (tiny,) = photo_box("/x", "y", [{**ROW, "width": 10, "height": 8}]).photos
    assert (tiny.width, tiny.height) == (10, 8)
