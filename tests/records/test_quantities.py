from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from app.documents import Q
from app.fields import field
from app.records.quantities import doubt_sql, put, range_sql, take, take_quantity

WORDS = st.none() | st.text("abc", min_size=1, max_size=5)


@given(
    value=st.floats(-1e9, 1e9),
    doubt=st.tuples(st.sampled_from(["plus_minus", "std"]), st.floats(0, 1e9)) | st.none(),
    how=st.sampled_from([None, "measured", "assumed"]),
    by=WORDS,
    typed=WORDS,
    default=st.booleans(),
)
def test_a_figure_comes_back_as_it_was_put(
    value: float,
    doubt: tuple[str, float] | None,
    how: Any,
    by: str | None,
    typed: str | None,
    default: bool,
) -> None:
    raw = {"value": value, "how": how, "by": by, "typed": typed, "default_doubt": default}
    q = Q.model_validate(raw | dict([doubt] if doubt else []))
    row: dict[str, Any] = {}
    provenance: dict[str, Any] = {}
    put(row, provenance, "x", q)
    row["provenance"] = provenance
    assert take(row, "x") == q
    assert take_quantity(row, "x") == q.to_quantity()
    assert set(provenance) <= {"x"}


def test_what_is_not_known_leaves_no_trace() -> None:
    row: dict[str, Any] = {}
    provenance: dict[str, Any] = {}
    put(row, provenance, "x", None)
    assert set(row.values()) == {None}
    assert not provenance
    assert take(row | {"provenance": {}}, "x") is None


def test_the_bounds_come_from_the_catalogue_of_figures() -> None:
    assert range_sql("x", field("pack", "lift_mm")) == "x >= 0 AND x <= 1000000000"
    assert range_sql("x", field("pack", "grooved_fraction")) == "x >= 0 AND x < 1"
    assert range_sql("x", field("centrifugal", "ramp_angle_deg")) == "x > 0 AND x < 90"
    assert "x_plus_minus < x" in doubt_sql("x", field("pack", "facing_od_mm"))
    assert "x_plus_minus < x" not in doubt_sql("x", field("pack", "lift_mm"))
