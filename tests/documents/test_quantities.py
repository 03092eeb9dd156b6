import json
import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import BaseModel, ValidationError

from app.documents.quantities import (
    LARGEST,
    Count,
    CountOrNone,
    EfficiencyQ,
    Fraction,
    FractionQ,
    Number,
    PoissonQ,
    PositiveQ,
    Q,
    RampAngleQ,
    ZeroOrMoreQ,
)
from app.mechanics.inputs import Quantity


class Figures(BaseModel):
    number: Number | None = None
    fraction: Fraction | None = None
    count: Count | None = None
    plates: CountOrNone | None = None
    q: Q | None = None
    positive: PositiveQ | None = None
    zero_or_more: ZeroOrMoreQ | None = None
    share: FractionQ | None = None
    efficiency: EfficiencyQ | None = None
    ramp: RampAngleQ | None = None
    poisson: PoissonQ | None = None


def sentence(**raw: Any) -> str:
    with pytest.raises(ValidationError) as caught:
        Figures(**raw)
    (error,) = caught.value.errors()
    return str(error["msg"])


@pytest.mark.parametrize("typed", ["12.5", "", True, False, [], {}, b"1"])
def test_a_number_is_never_guessed_from_something_else(typed: Any) -> None:
    assert "number" in sentence(number=typed)


@pytest.mark.parametrize(
    "beyond", [math.nan, math.inf, -math.inf, 1.0000001e9, -1.0000001e9, 10**400]
)
def test_a_number_is_finite_and_within_a_thousand_million(beyond: float) -> None:
    assert "1000000000" in sentence(number=beyond)
    assert "1000000000" in sentence(q=beyond)
    assert "1000000000" in sentence(q={"value": beyond})


def test_the_largest_number_is_taken() -> None:
    assert Figures(number=LARGEST, q=-LARGEST).number == 1e9


def test_a_whole_number_may_be_written_with_a_point_but_not_with_a_part() -> None:
    assert Figures(count=6.0).count == 6
    assert "whole number" in sentence(count=6.5)
    assert "whole number" in sentence(count=True)
    assert "1 or a whole number above" in sentence(count=0)
    assert "0 or a number above" in sentence(plates=-1)
    assert Figures(plates=0).plates == 0


def test_a_bare_number_is_exact() -> None:
    assert Figures(q=12).q == Q(value=12.0)
    assert Q(value=12.0).to_quantity() == Quantity(12.0)


def test_both_doubts_are_refused() -> None:
    assert "not both" in sentence(q={"value": 1, "plus_minus": 0.1, "std": 0.1})


@pytest.mark.parametrize("doubt", ["plus_minus", "std"])
def test_a_doubt_is_not_negative(doubt: str) -> None:
    assert "0 or a number above" in sentence(q={"value": 1, doubt: -0.1})


@pytest.mark.parametrize(
    ("name", "taken", "refused"),
    [
        ("positive", [1e-9, 5], [0, -1, {"value": 1, "plus_minus": 1}]),
        ("zero_or_more", [0, {"value": 0, "plus_minus": 0.1}], [-0.001]),
        ("share", [0, 0.999], [1, -0.1]),
        ("efficiency", [0.001, 1], [0, 1.001]),
        ("ramp", [0.1, 89.9], [0, 90, {"value": 5, "plus_minus": 5}]),
        ("poisson", [0, 0.5], [-0.01, 0.51]),
    ],
)
def test_each_kind_of_figure_refuses_what_physics_excludes(
    name: str, taken: list[Any], refused: list[Any]
) -> None:
    for value in taken:
        Figures(**{name: value})
    for value in refused:
        assert sentence(**{name: value}).startswith("Write ")


def test_a_standard_uncertainty_may_exceed_the_value() -> None:
    """A normal doubt that large is read as log-normal; it is not impossible."""
    assert Figures(positive={"value": 1, "std": 2}).positive is not None


numbers = st.floats(min_value=-1e9, max_value=1e9)
doubts = st.floats(min_value=0, max_value=1e9)


@given(
    value=numbers,
    doubt=st.one_of(
        st.just({}),
        st.builds(lambda a: {"plus_minus": a}, doubts),
        st.builds(lambda a: {"std": a}, doubts),
    ),
    how=st.sampled_from([None, "measured", "listed", "estimated", "assumed"]),
    default=st.booleans(),
)
def test_what_is_written_is_read_back_alike(
    value: float, doubt: dict[str, float], how: str | None, default: bool
) -> None:
    q = Q.model_validate({"value": value, **doubt, "how": how, "default_doubt": default})
    written = json.loads(json.dumps(Figures(q=q).model_dump(mode="json")["q"]))
    assert Figures(q=written).q == q
    assert isinstance(written, float) == (not doubt and how is None and not default)


def test_the_schema_reads_alike_in_both_directions() -> None:
    schema = Figures.model_json_schema()
    assert schema == Figures.model_json_schema(mode="serialization")
    number, as_object = schema["$defs"]["Q"]["anyOf"]
    assert number == {"type": "number"}
    assert as_object["required"] == ["value"]
    assert all(part.get("description") for part in as_object["properties"].values())
