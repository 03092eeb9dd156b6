"""A slip test planned by JSON: its shape to the letter, and what is refused."""

import math
from collections.abc import Callable
from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.web.api.written import (
    CLAMPS,
    COIL,
    DISC_TABLE,
    PACK,
    POINT_SPRING,
    STATE,
    WIRE_SPRING,
    measured,
)

FIGURES = {"value", "std", "low", "high"}
GAUGE = {"kind": "gauge", "name": "wrench", "max_nm": 135}
SIX = {**PACK, "clamp": {"kind": "coil", "springs": [WIRE_SPRING]}}

Ask = Callable[..., dict[str, Any]]


@pytest.fixture
def plan(client: TestClient) -> Ask:
    def post(**question: Any) -> dict[str, Any]:
        answer = client.post("/api/v1/test-plan", json=question)
        assert answer.status_code == 200, answer.text
        found: dict[str, Any] = answer.json()
        return found

    return post


def refused(client: TestClient, question: Any) -> dict[str, str]:
    answer = client.post("/api/v1/test-plan", json=question)
    assert answer.status_code == 422, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    told = {error["path"]: error["detail"] for error in answer.json()["errors"]}
    assert all(sentence.endswith(".") for sentence in told.values())
    return told


def test_a_plan_has_the_shape_of_the_contract(plan: Ask) -> None:
    chain = [
        GAUGE,
        {"kind": "rated", "max_nm": 62},
        {"kind": "round", "name": "stub", "diameter_mm": 16, "yield_mpa": 600},
        {"kind": "square", "across_flats_mm": 12.5, "yield_mpa": 900},
        {"kind": "hexagon", "across_flats_mm": 17, "yield_mpa": 600},
    ]
    answer = plan(
        pack=SIX,
        state=STATE,
        chain=chain,
        springs_fitted=3,
        speed_rpm=60,
        seconds=2,
        plate_mass_kg=0.4,
        max_temperature_rise_k=50,
        arm_m=0.5,
    )
    assert set(answer) == {
        "by_springs",
        "recommended_springs",
        "links",
        "power_w",
        "temperature_rise_k",
        "longest_run_s",
        "arm_force_n",
        "words",
        "cautions",
        "warnings",
    }
    assert [line["springs"] for line in answer["by_springs"]] == [1, 2, 3, 4, 5, 6]
    for line in answer["by_springs"]:
        assert set(line) == {"springs", "balanced", "predicted_nm", "weakest", "utilisation"}
        assert set(line["predicted_nm"]) == FIGURES
        assert line["weakest"] == "rated"
        assert line["utilisation"] == pytest.approx(line["predicted_nm"]["high"] / 62)
    # A link without a name is called by its kind.
    assert [link["name"] for link in answer["links"]] == [
        "wrench",
        "rated",
        "stub",
        "square",
        "hexagon",
    ]
    assert all({"name", "yield_nm", "plastic_nm"} <= set(link) for link in answer["links"])
    assert answer["links"][0]["yield_nm"] is None
    assert answer["links"][3]["yield_nm"] == pytest.approx(
        0.208 * 12.5**3 * 900 / math.sqrt(3) / 1000
    )
    torque = answer["by_springs"][2]["predicted_nm"]["value"]
    power = torque * 2 * math.pi
    assert answer["power_w"] == pytest.approx(power)
    assert answer["temperature_rise_k"] == pytest.approx(power * 2 / (0.4 * 460))
    assert answer["longest_run_s"] == pytest.approx(0.4 * 460 * 50 / power)
    assert answer["arm_force_n"] == pytest.approx(torque / 0.5)
    assert answer["cautions"]
    assert answer["warnings"] == []


def test_the_plan_and_the_evaluation_show_one_band(client: TestClient, plan: Ask) -> None:
    cell = client.post("/api/v1/evaluate", json={"pack": SIX, "state": STATE}).json()
    last = plan(pack=SIX, state=STATE, chain=[GAUGE])["by_springs"][-1]
    assert last["predicted_nm"] == pytest.approx(cell["capacity_nm"], rel=1e-12)


@pytest.mark.parametrize("kind", sorted(CLAMPS))
def test_every_kind_of_clamp_is_planned(plan: Ask, kind: str) -> None:
    pack = {**PACK, "clamp": CLAMPS[kind]}
    answer = plan(pack=pack, state={**STATE, "speed_rpm": 6000}, chain=[GAUGE])
    assert answer["by_springs"][-1]["predicted_nm"]["value"] > 0
    assert answer["by_springs"][-1]["utilisation"] > 0


def test_what_is_not_given_is_null(plan: Ask) -> None:
    answer = plan(pack=SIX, state=STATE)
    assert answer["by_springs"][0]["weakest"] is None
    for name in (
        "recommended_springs",
        "power_w",
        "temperature_rise_k",
        "longest_run_s",
        "arm_force_n",
    ):
        assert answer[name] is None


@pytest.mark.parametrize(
    ("part", "paths"),
    [
        ({"chain": [{"kind": "rope", "max_nm": 3}]}, {"chain.0"}),
        ({"chain": [{"max_nm": 3}]}, {"chain.0"}),
        ({"chain": [GAUGE, {"kind": "gauge"}]}, {"chain.1.max_nm"}),
        ({"chain": [{**GAUGE, "max_nm": 0}]}, {"chain.0.max_nm"}),
        (
            {"chain": [{"kind": "round", "diameter_mm": 0, "yield_mpa": 300}]},
            {"chain.0.diameter_mm"},
        ),
        (
            {"chain": [{"kind": "round", "across_flats_mm": 10, "yield_mpa": 300}]},
            {"chain.0.diameter_mm"},
        ),
        (
            {"chain": [{"kind": "square", "across_flats_mm": -9, "yield_mpa": 0}]},
            {"chain.0.across_flats_mm", "chain.0.yield_mpa"},
        ),
        ({"chain": [{"kind": "hexagon"}]}, {"chain.0.across_flats_mm", "chain.0.yield_mpa"}),
        ({"chain": GAUGE}, {"chain"}),
        ({"chain": [GAUGE] * 101}, {"chain"}),
        ({"springs_fitted": 7}, {"springs_fitted"}),
        ({"springs_fitted": 0}, {"springs_fitted"}),
        ({"springs_fitted": 2.5}, {"springs_fitted"}),
        ({"arm_m": -0.5}, {"arm_m"}),
        ({"arm_m": 0}, {"arm_m"}),
        ({"speed_rpm": -1}, {"speed_rpm"}),
        ({"seconds": -1}, {"seconds"}),
        ({"plate_mass_kg": 0}, {"plate_mass_kg"}),
        ({"max_temperature_rise_k": 0}, {"max_temperature_rise_k"}),
        (
            {"pack": {}},
            {
                "pack.friction_plates",
                "pack.facing_od_mm",
                "pack.facing_id_mm",
                "pack.clamp",
                "pack.friction.oiled.sliding",
            },
        ),
        ({"pack": {**SIX, "facing_od_mm": 70}}, {"pack.facing_od_mm"}),
        (
            {"pack": {**SIX, "facing_od_mm": {"value": 0.01, "how": "measured"}}},
            {"pack.facing_od_mm"},
        ),
        ({"pack": {**PACK, "clamp": COIL}, "springs_fitted": 3}, {"springs_fitted"}),
        ({"springs_fitted": 1, "pack": PACK}, {"springs_fitted"}),
        (
            {
                "pack": {
                    **PACK,
                    "clamp": {"kind": "coil", "springs": [{**POINT_SPRING, "count": 0}]},
                }
            },
            {"pack.clamp.springs.0.count"},
        ),
        ({"pack": {**PACK, "clamp": CLAMPS["centrifugal"]}}, {"state.speed_rpm"}),
        (
            {"pack": {**PACK, "clamp": CLAMPS["centrifugal"], "mounting": "geared"}},
            {"pack.mounting"},
        ),
        (
            {"pack": {**PACK, "clamp": DISC_TABLE}, "state": {**STATE, "wear_mm": 3}},
            {"pack.clamp.points"},
        ),
        ({"state": {"lubrication": "wet", "friction": "sliding"}}, {"state.lubrication"}),
        ({"state": None}, {"state"}),
        ({"pack": None}, {"pack"}),
    ],
)
def test_a_plan_that_can_t_be_made_is_refused(
    client: TestClient, part: dict[str, Any], paths: set[str]
) -> None:
    question = {"pack": SIX, "state": STATE, "chain": [GAUGE], **part}
    assert set(refused(client, question)) == paths


def test_springs_that_do_not_press_are_answered(plan: Ask) -> None:
    slack = {**WIRE_SPRING, "free_length_mm": measured(20.0, 0.1)}
    pack = {**PACK, "clamp": {"kind": "coil", "springs": [slack]}}
    answer = plan(
        pack=pack,
        state=STATE,
        chain=[GAUGE],
        speed_rpm=60,
        plate_mass_kg=1,
        max_temperature_rise_k=50,
        seconds=1,
    )
    assert answer["by_springs"][-1]["predicted_nm"] == {
        "value": 0.0,
        "std": 0.0,
        "low": 0.0,
        "high": 0.0,
    }
    assert answer["longest_run_s"] is None
    assert any("Nothing presses" in word for word in answer["words"])


def test_unknown_fields_are_answered_with_a_warning(plan: Ask) -> None:
    answer = plan(pack=SIX, state=STATE, chain=[{**GAUGE, "colour": "red"}], haste=1)
    assert sorted(w["where"] for w in answer["warnings"]) == ["chain.0.colour", "haste"]
