from typing import Any

import pytest
from pydantic import TypeAdapter, ValidationError

from app.documents.clamp import Clamp, SpringGroup
from app.mechanics import inputs
from app.mechanics.inputs import Quantity

CLAMP: TypeAdapter[Any] = TypeAdapter(Clamp)


def refusal(model: Any, raw: Any) -> str:
    with pytest.raises(ValidationError) as caught:
        model.validate_python(raw) if model is CLAMP else model.model_validate(raw)
    return str(caught.value.errors()[0]["msg"])


@pytest.mark.parametrize(
    ("raw", "told"),
    [
        ({"wire_mm": 2, "outside_mm": 4}, "twice the wire"),
        ({"wire_mm": 2, "mean_mm": 2}, "larger than the wire"),
        ({"inside_mm": 9, "outside_mm": 9}, "larger than the inside diameter"),
        ({"inside_mm": 9, "mean_mm": 8}, "larger than the inside diameter"),
        ({"mean_mm": 9, "outside_mm": 8}, "larger than the mean diameter"),
        ({"total_coils": 2, "ends": "closed_ground"}, "put 2 of them out of work, so 2 leave none"),
        ({"total_coils": 0.5, "ends": "plain_ground"}, "put 1 of them out of work, so 0.5 leave"),
        ({"tester_limit": 1}, "fraction"),
        ({"shim_mm": -1}, "0 or a number above"),
        ({"load_points": [{"deflection_mm": -1, "force_n": 2}]}, "0 or a number above"),
    ],
)
def test_a_spring_that_can_not_exist_is_refused(raw: Any, told: str) -> None:
    assert told in refusal(SpringGroup, raw)


def test_a_spring_longer_fitted_than_free_is_only_odd() -> None:
    assert SpringGroup.model_validate({"free_length_mm": 20, "installed_length_mm": 25})


@pytest.mark.parametrize(
    ("raw", "expected"),
    [
        (
            {"kind": "coil", "springs": [{"count": 6, "rate_n_per_mm": 20}]},
            inputs.CoilClamp((inputs.SpringGroup(count=6, rate_n_per_mm=Quantity(20.0)),)),
        ),
        (
            {"kind": "disc", "outside_mm": 60, "inside_mm": 30, "in_series": 2},
            inputs.DiscClamp(outside_mm=Quantity(60.0), inside_mm=Quantity(30.0), in_series=2),
        ),
        (
            {
                "kind": "disc_table",
                "points": [
                    {"deflection_mm": 2, "force_n": 5},
                    {"deflection_mm": 1, "force_n": 9},
                ],
            },
            inputs.DiscTableClamp((inputs.LoadPoint(1.0, 9.0), inputs.LoadPoint(2.0, 5.0))),
        ),
        (
            {"kind": "load", "force_n": {"value": 900, "std": 10}},
            inputs.LoadClamp(force_n=Quantity(900.0, std=10.0)),
        ),
        (
            {"kind": "centrifugal", "weights": 6, "ramp_angle_deg": 30, "return_force_n": 0},
            inputs.CentrifugalClamp(
                weights=6, ramp_angle_deg=Quantity(30.0), return_force_n=Quantity(0.0)
            ),
        ),
    ],
)
def test_each_kind_becomes_what_the_mechanics_take(raw: Any, expected: inputs.Clamp) -> None:
    assert CLAMP.validate_python(raw).to_inputs() == expected


def test_the_disc_has_the_contract_s_modulus_and_ratio_unless_told() -> None:
    disc = CLAMP.validate_python({"kind": "disc"}).to_inputs()
    assert (disc.modulus_mpa.value, disc.poisson.value) == (206000.0, 0.3)


def test_readings_at_one_deflection_twice_are_refused() -> None:
    point = {"deflection_mm": 1, "force_n": 5}
    assert "once" in refusal(CLAMP, {"kind": "disc_table", "points": [point, point]})


def test_a_disc_needs_a_ring() -> None:
    raw = {"kind": "disc", "outside_mm": 30, "inside_mm": 30}
    assert "larger than the inside diameter" in refusal(CLAMP, raw)


def test_a_tester_with_no_stated_limit_is_exact_and_a_stated_one_is_kept() -> None:
    assert SpringGroup().to_inputs().tester_limit == 0.0
    assert SpringGroup(tester_limit=0.02).to_inputs().tester_limit == 0.02


def test_springs_measured_one_by_one_give_the_free_length_unless_it_is_stated() -> None:
    lengths = [31.0, 31.4, 31.5]
    of_all = SpringGroup.model_validate({"free_lengths_mm": lengths})
    assert of_all.free_length_mm is not None
    # (31.0 + 31.4 + 31.5)/3 = 31.3
    assert (of_all.free_length_mm.value, of_all.free_length_mm.how) == (31.3, "measured")
    assert SpringGroup.model_validate(of_all.written()) == of_all
    stated = SpringGroup.model_validate({"free_lengths_mm": lengths, "free_length_mm": 31.0})
    assert stated.free_length_mm is not None
    assert stated.free_length_mm.value == 31.0
    taken = of_all.to_inputs()
    assert taken.free_lengths_mm == (31.0, 31.4, 31.5)


@pytest.mark.parametrize("lengths", [[31.0, -1], ["31"], "31 32", [31, True]])
def test_lengths_that_are_none_are_refused(lengths: Any) -> None:
    with pytest.raises(ValidationError):
        SpringGroup.model_validate({"free_lengths_mm": lengths})
