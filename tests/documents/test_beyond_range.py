import pytest

from app.documents import TorqueReading, beyond_range

VALUE, SPAN = {"torque_nm": 64, "typed": "64"}, {"low_nm": 55, "high_nm": 64}


@pytest.mark.parametrize(
    ("raw", "question", "bound"),
    [
        (VALUE, "The gauge ends at 60 N·m: is 64 a value, or at least 60?", ("at_least", 60)),
        (SPAN, "The gauge ends at 60 N·m: is 55 to 64 a span, or at least 55?", ("at_least", 55)),
        (
            {"low_nm": 61, "high_nm": 64},
            "The gauge ends at 60 N·m: is 61 to 64 a span, or at least 60?",
            ("at_least", 60),
        ),
        (
            {"at_least_nm": 64},
            "The gauge ends at 60 N·m: is it at least 64, or at least 60?",
            ("at_least", 60),
        ),
        (
            {"torque_nm": 3},
            "The gauge begins at 5 N·m: is 3 a value, or at most 5?",
            ("at_most", 5),
        ),
        (
            {"low_nm": 3, "high_nm": 7},
            "The gauge begins at 5 N·m: is 3 to 7 a span, or at most 7?",
            ("at_most", 7),
        ),
    ],
)
def test_a_reading_beyond_the_range_is_asked_about(
    raw: dict[str, float], question: str, bound: tuple[str, float]
) -> None:
    found = beyond_range(TorqueReading.model_validate(raw), 5.0, 60.0)
    assert found is not None
    assert found.question == question
    assert found.bound.kind == bound[0]
    assert bound[1] in found.bound.ends
    assert found.bound.typed == raw.get("typed")
    # The bound itself raises no question, and neither does what the tester stands by.
    assert beyond_range(found.bound, 5.0, 60.0) is None
    assert beyond_range(TorqueReading.model_validate(raw | {"as_read": True}), 5.0, 60.0) is None


@pytest.mark.parametrize(
    "raw",
    [
        {"torque_nm": 60},
        {"torque_nm": 5},
        {"low_nm": 5, "high_nm": 60},
        {"at_least_nm": 60},
        {"at_least_nm": 3},
        {"at_most_nm": 64},
        {"at_most_nm": 5},
    ],
)
def test_nothing_is_asked_within_the_range(raw: dict[str, float]) -> None:
    assert beyond_range(TorqueReading.model_validate(raw), 5.0, 60.0) is None


def test_a_range_that_nobody_stated_asks_nothing() -> None:
    assert beyond_range(TorqueReading(torque_nm=1e6), None, None) is None
