import pytest

from app.documents import State, read
from app.errors import BadInput
from app.mechanics import inputs


def test_the_plain_state_is_run_in_and_new() -> None:
    made = State(lubrication="oiled", friction="static").to_inputs()
    assert made == inputs.State("oiled", "static", 0.0, "uniform_wear", None)


def test_null_wear_means_each_pack_s_own_limit() -> None:
    raw = {"lubrication": "dry", "friction": "sliding", "wear_mm": None, "speed_rpm": 3000}
    made = State.model_validate(raw).to_inputs()
    assert (made.wear_mm, made.speed_rpm) == (None, 3000.0)


def test_friction_along_the_splines_is_left_out_unless_asked_for() -> None:
    raw = {"lubrication": "oiled", "friction": "sliding"}
    assert State.model_validate(raw).to_inputs().spline_friction is None
    asked = State.model_validate(raw | {"spline_friction": 0.1})
    assert asked.to_inputs().spline_friction == 0.1


@pytest.mark.parametrize(
    ("raw", "at"),
    [
        ({"friction": "static"}, "lubrication"),
        ({"lubrication": "dry"}, "friction"),
        ({"lubrication": "wet", "friction": "static"}, "lubrication"),
        ({"lubrication": "dry", "friction": "static", "wear_mm": -1}, "wear_mm"),
        ({"lubrication": "dry", "friction": "static", "speed_rpm": 0}, "speed_rpm"),
        ({"lubrication": "dry", "friction": "static", "spline_friction": 0}, "spline_friction"),
    ],
)
def test_what_is_not_a_state_is_refused_at_its_field(raw: dict[str, object], at: str) -> None:
    with pytest.raises(BadInput) as caught:
        read(State, raw)
    assert [problem.field for problem in caught.value.problems] == [at]
