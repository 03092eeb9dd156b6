"""Heat of a launch at its address."""

import html
import re
from collections.abc import Iterator
from typing import Any

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from app.records.database import writing
from app.services.catalogue import engines, packs
from tests.factories import make_engine_document, make_pack

TYPED = "&crank_rpm=4500&mass_kg=180&wheel_radius_m=0.3&overall_ratio=9"


def text_of(page: str) -> str:
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", page)))


@pytest.fixture
def shop(app: FastAPI) -> Iterator[TestClient]:
    with TestClient(app, base_url="http://localhost:8000", follow_redirects=False) as client:
        yield client


def record(app: FastAPI, pack: dict[str, Any] | None = None, **engine: Any) -> str:
    """The launch page of a pack and an engine with the changes asked for."""
    with writing(app.state.engine) as session:
        one = packs.add(session, make_pack("Six springs", **(pack or {})), by="Ann").id
        other = engines.add(session, make_engine_document("Single 250", **engine), by="Ann").id
    return f"/cell/{one}/{other}/launch"


def asked(shop: TestClient, path: str, status: int = 200) -> str:
    answer = shop.get(path)
    assert answer.status_code == status
    return answer.text


@pytest.fixture
def cell(app: FastAPI) -> str:
    return record(app, primary_teeth=[20, 60])


def test_the_form_begins_with_what_the_records_know(shop: TestClient, cell: str) -> None:
    page = asked(shop, cell)
    assert "Heat of a launch: Six springs on Single 250" in page
    torque = re.search(r'name="torque_nm"[^>]*value="([0-9.]+)"', page)
    assert torque is not None
    assert float(torque.group(1)) > 10.0
    assert 'name="crank_rpm"' in page
    assert 'id="answer"' not in page


def test_the_answer_is_that_of_a_held_driver(shop: TestClient, cell: str) -> None:
    text = text_of(asked(shop, f"{cell}?torque_nm=60{TYPED}"))
    # Clutch speed 4500/3 = 1500 r/min = 157.08 rad/s; I = 180 · 0.3²/9² = 0.2 kg·m²;
    # E = ½ · 0.2 · 157.08² = 2467 J; t = 0.2 · 157.08/60 = 0.524 s.
    assert re.search(r"Heat of one launch 2467 J", text)
    assert re.search(r"Slip time 0\.52 s", text)
    assert "The engine is held at its speed." in text


def test_a_driver_that_slows_down_needs_its_inertia(shop: TestClient, cell: str) -> None:
    query = f"{cell}?torque_nm=60{TYPED}&model=inertia"
    answer = asked(shop, query, 422)
    assert "Write the crank's inertia" in html.unescape(answer)
    text = text_of(asked(shop, f"{query}&inertia_kg_m2=0.01"))
    # The crank turns 3 times as fast: 0.01 · 3² = 0.09 kg·m² at the clutch;
    # E = 0.09 · 0.2/(2 · 0.29) · 157.08² = 766 J.
    assert re.search(r"Heat of one launch 766 J", text)


def test_what_is_missing_is_asked_for_and_what_was_typed_stays(shop: TestClient, cell: str) -> None:
    page = asked(shop, f"{cell}?torque_nm=60&crank_rpm=4500&mass_kg=heavy", 422)
    assert 'value="heavy"' in page
    assert page.count("Write this figure; the heat needs it.") >= 2
    assert 'id="answer"' not in page


def test_the_state_is_kept_and_leads_back_to_the_cell(shop: TestClient, cell: str) -> None:
    page = html.unescape(asked(shop, f"{cell}?lubrication=oiled&radius=uniform_pressure"))
    assert f'href="{cell.removesuffix("/launch")}?radius=uniform_pressure"' in page
    assert '<input type="hidden" name="radius" value="uniform_pressure">' in page


def test_a_setting_it_does_not_know_is_refused(shop: TestClient, cell: str) -> None:
    assert "no setting here" in asked(shop, f"{cell}?colour=red", 422)


def test_records_that_are_not_there_are_not_found(shop: TestClient, cell: str) -> None:
    assert "There is no pack gone" in asked(shop, "/cell/gone/gone/launch", 404)


def test_without_a_primary_ratio_the_clutch_speed_is_said_to_be_unknown(
    shop: TestClient, app: FastAPI
) -> None:
    page = asked(shop, f"{record(app, primary_teeth=None)}?torque_nm=60{TYPED}", 422)
    assert "primary ratio is not recorded" in html.unescape(page)


def test_on_the_crankshaft_the_clutch_turns_with_the_crank(shop: TestClient, app: FastAPI) -> None:
    page = record(app, {"mounting": "crankshaft"}, primary_teeth=None)
    text = text_of(asked(shop, f"{page}?torque_nm=60{TYPED}"))
    # 4500 r/min = 471.24 rad/s at the clutch: E = ½ · 0.2 · 471.24² = 22207 J.
    assert re.search(r"Heat of one launch 22\s?207 J", text), text


def test_what_the_engine_sets_moving_is_filled_in(shop: TestClient, app: FastAPI) -> None:
    page = asked(shop, record(
        app, vehicle_mass_kg=180, wheel_radius_m=0.31, clutch_to_wheel_ratio=9.4))
    for name, text in (("mass_kg", "180"), ("wheel_radius_m", "0.31"), ("overall_ratio", "9.4")):
        assert re.search(f'name="{name}" value="{text}"', page), name


def test_every_term_has_its_help(shop: TestClient, cell: str) -> None:
    asks = ("Which torque is meant?", "Held, or slowing down?", "What is inertia?",
            "Why do mass, wheel and gear belong together?", "What is the load torque?",
            "Why the plain plates?")
    tells = ("What is the heat of a launch?", "What is the slip time?",
             "What is the common clutch speed?", "Why heat over the faces?",
             "What is the temperature rise?")
    form = asked(shop, cell)
    assert [text for text in asks if f"<summary>{text}</summary>" not in form] == []
    assert not any(text in form for text in tells)
    answer = asked(shop, f"{cell}?torque_nm=60&plate_mass_kg=0.5{TYPED}")
    figures = re.findall(r"<dt>([^<]*)</dt>", answer)
    assert len(figures) == 5
    assert [text for text in tells if f"<summary>{text}</summary>" not in answer] == []
