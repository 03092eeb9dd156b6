"""What would make a pack hold, and how hot a launch gets: shape, figures, refusals."""

import math
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from app.main import create_app
from app.settings import Settings
from tests.web.api.written import CLAMPS, ENGINE, PACK, STATE

JSON = {"Content-Type": "application/json"}
OPTION_KEYS = {"change", "by", "unit", "result_ratio", "consequences", "possible", "why_not"}

Ask = Callable[..., dict[str, Any]]


@pytest.fixture(scope="module")
def client(empty_catalogue: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    """One for all: these questions store nothing."""
    folder = tmp_path_factory.mktemp("questions")
    shutil.copy(empty_catalogue, folder / "gripledger.db")
    settings = Settings(data_dir=folder, database_url="")
    with TestClient(create_app(settings), base_url="http://127.0.0.1:8000") as found:
        yield found


@pytest.fixture
def ask(client: TestClient) -> Ask:
    def post(path: str, **question: Any) -> dict[str, Any]:
        answer = client.post(f"/api/v1/{path}", json=question)
        assert answer.status_code == 200, answer.text
        found: dict[str, Any] = answer.json()
        return found

    return post


def problems(client: TestClient, path: str, question: Any) -> dict[str, str]:
    answer = client.post(f"/api/v1/{path}", json=question)
    assert answer.status_code == 422, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    body = answer.json()
    assert {"type", "title", "status", "detail", "errors"} <= set(body)
    assert body["status"] == 422
    return {error["path"]: error["detail"] for error in body["errors"]}


CELL: dict[str, Any] = {"pack": PACK, "engine": ENGINE, "state": STATE}


def options(answer: dict[str, Any]) -> dict[str, dict[str, Any]]:
    return {option["change"]: option for option in answer["options"]}


def test_changes_have_the_shape_of_the_contract(ask: Ask) -> None:
    answer = ask("changes", **CELL, target_ratio=2.0)
    assert set(answer) == {"options", "warnings"}
    assert answer["warnings"] == []
    assert [o["change"] for o in answer["options"]] == [
        "force_n",
        "friction_plates",
        "friction",
        "primary_ratio",
    ]
    for option in answer["options"]:
        assert set(option) == OPTION_KEYS
        assert isinstance(option["possible"], bool)
        assert all(isinstance(words, str) and words for words in option["consequences"])
        assert (option["why_not"] is None) == option["possible"]


def test_changes_have_the_figures_of_the_formula(ask: Ask) -> None:
    # 57.024 N·m for 33 N·m on the crankshaft.
    found = options(ask("changes", **CELL, target_ratio=2.0))
    factor = 2.0 * 33.0 / 57.024
    assert found["force_n"]["by"] == pytest.approx(900.0 * (factor - 1.0))
    assert found["force_n"]["unit"] == "N"
    assert found["friction"]["by"] == pytest.approx(0.12 * (factor - 1.0))
    assert found["friction_plates"]["by"] == 1
    assert found["friction_plates"]["result_ratio"] == pytest.approx(57.024 / 33.0 * 7 / 6)
    assert found["primary_ratio"]["possible"] is False
    assert found["primary_ratio"]["by"] is None
    assert "crankshaft" in found["primary_ratio"]["why_not"]


@pytest.mark.parametrize("kind", sorted(CLAMPS))
@pytest.mark.parametrize("mounting", ["crankshaft", "geared"])
@pytest.mark.parametrize("wear", [0, None])
@pytest.mark.parametrize("factor", [0.9, 1.02])
def test_every_change_asked_for_is_what_evaluate_answers(
    ask: Ask, kind: str, mounting: str, wear: float | None, factor: float
) -> None:
    """A script that writes `by` into its own document gets the promised ratio."""
    pack = {**PACK, "mounting": mounting, "clamp": CLAMPS[kind]}
    state = {**STATE, "speed_rpm": 6000, "wear_mm": wear}
    now = ask("evaluate", pack=pack, engine=ENGINE, state=state)["ratio"]["value"]
    target = factor * now
    found = options(ask("changes", pack=pack, engine=ENGINE, state=state, target_ratio=target))
    for name, option in found.items():
        if option["by"] is None:
            continue
        if name == "shim_mm" and not option["possible"]:
            # More shim out than there is: no document can hold less than none.
            assert factor < 1.0
            assert "only 0 mm of shim" in option["why_not"]
            continue
        changed_pack, changed_engine = written(pack, ENGINE, name, option)
        again = ask("evaluate", pack=changed_pack, engine=changed_engine, state=state)
        assert again["ratio"]["value"] == pytest.approx(option["result_ratio"], rel=1e-9)
        if name != "friction_plates":
            assert option["result_ratio"] == pytest.approx(target, rel=1e-9)
    assert sum(option["by"] is not None for option in found.values()) >= 2


def written(
    pack: dict[str, Any], engine: dict[str, Any], name: str, option: dict[str, Any]
) -> tuple[dict[str, Any], dict[str, Any]]:
    by = option["by"]
    if name == "friction_plates":
        return {**pack, name: pack[name] + by}, engine
    if name == "friction":
        mu = pack["friction"]["oiled"]["sliding"]["value"]
        return {**pack, "friction": {"oiled": {"sliding": mu + by}}}, engine
    if name == "primary_ratio":
        plain = {key: value for key, value in engine.items() if key != "primary_teeth"}
        driving, driven = engine["primary_teeth"]
        return pack, {**plain, name: driven / driving + by}
    clamp = pack["clamp"]
    if clamp["kind"] != "coil":
        return {**pack, "clamp": {**clamp, name: clamp[name]["value"] + by}}, engine
    groups = []
    for group, rate in zip(clamp["springs"], RATES, strict=True):
        if name == "shim_mm":
            change = {name: group.get(name, {"value": 0.0})["value"] + by}
        else:
            assert option["unit"] == "%"
            change = {name: rate * (1.0 + by / 100.0)}
        groups.append({**group, **change})
    return {**pack, "clamp": {**clamp, "springs": groups}}, engine


# Of the written spring groups: k = G d⁴/(8 D³ N_a), and the slope through the load points.
RATES = (79300.0 * 2.2**4 / (8.0 * 13.8**3 * 6.0), 9.955)


def test_an_unknown_ratio_says_what_it_needs(ask: Ask) -> None:
    answer = ask(
        "changes", pack={"friction_plates": 6}, engine=ENGINE, state=STATE, target_ratio=1.2
    )
    assert answer["options"] == []
    told = next(w for w in answer["warnings"] if w["code"] == "ratio_not_known")
    for lack in ("pack.facing_od_mm", "pack.clamp", "pack.friction.oiled.sliding"):
        assert lack in told["text"]
    points = {
        "kind": "disc_table",
        "points": CLAMPS["disc_table"]["points"],
        "installed_deflection_mm": 9,
    }
    outside = ask(
        "changes", pack={**PACK, "clamp": points}, engine=ENGINE, state=STATE, target_ratio=1.2
    )
    assert "it needs pack.clamp.points" in outside["warnings"][0]["text"]


def test_unknown_fields_are_answered_with_a_warning(ask: Ask) -> None:
    answer = ask("changes", **{**CELL, "pack": {**PACK, "colour": "red"}}, target_ratio=1.2, mood=3)
    assert [w["where"] for w in answer["warnings"]] == ["pack.colour", "mood"]
    answer = ask(
        "launch", torque_nm=40, driver={"speed_rpm": 4000, "mood": 3}, driven={"inertia_kg_m2": 0.1}
    )
    assert [w["where"] for w in answer["warnings"]] == ["driver.mood"]


@pytest.mark.parametrize(
    ("part", "path"),
    [
        ({"target_ratio": 0}, "target_ratio"),
        ({"target_ratio": -1}, "target_ratio"),
        ({"target_ratio": "1.2"}, "target_ratio"),
        ({"target_ratio": True}, "target_ratio"),
        ({"target_ratio": {"value": 1.2}}, "target_ratio"),
        ({"target_ratio": 2e9}, "target_ratio"),
        ({"target_ratio": None}, "target_ratio"),
        ({"pack": None}, "pack"),
        ({"engine": []}, "engine"),
        ({"state": {"lubrication": "oiled"}}, "state.friction"),
        ({"pack": {**PACK, "facing_od_mm": 70}}, "pack.facing_od_mm"),
        (
            {
                "pack": {
                    **PACK,
                    "clamp": {
                        "kind": "load",
                        "force_n": {"value": 0.01, "how": "measured", "plus_minus": 1},
                    },
                }
            },
            "pack.clamp.force_n",
        ),
        ({"engine": {**ENGINE, "primary_ratio": 3.2}}, "engine.primary_teeth"),
    ],
)
def test_changes_refuse_what_physics_excludes(
    client: TestClient, part: dict[str, Any], path: str
) -> None:
    found = problems(client, "changes", {**CELL, "target_ratio": 1.2, **part})
    assert path in found
    assert found[path].endswith(".")


def test_all_that_is_missing_is_told_at_once(client: TestClient) -> None:
    assert set(problems(client, "changes", {})) == {"pack", "engine", "state", "target_ratio"}
    assert set(problems(client, "launch", {})) == {"torque_nm", "driver", "driven"}


def test_a_usual_doubt_that_swallows_the_figure_is_told_by_the_question_s_path(
    client: TestClient,
) -> None:
    tiny = {
        **PACK,
        "facing_od_mm": {"value": 0.02, "how": "measured"},
        "facing_id_mm": {"value": 0.01, "how": "measured"},
    }
    found = problems(client, "changes", {**CELL, "pack": tiny, "target_ratio": 1.2})
    assert found
    assert set(found) <= {"pack.facing_od_mm", "pack.facing_id_mm"}
    launch = {
        "torque_nm": 40,
        "driver": {"speed_rpm": 4000},
        "driven": {"inertia_kg_m2": 0.1},
        "pack": tiny,
    }
    assert set(problems(client, "launch", launch)) == set(found)


LAUNCH: dict[str, Any] = {
    "torque_nm": 40,
    "driver": {"speed_rpm": 4000},
    "driven": {"inertia_kg_m2": 0.1125},
}


def test_a_launch_has_the_shape_of_the_contract(ask: Ask) -> None:
    plain = ask("launch", **LAUNCH)
    assert set(plain) == {
        "energy_j",
        "slip_time_s",
        "common_speed_rpm",
        "model",
        "words",
        "warnings",
    }
    assert plain["model"] == "held_driver"
    full = ask("launch", **LAUNCH, pack=PACK, plate_mass_kg=0.8)
    assert set(full) == set(plain) | {"energy_per_area_j_mm2", "temperature_rise_k"}
    # The plates' mass may stand in the pack.
    own = ask("launch", **LAUNCH, pack={**PACK, "plate_mass_kg": 0.8})
    assert own["temperature_rise_k"] == full["temperature_rise_k"]


def test_a_launch_has_the_figures_of_the_formula(ask: Ask) -> None:
    omega = 4000.0 * math.pi / 30.0
    held = ask("launch", **LAUNCH, pack=PACK, plate_mass_kg=0.8)
    energy = 0.5 * 0.1125 * omega**2
    assert held["energy_j"] == pytest.approx(energy)
    assert held["slip_time_s"] == pytest.approx(0.1125 * omega / 40.0)
    assert held["common_speed_rpm"] == pytest.approx(4000.0)
    # All working faces, net of grooves; steel has 460 J/(kg·K).
    area = 12 * math.pi / 4 * (100.0**2 - 76.0**2) * 0.9
    assert held["energy_per_area_j_mm2"] == pytest.approx(energy / area)
    assert held["temperature_rise_k"] == pytest.approx(energy / (0.8 * 460.0))
    free = ask("launch", **{**LAUNCH, "driver": {"speed_rpm": 4000, "inertia_kg_m2": 0.1125}})
    assert free["model"] == "two_inertias"
    assert free["energy_j"] == pytest.approx(energy / 2.0)
    assert free["common_speed_rpm"] == pytest.approx(2000.0)
    vehicle = {"vehicle": {"mass_kg": 180, "wheel_radius_m": 0.3, "overall_ratio": 12}}
    assert ask("launch", **{**LAUNCH, "driven": vehicle})["energy_j"] == pytest.approx(energy)


def test_outside_torques_are_signed(ask: Ask) -> None:
    # a = (T − T_L)/I2 for a held driver.
    eased = ask("launch", **LAUNCH, load_torque_nm=-10, drive_torque_nm=-500)
    plain = ask("launch", **LAUNCH)
    assert eased["slip_time_s"] == pytest.approx(plain["slip_time_s"] * 40.0 / 50.0)


def test_a_launch_that_never_locks_is_said_without_numbers(ask: Ask) -> None:
    answer = ask("launch", **LAUNCH, load_torque_nm=40, pack=PACK, plate_mass_kg=0.8)
    assert [answer[n] for n in ("energy_j", "slip_time_s", "common_speed_rpm")] == [None] * 3
    assert not {"energy_per_area_j_mm2", "temperature_rise_k"} & set(answer)
    assert any("never locks" in words for words in answer["words"])


@pytest.mark.parametrize(
    ("part", "path"),
    [
        ({"torque_nm": 0}, "torque_nm"),
        ({"torque_nm": -3}, "torque_nm"),
        ({"driver": {}}, "driver.speed_rpm"),
        ({"driver": {"speed_rpm": 4000, "inertia_kg_m2": 0}}, "driver.inertia_kg_m2"),
        ({"driven": {}}, "driven"),
        (
            {
                "driven": {
                    "inertia_kg_m2": 0.1,
                    "vehicle": {"mass_kg": 180, "wheel_radius_m": 0.3, "overall_ratio": 12},
                }
            },
            "driven",
        ),
        (
            {"driven": {"vehicle": {"mass_kg": 180, "wheel_radius_m": 0.3}}},
            "driven.vehicle.overall_ratio",
        ),
        (
            {"driven": {"vehicle": {"mass_kg": 0, "wheel_radius_m": 0.3, "overall_ratio": 12}}},
            "driven.vehicle.mass_kg",
        ),
        (
            {"driven": {"vehicle": {"mass_kg": 1, "wheel_radius_m": 1e-200, "overall_ratio": 1}}},
            "driven.vehicle",
        ),
        ({"plate_mass_kg": 0}, "plate_mass_kg"),
        ({"load_torque_nm": "none"}, "load_torque_nm"),
        ({"launches": 0}, "launches"),
        ({"launches": 1.5}, "launches"),
        ({"launches": 1001}, "launches"),
        ({"pack": {"lined_faces_per_plate": 3}}, "pack.lined_faces_per_plate"),
    ],
)
def test_a_launch_refuses_what_physics_excludes(
    client: TestClient, part: dict[str, Any], path: str
) -> None:
    found = problems(client, "launch", {**LAUNCH, **part})
    assert list(found) == [path]
    assert found[path].endswith(".")


def test_launches_in_a_row_add_their_rise(ask: Ask) -> None:
    once = ask("launch", **LAUNCH, plate_mass_kg=0.8)
    five = ask("launch", **LAUNCH, plate_mass_kg=0.8, launches=5)
    assert five["temperature_rise_k"] == pytest.approx(5.0 * once["temperature_rise_k"])


@pytest.mark.parametrize("path", ["changes", "launch"])
@pytest.mark.parametrize(
    ("body", "status"),
    [
        (b"", 400),
        (b"{", 400),
        (b'{"torque_nm": NaN}', 400),
        (b'{"a": 1, "a": 2}', 400),
        (b"[]", 422),
        (b"null", 422),
        (b'{"target_ratio": 1e400}', 422),
    ],
)
def test_a_body_that_says_nothing_clear_is_refused(
    client: TestClient, path: str, body: bytes, status: int
) -> None:
    answer = client.post(f"/api/v1/{path}", content=body, headers=JSON)
    assert answer.status_code == status, answer.text
    assert answer.headers["content-type"] == "application/problem+json"


@pytest.mark.parametrize("path", ["changes", "launch"])
def test_the_rules_of_every_question_hold_here_too(client: TestClient, path: str) -> None:
    text = client.post(f"/api/v1/{path}", content=b"{}", headers={"Content-Type": "text/plain"})
    assert text.status_code == 415
    foreign = client.post(f"/api/v1/{path}", json={}, headers={"Origin": "http://other.example"})
    assert foreign.status_code == 403
    assert client.get(f"/api/v1/{path}").status_code == 405


@pytest.mark.parametrize("path", ["changes", "launch"])
def test_the_openapi_document_describes_it(client: TestClient, path: str) -> None:
    operation = client.get("/api/v1/openapi.json").json()["paths"][f"/api/v1/{path}"]["post"]
    assert operation["tags"] == ["questions"]
    assert operation["summary"]
    assert {"200", "400", "403", "413", "415", "422", "500"} == set(operation["responses"])
