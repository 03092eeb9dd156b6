"""The board by JSON: the figures of the cell and of the CSV to the bit, pages, filters."""

import csv
import io
from typing import Any

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from app.records.database import writing
from app.services.seeding import load_demo
from tests.web.api.written import ENGINE, PACK, STATE

READINGS = {
    "capacity_nm": "torque_available{}_N_m",
    "required_nm": "torque_required{}_N_m",
    "ratio": "ratio{}",
}


@pytest.fixture
def shop(client: TestClient) -> TestClient:
    """A client of the made-up shop."""
    app = client.app
    assert isinstance(app, FastAPI)
    with writing(app.state.engine) as session:
        load_demo(session)
    return client


def read(client: TestClient, query: str = "") -> dict[str, Any]:
    answer = client.get(f"/api/v1/board?{query}")
    assert answer.status_code == 200, answer.text
    found: dict[str, Any] = answer.json()
    return found


def test_the_answer_has_its_shape(shop: TestClient) -> None:
    board = read(shop)
    assert board["state"] == {
        "lubrication": "oiled",
        "friction": "sliding",
        "wear_mm": 0.0,
        "radius": "uniform_wear",
        "speed_rpm": None,
        "spline_friction": None,
    }
    assert len(board["cells"]) == len(board["packs"]) * len(board["engines"])
    ids = [(p["id"], e["id"]) for p in board["packs"] for e in board["engines"]]
    assert [(c["pack"], c["engine"]) for c in board["cells"]] == ids
    for cell in board["cells"]:
        assert set(cell) == {
            "pack",
            "engine",
            "capacity_nm",
            "required_nm",
            "ratio",
            "ratio_without_factor",
            "p_slip",
            "verdict",
            "heavy",
            "failed_checks",
            "missing",
            "state",
        }
        assert (cell["verdict"] == "unknown") == (cell["ratio"] is None) == bool(cell["missing"])
    assert {c["verdict"] for c in board["cells"]} == {"holds", "tight", "slips", "unknown"}
    assert any(c["heavy"] for c in board["cells"])
    failed = {name for c in board["cells"] for name in c["failed_checks"]}
    assert {"bolts_up", "can_release", "facing_pressure"} <= failed


@pytest.mark.parametrize(
    "query", ["", "wear=worn&friction=static", "wear=0.3&radius=uniform_pressure&speed_rpm=4000"]
)
def test_the_figures_are_those_of_the_cell_to_the_bit(shop: TestClient, query: str) -> None:
    board = read(shop, query)
    documents = {
        record["id"]: record
        for plural in ("packs", "engines")
        for record in shop.get(f"/api/v1/{plural}?limit=200").json()["items"]
    }
    for cell in board["cells"][::3]:
        question = {
            "pack": documents[cell["pack"]],
            "engine": documents[cell["engine"]],
            "state": board["state"],
        }
        answer = shop.post("/api/v1/evaluate", json=question).json()
        assert cell["verdict"] == answer["verdict"]
        assert cell["missing"] == answer["missing"]
        assert cell["heavy"] == answer["heavy"]
        if cell["ratio"] is not None:
            for name in ("capacity_nm", "required_nm", "ratio", "p_slip"):
                assert cell[name] == answer[name]
            assert cell["ratio_without_factor"] == answer["ratio_without_factor"]["value"]


def test_the_figures_are_those_of_the_csv_to_the_bit(shop: TestClient) -> None:
    query = "friction=static&order=-capacity&mounting=geared"
    answer = shop.get(f"/board.csv?{query}")
    assert answer.status_code == 200
    rows = list(csv.DictReader(io.StringIO(answer.text.removeprefix("\ufeff"))))
    cells = read(shop, query)["cells"]
    assert [(r["pack_id"], r["engine_id"]) for r in rows] == [
        (c["pack"], c["engine"]) for c in cells
    ]
    for row, cell in zip(rows, cells, strict=True):
        assert row["verdict"] == cell["verdict"]
        for name, column in READINGS.items():
            for part in ("value", "std", "low", "high"):
                text = row[column.format("" if part == "value" else f"_{part}")]
                figure = None if cell[name] is None else cell[name][part]
                assert (float(text) if text else None) == figure
        assert (float(row["p_slip"]) if row["p_slip"] else None) == cell["p_slip"]


def test_pages_follow_each_other(shop: TestClient) -> None:
    whole = read(shop, "order=-name")
    found: list[str] = []
    at: str | None = "/api/v1/board?order=-name&per=5"
    pages = 0
    while at is not None:
        board = shop.get(at).json()
        pages += 1
        assert board["page"] == pages
        assert board["packs_found"] == len(whole["packs"])
        found += [pack["id"] for pack in board["packs"]]
        at = board["next"]
    assert pages == -(-len(whole["packs"]) // 5)
    assert found == [pack["id"] for pack in whole["packs"]]


def test_a_view_keeps_what_it_asks_for(shop: TestClient) -> None:
    engine = read(shop)["engines"][2]["id"]
    board = read(shop, f"engine={engine}&verdict=holds")
    assert [e["id"] for e in board["engines"]] == [engine]
    assert {c["verdict"] for c in board["cells"]} == {"holds"}
    ratios = [c["ratio"]["value"] for c in board["cells"]]
    assert ratios == sorted(ratios, reverse=True)
    name = board["packs"][0]["name"]
    assert name in [p["name"] for p in read(shop, f"q={name}")["packs"]]


@pytest.mark.parametrize(
    ("query", "path"),
    [
        ("wear=old", "wear"),
        ("wear=-1", "wear"),
        ("lubrication=wet", "lubrication"),
        ("per=0", "per"),
        ("page=1e3", "page"),
        ("speed_rpm=nan", "speed_rpm"),
        ("verdict=perhaps", "verdict"),
        ("order=colour", "order"),
        ("pack=nowhere222", "pack"),
        ("engine=%00", "engine"),
        ("colour=red", ""),
        ("friction=static&friction=sliding", "friction"),
    ],
)
def test_a_view_that_says_nothing_clear_is_refused(
    reader: TestClient, query: str, path: str
) -> None:
    answer = reader.get(f"/api/v1/board?{query}")
    assert answer.status_code == 422, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    assert [e["path"] for e in answer.json()["errors"]] == [path]


def test_a_board_that_is_held_already_is_not_sent_again(shop: TestClient) -> None:
    tag = shop.get("/api/v1/board").headers["etag"]
    held = {"If-None-Match": tag}
    assert shop.get("/api/v1/board", headers=held).status_code == 304
    assert shop.get("/api/v1/board?friction=static", headers=held).status_code == 200
    shop.post("/api/v1/packs", json={"name": "One more"})
    assert shop.get("/api/v1/board", headers=held).status_code == 200


def test_an_empty_catalogue_has_an_empty_board(reader: TestClient) -> None:
    board = read(reader)
    assert board["packs"] == board["engines"] == board["cells"] == []
    assert board["next"] is None


def test_figures_beyond_the_range_of_numbers_are_null(client: TestClient) -> None:
    tiny, vast = {"value": 1e-300, "how": "assumed"}, {"value": 1e-9, "std": 1e9}
    for n, changes in enumerate(
        ({"facing_od_mm": tiny}, {"clamp": {"kind": "load", "force_n": vast}})
    ):
        pack = {**PACK, "name": f"P{n}", "facing_id_mm": 1e-301, **changes}
        assert client.post("/api/v1/packs", json=pack).status_code == 201
        answer = client.post("/api/v1/evaluate", json={"pack": pack, "state": STATE})
        assert answer.status_code == 200
    for n, torque in enumerate((tiny, 22.0)):
        engine = {**ENGINE, "name": f"E{n}", "torque": {"kind": "measured", "torque_nm": torque}}
        assert client.post("/api/v1/engines", json=engine).status_code == 201
    assert len(read(client)["cells"]) == 4
    assert client.get("/board.csv").status_code == 200


def test_the_worst_of_states_says_which_and_is_that_state_s_own_cell(shop: TestClient) -> None:
    worst = read(shop, "worst=friction&worst=wear")
    assert worst["worst"] == ["friction", "wear"]
    assert {c["state"]["lubrication"] for c in worst["cells"]} == {"oiled"}
    assert {c["state"]["wear_mm"] for c in worst["cells"]} == {0.0, None}
    for cell in worst["cells"][::5]:
        wear = "worn" if cell["state"]["wear_mm"] is None else "new"
        query = f"friction={cell['state']['friction']}&wear={wear}"
        alone = next(c for c in read(shop, query)["cells"]
                     if (c["pack"], c["engine"]) == (cell["pack"], cell["engine"]))
        for name in ("ratio", "verdict", "missing", "capacity_nm", "p_slip"):
            assert cell[name] == alone[name]
        assert alone["state"] is None
    assert shop.get("/api/v1/board?worst=heat").status_code == 422
