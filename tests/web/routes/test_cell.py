"""The working of a cell at its address."""

import html
import re
from collections.abc import Iterator

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from app.comparison.board_view import BoardView
from app.comparison.cell import evaluate
from app.presentation.torques import fast_ratio
from app.records.database import read_session, writing
from app.services.catalogue import engines, packs
from app.services.seeding import load_demo
from app.services.standing import Standing, standing
from tests.factories import make_engine_document, make_pack
from tests.web.routes.test_board import NASTY


@pytest.fixture
def shop(app: FastAPI) -> Iterator[TestClient]:
    with TestClient(app, base_url="http://localhost:8000", follow_redirects=False) as client:
        with writing(app.state.engine) as session:
            load_demo(session)
        yield client


def text_of(page: str) -> str:
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", page)))


def catalogue(app: FastAPI) -> Standing:
    with read_session(app.state.engine) as session:
        return standing(session)


def address(app: FastAPI, pack: str, engine: str) -> str:
    now = catalogue(app)
    p = next(p for p in now.packs if p.name == pack)
    e = next(e for e in now.engines if e.name == engine)
    return f"/cell/{p.public_id}/{e.public_id}"


@pytest.mark.parametrize("query", ["", "?wear=worn", "?lubrication=dry&friction=static"])
def test_every_cell_of_the_shop_shows_evaluate_s_own_verdict(
    shop: TestClient, app: FastAPI, query: str
) -> None:
    now = catalogue(app)
    view = {"": BoardView(), "?wear=worn": BoardView(wear_mm=None)}.get(
        query, BoardView("dry", "static")
    )
    words = {"holds": "Holds", "tight": "Tight", "slips": "Slips", "unknown": "Not known"}
    for pack in now.packs:
        engine = now.engines[1]
        one = evaluate(pack.inputs, engine.inputs, view.state)
        answer = shop.get(f"/cell/{pack.public_id}/{engine.public_id}{query}")
        assert answer.status_code == 200, pack.name
        verdict = answer.text.split('aria-label="Verdict"')[1].split("</section>")[0]
        assert words[one.verdict] in verdict
        if one.ratio is not None:
            assert fast_ratio(one.ratio.value) in verdict


def test_the_page_has_the_whole_working(shop: TestClient, app: FastAPI) -> None:
    text = text_of(shop.get(address(app, "Bulrush 6", "Carr 250")).text)
    for words in (
        "Bulrush 6 carries 0.996 times",
        "How a verdict is reached.",
        "Calculated aid.",
        "Confirm by a bench slip test before use",
        "Working faces",
        "= 6 · 2",
        "1204 ± 39\u00a0N",
        "Shigley, Mechanical Engineering Design, ch. 16",
        "Service factor",
        "Measure next:",
        "How much of the doubt each figure makes up",
        "Tried out 200",
        "All states",
        "Oiled, static",
        "Facing outside diameter",
        "120 ± 0.05\u00a0mm",
        "Measured",
        "Juvinall",
    ):
        assert words.replace("\u00a0", " ") in text, words


def test_assumed_values_are_said_beside_the_verdict_and_lead_to_their_row(
    shop: TestClient, app: FastAPI
) -> None:
    page = shop.get(address(app, "Bulrush 6", "Carr 250")).text
    verdict = page.split('<h2 id="doubt"')[1].split("</section>")[0]
    assert "Rests on figures that are assumed or estimated" in verdict
    for anchor in re.findall(r'href="#(input-[a-z0-9-]+)"', page):
        assert f'id="{anchor}"' in page
    assert 'href="#input-engine-service-factor"' in verdict


def test_what_is_missing_leads_to_its_box_in_the_form(shop: TestClient, app: FastAPI) -> None:
    page = shop.get(address(app, "Sallow box of parts", "Carr 250")).text
    verdict = page.split('aria-label="Verdict"')[1].split("</section>")[0]
    assert "Missing for a verdict:" in verdict
    assert verdict.index("Missing for a verdict:") < verdict.index("There is no verdict")
    assert "verdict large" not in verdict
    assert re.search(r'href="/packs/[a-z0-9]+/edit#f-mounting"', verdict)


def test_two_rates_that_disagree_are_said_at_their_step(shop: TestClient, app: FastAPI) -> None:
    page = shop.get(address(app, "Brack 5 doubtful springs", "Carr 250")).text
    step = page.split('id="step-rate-agreement-en-0"')[1].split("</li>")[0]
    assert "The two ways to the spring rate disagree" in step


@pytest.mark.parametrize(
    ("path", "status", "told"),
    [
        ("/cell/gone/{engine}", 404, "There is no pack gone"),
        ("/cell/{pack}/gone", 404, "There is no engine gone"),
        ("/cell/{pack}/{engine}?wear=old", 422, "Write new, worn"),
        ("/cell/{pack}/{engine}?q=six", 422, "“q” is no setting here"),
    ],
)
def test_what_cannot_be_shown_says_why(
    shop: TestClient, app: FastAPI, path: str, status: int, told: str
) -> None:
    now = catalogue(app)
    answer = shop.get(path.format(pack=now.packs[0].public_id, engine=now.engines[0].public_id))
    assert answer.status_code == status
    assert told in text_of(answer.text)


def test_a_pack_that_was_put_aside_has_no_cell(shop: TestClient, app: FastAPI) -> None:
    cell = address(app, "Bulrush 6", "Carr 250")
    assert shop.get(cell).status_code == 200
    with writing(app.state.engine) as session:
        stored = next(p for p in packs.page(session).records if p.name == "Bulrush 6")
        packs.put_aside(session, stored.id, stored.version, by="Ann")
    assert shop.get(cell).status_code == 404


def test_what_was_typed_is_shown_as_text(shop: TestClient, app: FastAPI) -> None:
    with writing(app.state.engine) as session:
        pack = packs.add(
            session,
            make_pack(
                NASTY,
                facing_od_mm={
                    "value": 110.0,
                    "plus_minus": 0.1,
                    "how": "assumed",
                    "with_what": NASTY,
                    "typed": "<b>110</b>",
                },
                surfaces=8,
                surfaces_reason=NASTY,
            ),
            by="Ann",
        ).id
        engine = engines.add(session, make_engine_document(), by="Ann").id
    page = shop.get(f"/cell/{pack}/{engine}").text
    assert "<script>alert" not in page
    assert "<img" not in page
    assert "<b>110" not in page
    assert "<b>110</b>" in html.unescape(page)


def test_the_page_needs_no_script(shop: TestClient, app: FastAPI) -> None:
    page = shop.get(address(app, "Bulrush 6", "Carr 250")).text
    body = page.split("<body>")[1]
    assert re.findall("<script(?! type=.application/json.>)", body) == []
    assert "style=" not in body


def test_what_torque_leaves_open_stands_on_the_page(shop: TestClient, app: FastAPI) -> None:
    page = shop.get(address(app, "Bulrush 6", "Fen 110")).text
    for anchor in ("checks", "wear-heading", "changes"):
        assert f'<h2 id="{anchor}"' in page
    text = text_of(page)
    for words in (
        "Checks that outrank torque", "Bolts up", "Can release", "Facing pressure",
        "Torque carried as the facings wear", "Shim under the springs",
        "Primary ratio", "Heat of a launch with this pack and engine",
    ):
        assert words in text, words
    assert 'id="chart-speed"' not in page


def test_a_wanted_ratio_is_solved_for_and_kept(shop: TestClient, app: FastAPI) -> None:
    cell = address(app, "Bulrush 6", "Fen 110")
    page = shop.get(f"{cell}?wear=worn&target=1,5").text
    assert re.search(r'name="target" value="1,5"', page)
    part = page.split('id="changes"')[1].split("</section>")[0]
    assert '<input type="hidden" name="wear" value="worn">' in part
    assert "1.50" in part


@pytest.mark.parametrize("typed", ["lots", "-1", "0"])
def test_a_ratio_that_cannot_be_is_refused_at_its_box(
    shop: TestClient, app: FastAPI, typed: str
) -> None:
    answer = shop.get(f"{address(app, 'Bulrush 6', 'Fen 110')}?target={typed}")
    assert answer.status_code == 422
    assert f'name="target" value="{typed}" aria-invalid="true"' in answer.text
    # The rest of the page is there all the same.
    assert "How a verdict is reached." in answer.text


def test_only_an_automatic_pack_has_a_curve_over_speed(shop: TestClient, app: FastAPI) -> None:
    page = shop.get(address(app, "Alder 3 automatic", "Mire 50")).text
    assert 'id="chart-speed"' in page
    assert "It bites at" in text_of(page)


def test_a_disc_spring_has_its_curve_on_the_cell(shop: TestClient, app: FastAPI) -> None:
    page = shop.get(address(app, "Reed 9 disc", "Carr 250")).text
    assert 'id="chart-disc"' in page
    assert "Clamp load: new" in text_of(page)


def test_springs_of_the_catalogue_that_would_do_are_named(shop: TestClient, app: FastAPI) -> None:
    page = shop.get(f"{address(app, 'Bulrush 6', 'Carr 250')}?target=1.01").text
    part = text_of(page.split('id="changes"')[1].split("</section>")[0])
    assert "Springs in the catalogue that would do" in part
    # Nests, discs and loads do not say what room a single spring has.
    for name in ("Bulrush 7 nested", "Reed 9 disc", "Osier 6 weighed"):
        page = shop.get(address(app, name, "Carr 250")).text
        assert "Springs in the catalogue" not in page


def test_beside_the_verdict_stands_what_wear_makes_of_it_and_who_checked(
    shop: TestClient, app: FastAPI
) -> None:
    page = shop.get(address(app, "Bulrush 6", "Carr 150 trail")).text
    line = page.split('class="cell-beside"')[1].split("</p>")[0]
    assert re.search(r'href="/cell/\w+/\w+\?wear=worn">Worn: \w+ [\d.]+</a>', line)
    assert "· figures not checked by anybody" in line
    page = shop.get(address(app, "Alder 3", "Fen 110")).text
    assert "pack’s figures checked by " in page.split('class="cell-beside"')[1].split("</p>")[0]
