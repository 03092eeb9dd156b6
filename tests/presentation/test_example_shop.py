"""What the example starts from: invented, and said so."""

from app.presentation import example_shop as shop


def test_all_of_it_is_marked_as_invented() -> None:
    for record in (shop.PACK, *shop.ENGINES, shop.WRENCH, shop.OFFER):
        assert record.notes == shop.INVENTED


def test_the_readings_lie_within_the_wrench() -> None:
    low, high = shop.WRENCH.range_low_nm or 0.0, shop.WRENCH.range_high_nm or 0.0
    assert all(low < nm < high for run in shop.READINGS_NM for nm in run)
