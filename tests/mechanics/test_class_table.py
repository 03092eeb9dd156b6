"""The table of displacement classes."""

from app.mechanics.class_table import displacement_classes


def test_classes_rise_and_every_band_is_the_right_way_round():
    rows = displacement_classes()
    sizes = [row.displacement_cc for row in rows]
    assert sizes == sorted(sizes)
    assert sizes[0] == 50
    assert sizes[-1] == 650
    assert all(1 < row.ratio_low < row.ratio_high for row in rows)


def test_every_row_says_that_it_is_common_practice():
    assert {row.source for row in displacement_classes()} == {"common practice, no source"}
