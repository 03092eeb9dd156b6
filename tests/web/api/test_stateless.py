"""The questions that store nothing: their shape to the letter, and what they refuse."""

from collections.abc import Callable
from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.web.api.written import CLAMPS, ENGINE, PACK, STATE, WIRE_SPRING, measured

JSON = {"Content-Type": "application/json"}
LINE_KEYS = {"name", "value", "std", "unit", "formula", "substituted", "source"}

Ask = Callable[..., dict[str, Any]]


@pytest.fixture
def ask(reader: TestClient) -> Ask:
    def post(**question: Any) -> dict[str, Any]:
        answer = reader.post("/api/v1/evaluate", json=question)
        assert answer.status_code == 200, answer.text
        found: dict[str, Any] = answer.json()
        return found

    return post


def lines(answer: dict[str, Any]) -> dict[str, list[dict[str, Any]]]:
    found: dict[str, list[dict[str, Any]]] = {}
    for line in answer["working"]:
        found.setdefault(line["name"], []).append(line)
    return found


def test_the_answer_has_the_shape_of_the_contract(ask: Ask) -> None:
    answer = ask(pack=PACK, engine=ENGINE, state=STATE)
    assert set(answer) == {
        "capacity_nm",
        "required_nm",
        "ratio",
        "ratio_without_factor",
        "p_slip",
        "verdict",
        "heavy",
        "missing",
        "warnings",
        "working",
        "variance",
    }
    for name in ("capacity_nm", "required_nm", "ratio", "ratio_without_factor"):
        assert set(answer[name]) == {"value", "std", "low", "high"}
        assert answer[name]["low"] < answer[name]["value"] < answer[name]["high"]
    assert answer["verdict"] == "holds"
    assert answer["missing"] == []
    for line in answer["working"]:
        assert set(line) - {"group"} == LINE_KEYS
    assert sum(part["share"] for part in answer["variance"]) == pytest.approx(1.0)
    assert all(set(part) == {"input", "share"} for part in answer["variance"])
    assert all({"code", "text"} <= set(w) for w in answer["warnings"])


def test_the_figures_are_those_of_the_formula(ask: Ask) -> None:
    answer = ask(pack=PACK, engine=ENGINE, state=STATE)
    # T = μ z F (D + d)/4 with 12 faces; crankshaft mounting asks for torque times factor.
    capacity = 0.12 * 12 * 900.0 * (100.0 + 76.0) / 4 / 1000
    assert answer["capacity_nm"]["value"] == pytest.approx(capacity, rel=1e-12)
    assert answer["required_nm"]["value"] == pytest.approx(22.0 * 1.5, rel=1e-12)
    assert answer["ratio"]["value"] == pytest.approx(capacity / 33.0, rel=1e-12)
    assert answer["ratio_without_factor"]["value"] == pytest.approx(capacity / 22.0, rel=1e-12)
    found = lines(answer)
    assert found["surfaces"][0]["value"] == 12
    assert found["effective_radius_mm"][0]["value"] == pytest.approx(44.0)
    assert found["clamp_n"][0]["value"] == pytest.approx(900.0)
    assert found["clamp_worn_n"][0]["value"] == pytest.approx(900.0 - 60.0 * 1.5)
    assert found["clamp_lifted_n"][0]["value"] == pytest.approx(900.0 + 60.0 * 1.2)


def test_a_geared_pack_is_asked_for_the_torque_at_its_own_shaft(ask: Ask) -> None:
    answer = ask(pack={**PACK, "mounting": "geared"}, engine=ENGINE, state=STATE)
    assert answer["required_nm"]["value"] == pytest.approx(22.0 * 3.0 * 0.97 * 1.5, rel=1e-12)
    found = lines(answer)
    assert found["clutch_torque_nm"][0]["value"] == pytest.approx(22.0 * 3.0 * 0.97)
    assert found["clutch_speed_rpm"][0]["value"] == pytest.approx(6500 / 3.0)


def test_without_a_state_the_capacity_is_unknown_and_missing_says_so(ask: Ask) -> None:
    answer = ask(pack=PACK, engine=ENGINE)
    assert answer["verdict"] == "unknown"
    assert "state" in answer["missing"]
    assert not {"capacity_nm", "ratio", "p_slip"} & set(answer)
    assert answer["required_nm"]["value"] == pytest.approx(33.0)


def test_an_engine_alone_is_answered_for_its_side(ask: Ask) -> None:
    answer = ask(engine=ENGINE)
    assert answer["required_nm"]["value"] == pytest.approx(22.0 * 3.0 * 0.97 * 1.5)
    assert "capacity_nm" not in answer
    assert {"crank_torque_nm", "clutch_torque_nm", "service_factor"} <= set(lines(answer))


def test_a_pack_alone_is_answered_for_its_side(ask: Ask) -> None:
    answer = ask(pack=PACK, state=STATE)
    assert answer["capacity_nm"]["value"] == pytest.approx(57.024)
    assert not {"required_nm", "ratio"} & set(answer)
    assert {"surfaces", "facing_area_mm2", "facing_pressure_mean_mpa"} <= set(lines(answer))


@pytest.mark.parametrize("kind", sorted(CLAMPS))
def test_every_kind_of_clamp_is_answered(ask: Ask, kind: str) -> None:
    state = {**STATE, "speed_rpm": 6000}
    answer = ask(pack={**PACK, "clamp": CLAMPS[kind]}, engine=ENGINE, state=state)
    assert answer["missing"] == []
    assert answer["capacity_nm"]["value"] > 0
    assert lines(answer)["clamp_n"][0]["unit"] == "N"


def test_lines_of_spring_groups_carry_their_group(ask: Ask) -> None:
    answer = ask(pack={**PACK, "clamp": CLAMPS["coil"]}, state=STATE)
    rates = lines(answer)["spring_rate_n_per_mm"]
    assert [line["group"] for line in rates] == [0, 1]
    assert all("group" not in line for line in lines(answer)["surfaces"])


def test_an_exact_figure_has_no_doubt_and_a_named_one_gets_the_usual(ask: Ask) -> None:
    def clamp(force: Any) -> dict[str, Any]:
        return {**PACK, "clamp": {"kind": "load", "force_n": force}}

    exact = lines(ask(pack=clamp(900), state=STATE))["clamp_n"][0]
    assert exact["std"] == 0
    usual = lines(ask(pack=clamp({"value": 900, "how": "measured"}), state=STATE))["clamp_n"][0]
    # A spring tester's usual doubt is 2 %, a limit.
    assert usual["std"] == pytest.approx(18 / 3**0.5)
    spread = lines(ask(pack=clamp({"value": 900, "std": 7}), state=STATE))["clamp_n"][0]
    assert spread["std"] == pytest.approx(7)


def test_unknown_fields_are_answered_with_a_warning(ask: Ask) -> None:
    answer = ask(pack={**PACK, "colour": "red"}, state={**STATE, "mood": 1})
    unknown = [w["where"] for w in answer["warnings"] if w["code"] == "unknown_field"]
    assert unknown == ["pack.colour", "state.mood"]


def test_draws_are_seeded(ask: Ask) -> None:
    def drawn(seed: int) -> dict[str, Any]:
        answer = ask(pack=PACK, engine=ENGINE, state=STATE, monte_carlo=2000, seed=seed)
        found: dict[str, Any] = answer["monte_carlo"]
        return found

    first = drawn(20251125)
    assert first["draws"] == 2000
    assert first["seed"] == 20251125
    assert set(first["ratio"]) == {"value", "std", "low", "high"}
    assert first == drawn(20251125)
    assert first["ratio"] != drawn(1)["ratio"]


def refused(reader: TestClient, question: Any) -> dict[str, str]:
    answer = reader.post("/api/v1/evaluate", json=question)
    assert answer.status_code == 422, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    problem = answer.json()
    assert problem["status"] == 422
    return {error["path"]: error["detail"] for error in problem["errors"]}


def test_both_doubts_at_once_are_refused(reader: TestClient) -> None:
    both = {"value": 900, "plus_minus": 9, "std": 5}
    found = refused(reader, {"pack": {**PACK, "clamp": {"kind": "load", "force_n": both}}})
    assert list(found) == ["pack.clamp.force_n"]
    assert "not both" in found["pack.clamp.force_n"]


def test_every_refusal_is_told_at_once_with_its_path(reader: TestClient) -> None:
    clamp = {"kind": "coil", "springs": [{"count": 1.5, "wire_mm": -2}]}
    found = refused(reader, {"pack": {"clamp": clamp}, "state": {"lubrication": "wet"}})
    assert set(found) == {
        "pack.clamp.springs.0.count",
        "pack.clamp.springs.0.wire_mm",
        "state.lubrication",
        "state.friction",
    }
    assert all(told.endswith(".") for told in found.values())


@pytest.mark.parametrize(
    ("part", "path"),
    [
        ({"facing_od_mm": 70, "facing_id_mm": 80}, "pack.facing_od_mm"),
        ({"facing_od_mm": 2e9}, "pack.facing_od_mm"),
        ({"facing_od_mm": "100"}, "pack.facing_od_mm"),
        ({"facing_od_mm": True}, "pack.facing_od_mm"),
        ({"grooved_fraction": 1}, "pack.grooved_fraction"),
        ({"friction_plates": 0}, "pack.friction_plates"),
        ({"lined_faces_per_plate": 3}, "pack.lined_faces_per_plate"),
        ({"clamp": {"kind": "magnet"}}, "pack.clamp"),
        ({"facing_od_mm": {"value": 0.01, "how": "measured"}}, "pack.facing_od_mm"),
    ],
)
def test_what_physics_excludes_is_refused(
    reader: TestClient, part: dict[str, Any], path: str
) -> None:
    assert path in refused(reader, {"pack": part, "state": STATE})


def test_a_ratio_and_teeth_that_disagree_are_refused(reader: TestClient) -> None:
    engine = {**ENGINE, "primary_ratio": 3.02}
    assert "engine.primary_teeth" in refused(reader, {"engine": engine})
    answer = reader.post("/api/v1/evaluate", json={"engine": {**ENGINE, "primary_ratio": 3.01}})
    assert answer.status_code == 200


@pytest.mark.parametrize("draws", [0, 1, -5, 2.5, True, "many", 3_000_000])
def test_a_count_of_draws_that_says_nothing_is_refused(reader: TestClient, draws: Any) -> None:
    assert list(refused(reader, {"monte_carlo": draws})) == ["monte_carlo"]


def test_draws_are_held_to_what_a_machine_can_do_at_once(reader: TestClient) -> None:
    clamp = {"kind": "coil", "springs": [WIRE_SPRING] * 20}
    found = refused(reader, {"pack": {"clamp": clamp}, "monte_carlo": 400_001})
    assert "400000" in found["monte_carlo"]


BODIES = [
    (b"", 400),
    (b"   ", 400),
    (b"{", 400),
    (b"{} {}", 400),
    (b"\xff\xfe", 400),
    (b'{"pack": {"lift_mm": NaN}}', 400),
    (b'{"pack": {"lift_mm": -Infinity}}', 400),
    (b'{"pack": {"lift_mm": 1, "lift_mm": 2}}', 400),
    (b"[" * 100_000, 400),
    (b'{"x":' + b"[" * 40 + b"]" * 40 + b"}", 400),
    (b'{"\\ud800": 1}', 400),
    (b'{"pack": {"name": "\\ud800"}}', 422),
    (b'{"pack": {"lift_mm": 1e400}}', 422),
    (b'{"unheard": 1e400}', 422),
    (b'{"pack": {"lift_mm": ' + b"9" * 5000 + b"}}", 422),
    (b"[]", 422),
    (b"null", 422),
    (b"17", 422),
    (b'{"pack": []}', 422),
]


@pytest.mark.parametrize(("body", "status"), BODIES, ids=[b[:30] for b, _ in BODIES])
def test_a_body_that_says_nothing_clear_is_refused(
    reader: TestClient, body: bytes, status: int
) -> None:
    answer = reader.post("/api/v1/evaluate", content=body, headers=JSON)
    assert answer.status_code == status, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    assert answer.json()["detail"]


def test_another_type_of_content_is_refused(reader: TestClient) -> None:
    for kind in ("text/plain", "application/x-www-form-urlencoded", "application/problem+json"):
        answer = reader.post("/api/v1/evaluate", content=b"{}", headers={"Content-Type": kind})
        assert answer.status_code == 415
    named = {"Content-Type": "Application/JSON; charset=utf-8"}
    assert reader.post("/api/v1/evaluate", content=b"{}", headers=named).status_code == 200


def test_a_page_of_another_site_is_refused(reader: TestClient) -> None:
    for header in ({"Origin": "http://elsewhere.example"}, {"Sec-Fetch-Site": "cross-site"}):
        answer = reader.post("/api/v1/evaluate", json={}, headers=header)
        assert answer.status_code == 403
        assert answer.headers["content-type"] == "application/problem+json"


def test_a_body_over_the_limit_is_refused(reader: TestClient) -> None:
    answer = reader.post("/api/v1/evaluate", content=b" " * (3 << 20) + b"{}", headers=JSON)
    assert answer.status_code == 413


def test_a_rate_is_fitted_to_load_points(reader: TestClient) -> None:
    points = [{"deflection_mm": x, "force_n": y} for x, y in ((2, 21), (4, 40), (6, 61), (8, 80))]
    answer = reader.post("/api/v1/spring-rate", json={"load_points": points}).json()
    # Least squares by hand: x̄ 5, Σ(x−x̄)² 20, Σ(x−x̄)y 198; residuals 0.2, −0.6, 0.6, −0.2.
    assert answer["rate_n_per_mm"]["value"] == pytest.approx(198 / 20)
    assert answer["intercept_n"]["value"] == pytest.approx(50.5 - 9.9 * 5)
    assert answer["residual_std_n"] == pytest.approx((0.8 / 2) ** 0.5)
    assert answer["warnings"] == []
    through = reader.post(
        "/api/v1/spring-rate", json={"load_points": points, "through_origin": True}
    ).json()
    assert "intercept_n" not in through
    assert through["rate_n_per_mm"]["value"] == pytest.approx(1208 / 120)


def test_two_load_points_give_a_rate_without_doubt_and_say_so(reader: TestClient) -> None:
    points = [{"deflection_mm": 4, "force_n": 40}, {"deflection_mm": 8, "force_n": 80}]
    answer = reader.post("/api/v1/spring-rate", json={"load_points": points}).json()
    assert answer["rate_n_per_mm"] == {"value": 10.0, "std": None, "low": None, "high": None}
    assert [w["code"] for w in answer["warnings"]] == ["load_points_no_doubt"]


def test_one_load_point_gives_no_line(reader: TestClient) -> None:
    answer = reader.post(
        "/api/v1/spring-rate", json={"load_points": [{"deflection_mm": 4, "force_n": 40}]}
    )
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["path"] == "load_points"


def test_a_usual_doubt_is_as_the_bench_has_it(ask: Ask) -> None:
    pack = {**PACK, "lift_mm": {"value": 1.2, "how": "measured"}}
    by_hand = ask(pack={**PACK, "lift_mm": measured(1.2, 0.05)}, state=STATE)
    assert lines(ask(pack=pack, state=STATE))["clamp_lifted_n"] == lines(by_hand)["clamp_lifted_n"]
