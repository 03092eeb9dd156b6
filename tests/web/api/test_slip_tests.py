"""Friction from slip tests by JSON: its shape to the letter, and what is refused."""

import math
from collections.abc import Callable
from typing import Any

import pytest
from starlette.testclient import TestClient

JSON = {"Content-Type": "application/json"}
FIGURES = {"value", "std", "low", "high"}

Ask = Callable[..., dict[str, Any]]


def run(clamp: float, *readings: Any, **more: Any) -> dict[str, Any]:
    """A run; a bare number is a value."""
    written = [r if isinstance(r, dict) else {"torque_nm": r} for r in readings]
    place = {"clamp_n": clamp, "surfaces": 12, "effective_radius_mm": 50}
    return {**place, "readings": written, **more}


RUNS = [
    run(300, 17.1, 18.4, {"low_nm": 16, "high_nm": 19}),
    run(450, 26.0, 28.3, {"at_most_nm": 30}),
    run(600, 35.2, 37.0, {"at_least_nm": 33}),
]


@pytest.fixture
def fit(client: TestClient) -> Ask:
    def post(**question: Any) -> dict[str, Any]:
        answer = client.post("/api/v1/friction-fit", json=question)
        assert answer.status_code == 200, answer.text
        found: dict[str, Any] = answer.json()
        return found

    return post


def refused(client: TestClient, question: Any) -> dict[str, str]:
    answer = client.post("/api/v1/friction-fit", json=question)
    assert answer.status_code == 422, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    told = {error["path"]: error["detail"] for error in answer.json()["errors"]}
    assert all(sentence.endswith(".") for sentence in told.values())
    return told


def test_a_fit_has_the_shape_of_the_contract(fit: Ask) -> None:
    answer = fit(runs=RUNS, law="auto")
    assert set(answer) - {"exponent", "lost_load_n"} == {
        "law",
        "mu",
        "sigma",
        "log_likelihood",
        "aicc",
        "compared",
        "p_proportional",
        "mu_for_comparison",
        "mu_doubt",
        "residuals",
        "readings",
        "exact_readings",
        "clamp_levels",
        "reference_clamp_n",
        "words",
        "warnings",
    }
    assert answer["law"] == "proportional"
    assert not {"exponent", "lost_load_n"} & set(answer)
    assert set(answer["mu"]) == set(answer["mu_for_comparison"]) == FIGURES
    assert answer["mu"]["low"] < answer["mu"]["value"] < answer["mu"]["high"]
    assert [part["law"] for part in answer["compared"]] == ["proportional", "power", "lost_load"]
    assert set(answer["compared"][0]) == {"law", "mu", "sigma", "log_likelihood", "aicc"}
    assert set(answer["compared"][1]) - set(answer["compared"][0]) == {"exponent"}
    assert set(answer["compared"][2]) - set(answer["compared"][0]) == {"lost_load_n"}
    assert 0.0 <= answer["p_proportional"] <= 1.0
    assert (answer["readings"], answer["exact_readings"], answer["clamp_levels"]) == (9, 6, 3)
    assert answer["warnings"] == []


@pytest.mark.parametrize(("law", "own"), [("power", "exponent"), ("lost_load", "lost_load_n")])
def test_a_law_that_is_asked_for_brings_its_own_figure(fit: Ask, law: str, own: str) -> None:
    answer = fit(runs=RUNS, law=law)
    assert answer["law"] == law
    assert set(answer[own]) == FIGURES


def test_values_alone_give_the_closed_form(fit: Ask) -> None:
    answer = fit(runs=[run(300, 17.1, 18.4, 19.0), run(600, 35.2)], law="proportional")
    # μ = T/(z F Re/1000), on logarithms.
    logs = [
        math.log(t / (12 * f * 0.05))
        for t, f in ((17.1, 300), (18.4, 300), (19.0, 300), (35.2, 600))
    ]
    middle = sum(logs) / 4
    scatter = math.sqrt(sum((y - middle) ** 2 for y in logs) / 4)
    reach = scatter * math.sqrt(math.exp(3.841458820694124 / 4) - 1.0)
    assert answer["mu"]["value"] == pytest.approx(math.exp(middle), rel=1e-9)
    assert answer["sigma"] == pytest.approx(scatter, rel=1e-7)
    assert answer["mu"]["low"] == pytest.approx(math.exp(middle - reach), rel=1e-6)
    assert answer["mu"]["high"] == pytest.approx(math.exp(middle + reach), rel=1e-6)


def test_the_gauge_s_own_error_is_added_to_the_figure_for_the_comparison(fit: Ask) -> None:
    plain = fit(runs=RUNS)
    known = fit(runs=[{**one, "instrument": "gauge", "relative_accuracy": 0.05} for one in RUNS])
    assert known["mu"] == plain["mu"], "the readings say what they said"
    parts, mu = known["mu_doubt"], known["mu_for_comparison"]
    assert parts["scatter_std"] == pytest.approx(plain["mu_for_comparison"]["std"])
    assert parts["gauge_std"] == pytest.approx(mu["value"] * 0.05 / math.sqrt(3.0))
    assert mu["std"] == pytest.approx(math.hypot(parts["scatter_std"], parts["gauge_std"]))
    assert mu["std"] == parts["together_std"]
    assert parts["gauges"] == [{"instrument": "gauge", "relative_accuracy": 0.05, "weight": 1.0}]
    assert plain["mu_doubt"]["gauges"] == [
        {"instrument": None, "relative_accuracy": None, "weight": 1.0}]
    assert plain["mu_doubt"]["gauge_std"] == 0.0
    assert fit(runs=[run(300, 17.1)])["mu_doubt"] is None


def test_a_gauge_that_may_be_off_by_all_of_its_reading_is_refused(client: TestClient) -> None:
    told = refused(client, {"runs": [{**RUNS[0], "relative_accuracy": 1.0}]})
    assert set(told) == {"runs.0.relative_accuracy"}


def test_a_run_left_out_keeps_its_place(fit: Ask) -> None:
    wild = run(300, 99.0, {"at_least_nm": 90}, exclude=True)
    kept, plain = fit(runs=[wild, *RUNS]), fit(runs=RUNS)
    assert kept["mu"] == plain["mu"]
    assert kept["readings"] == 9
    assert {r["run"] for r in kept["residuals"]} == {1, 2, 3}
    assert fit(runs=[{**wild, "exclude": False}, *RUNS])["mu"] != plain["mu"]


def test_readings_without_scatter_are_null(fit: Ask) -> None:
    answer = fit(runs=[run(300, 18, 18)])
    assert answer["mu"] == {"value": pytest.approx(0.1), "std": None, "low": None, "high": None}
    assert answer["sigma"] is None
    assert answer["compared"][1]["not_fitted"]
    assert any("too little to tell a doubt from" in word for word in answer["words"])


def test_unknown_fields_are_answered_with_a_warning(fit: Ask) -> None:
    runs = [run(300, {"torque_nm": 18, "mood": 1}, 19, colour="red")]
    where = [w["where"] for w in fit(runs=runs, law="auto", hue=1)["warnings"]]
    assert sorted(where) == ["hue", "runs.0.colour", "runs.0.readings.0.mood"]


FORMS = "Give torque_nm, or low_nm with high_nm, or at_least_nm, or at_most_nm."


@pytest.mark.parametrize(
    ("reading", "path", "told"),
    [
        ({}, "", FORMS),
        ({"low_nm": 3}, "", FORMS),
        ({"high_nm": 3}, "", FORMS),
        ({"torque_nm": 3, "at_least_nm": 3}, "", FORMS),
        ({"at_least_nm": 3, "at_most_nm": 5}, "", FORMS),
        ({"low_nm": 5, "high_nm": 3}, "", "Write an upper end that is not below the lower one."),
        ({"torque_nm": 0}, ".torque_nm", "Write a number above 0."),
        ({"torque_nm": -4}, ".torque_nm", "Write a number above 0."),
        ({"torque_nm": "20"}, ".torque_nm", "Write a number without quotes, like 12.5."),
        ({"torque_nm": True}, ".torque_nm", "Write a number without quotes, like 12.5."),
        ({"torque_nm": 2e9}, ".torque_nm", "Write a number between -1000000000 and 1000000000."),
        ({"torque_nm": 1e-300}, "", "Write a torque of 1e-09 N·m or above."),
    ],
)
def test_a_reading_that_is_none_is_refused(
    client: TestClient, reading: dict[str, Any], path: str, told: str
) -> None:
    found = refused(client, {"runs": [run(300, 18, reading)]})
    assert found == {f"runs.0.readings.1{path}": told}


@pytest.mark.parametrize(
    ("question", "paths"),
    [
        ({}, {"runs"}),
        ({"runs": []}, {"runs"}),
        ({"runs": [run(300)]}, {"runs"}),
        ({"runs": [run(300, 18, exclude=True)]}, {"runs"}),
        ({"runs": [run(300, {"at_least_nm": 18})]}, {"runs"}),
        ({"runs": [run(300, {"low_nm": 18, "high_nm": 20})]}, {"runs"}),
        ({"runs": [run(300, 18, 19)], "law": "power"}, {"law"}),
        ({"runs": [run(300, 18, 19)], "law": "lost_load"}, {"law"}),
        ({"runs": RUNS, "law": "linear"}, {"law"}),
        ({"runs": [run(0, 18)]}, {"runs.0.clamp_n"}),
        ({"runs": [{**run(300, 18), "surfaces": 0}]}, {"runs.0.surfaces"}),
        ({"runs": [{**run(300, 18), "surfaces": 2.5}]}, {"runs.0.surfaces"}),
        ({"runs": [{**run(300, 18), "effective_radius_mm": -50}]}, {"runs.0.effective_radius_mm"}),
        ({"runs": [run(1e-300, 18)]}, {"runs.0.clamp_n"}),
        (
            {"runs": [{"clamp_n": 300}]},
            {"runs.0.surfaces", "runs.0.effective_radius_mm", "runs.0.readings"},
        ),
        ({"runs": [run(300, 18, exclude="yes")]}, {"runs.0.exclude"}),
        ({"runs": {}}, {"runs"}),
        ({"runs": [17]}, {"runs.0"}),
    ],
)
def test_runs_that_say_too_little_are_refused(
    client: TestClient, question: Any, paths: set[str]
) -> None:
    assert set(refused(client, question)) == paths


def test_bounds_that_contradict_each_other_are_told(client: TestClient) -> None:
    runs = [run(300, {"at_least_nm": 30}), run(300, {"at_most_nm": 15})]
    told = refused(client, {"runs": runs})["runs"]
    assert "contradict each other (μ at least 0.167 and at most 0.0833)" in told
    # Beside values the likelihood weighs them.
    answer = client.post("/api/v1/friction-fit", json={"runs": [*runs, run(300, 20, 22)]})
    assert answer.status_code == 200


def test_a_body_full_of_readings_is_answered_or_refused(client: TestClient) -> None:
    # 100 000 values fill the largest body; spans that all differ are more than a fit can take.
    full = client.post(
        "/api/v1/friction-fit",
        json={"runs": [run(300, *[15 + i % 7 for i in range(100_000)])], "law": "proportional"},
    )
    assert full.status_code == 200
    assert full.json()["readings"] == 100_000
    spans = [{"low_nm": 10 + i / 10_000, "high_nm": 90} for i in range(40_000)]
    told = refused(client, {"runs": [run(300, 18, *spans)]})
    assert "40001 differ; fit 5000 at most at once" in told["runs"]
    over = client.post("/api/v1/friction-fit", content=b" " * (3 << 20) + b"{}", headers=JSON)
    assert over.status_code == 413


@pytest.mark.parametrize("path", ["friction-fit", "test-plan"])
@pytest.mark.parametrize(
    ("body", "status"),
    [
        (b"", 400),
        (b"{", 400),
        (b'{"runs": NaN}', 400),
        (b'{"a": 1, "a": 2}', 400),
        (b'{"arm_m": 1e400}', 422),
        (b"[]", 422),
        (b"null", 422),
    ],
)
def test_a_body_that_says_nothing_clear_is_refused(
    client: TestClient, path: str, body: bytes, status: int
) -> None:
    answer = client.post(f"/api/v1/{path}", content=body, headers=JSON)
    assert answer.status_code == status, answer.text
    assert answer.headers["content-type"] == "application/problem+json"


@pytest.mark.parametrize("path", ["friction-fit", "test-plan"])
def test_other_types_and_other_sites_are_refused(client: TestClient, path: str) -> None:
    address = f"/api/v1/{path}"
    assert (
        client.post(address, content=b"{}", headers={"Content-Type": "text/plain"}).status_code
        == 415
    )
    away = client.post(address, json={}, headers={"Origin": "http://elsewhere.example"})
    assert away.status_code == 403


def test_both_questions_stand_in_the_description(client: TestClient) -> None:
    paths = client.get("/api/v1/openapi.json").json()["paths"]
    for path, answer in (("friction-fit", "FitAnswer"), ("test-plan", "PlanAnswer")):
        asked = paths[f"/api/v1/{path}"]["post"]
        assert asked["tags"] == ["questions"]
        schema = asked["responses"]["200"]["content"]["application/json"]["schema"]
        assert schema == {"$ref": f"#/components/schemas/{answer}"}
