import pytest

from app.documents import SavedComparison, ShortlistLine, read
from app.errors import BadInput


def test_a_comparison_says_the_state_and_leaves_the_rest_as_usual() -> None:
    found = read(SavedComparison, {"name": " Autumn  order "}).document
    assert (found.name, found.lubrication, found.friction, found.wear) == (
        "Autumn order", "oiled", "sliding", "new",
    )  # fmt: skip
    assert read(SavedComparison, found.written()).document == found


@pytest.mark.parametrize("wear", ["new", "worn", 0, 0.4])
def test_wear_is_a_word_or_a_number(wear: object) -> None:
    assert read(SavedComparison, {"name": "A", "wear": wear}).document.wear == wear


@pytest.mark.parametrize(
    ("raw", "field"),
    [
        ({"wear": -1}, "wear"),
        ({"wear": True}, "wear"),
        ({"wear": float("nan")}, "wear"),
        ({"lubrication": "wet"}, "lubrication"),
        ({"packs": ["a"] * 201}, "packs"),
        ({"verdicts": ["good"]}, "verdicts.0"),
        ({"speed_rpm": 0}, "speed_rpm"),
    ],
)
def test_what_is_no_view_is_refused(raw: dict[str, object], field: str) -> None:
    with pytest.raises(BadInput) as refused:
        read(SavedComparison, {"name": "A", **raw})
    assert [p.field for p in refused.value.problems] == [field]


def test_a_line_needs_a_pack_and_counts_from_one() -> None:
    assert read(ShortlistLine, {"pack": "abc"}).document.quantity == 1
    for raw, field in (({}, "pack"), ({"pack": "a", "quantity": 0}, "quantity"),
                       ({"pack": "a", "done": "yes"}, "done")):  # fmt: skip
        with pytest.raises(BadInput) as refused:
            read(ShortlistLine, raw)
        assert [p.field for p in refused.value.problems] == [field]
