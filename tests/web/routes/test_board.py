"""The board at its addresses: page, filters, refusals, CSV."""

import html
import json
import re
from collections.abc import Iterator
from threading import current_thread
from typing import Any

import pytest
from fastapi import FastAPI
from sqlalchemy import event
from starlette.testclient import TestClient

from app.comparison.board_view import BoardView
from app.comparison.cell import evaluate
from app.presentation.csv_reading import parse_csv
from app.records.database import read_session, writing
from app.services import comparing
from app.services.catalogue import engines, packs
from app.services.seeding import load_demo
from tests.factories import make_engine_document, make_pack

NASTY = '<script>alert(1)</script>"><img onerror=x> {{7*7}} hx-get="/x" &lt;b&gt;'


@pytest.fixture
def shop(app: FastAPI) -> Iterator[TestClient]:
    """A client of an application with the made-up shop in its database."""
    with TestClient(app, base_url="http://localhost:8000", follow_redirects=False) as client:
        with writing(app.state.engine) as session:
            load_demo(session)
        yield client


def text_of(page: str) -> str:
    return html.unescape(re.sub(r"<[^>]+>", " ", page))


def csv_of(client: TestClient, address: str = "/board.csv") -> list[dict[str, str]]:
    return parse_csv(client.get(address).content)


def test_the_page_shows_every_pack_against_every_engine(shop: TestClient) -> None:
    answer = shop.get("/")
    assert answer.status_code == 200
    assert answer.text.count('<td class="cell') == 21 * 9
    text = text_of(answer.text)
    for words in (
        "21 packs found",
        "oiled, sliding, new",
        "How a verdict is reached.",
        "Holds",
        "Tight",
        "Slips",
        "Not known",
        "missing:",
    ):
        assert words in text
    assert "Confirm by a bench slip test before use" in text


def test_each_cell_has_its_figures_and_leads_to_its_working(shop: TestClient, app: FastAPI) -> None:
    page = shop.get("/?wear=worn").text
    with read_session(app.state.engine) as session:
        board = comparing.board(session, BoardView(wear_mm=None))
    pack, engine = board.packs[5], board.engines[2]
    one = evaluate(pack.inputs, engine.inputs, board.view.state)
    assert one.ratio is not None
    address = f"/cell/{pack.public_id}/{engine.public_id}?wear=worn"
    cell = page.split(f'href="{address}"')[1].split("</td>")[0]
    assert f"{one.ratio.value:.2f}" in cell
    assert f"{one.ratio.low:.2f}" in cell
    stopped = board.cells.failed.get((5, 2)) and one.verdict != "slips"
    assert f"#mark-{'stopped' if stopped else one.verdict}" in cell


def test_an_empty_catalogue_shows_the_first_steps(app: FastAPI) -> None:
    with TestClient(app, base_url="http://localhost:8000") as client:
        answer = client.get("/")
    assert answer.status_code == 200
    assert 'href="/packs/new"' in answer.text
    assert 'href="/engines/new"' in answer.text
    assert "gripledger demo" in answer.text
    assert '<table class="data board' not in answer.text


@pytest.mark.parametrize(
    ("query", "told"),
    [
        ("wear=old", "Write new, worn"),
        ("speed_rpm=fast", "Write a number in figures"),
        ("foo=1", "“foo” is no setting here"),
        ("pack=gone", "There is no pack gone"),
        ("order=margin:gone", "There is no engine gone"),
        ("chart=engine:gone", "There is no engine gone"),
        ("page=0", "whole number from 1"),
    ],
)
def test_what_cannot_be_read_comes_back_with_the_form_as_typed(
    shop: TestClient, query: str, told: str
) -> None:
    answer = shop.get(f"/?{query}&q=my+six")
    assert answer.status_code == 422
    assert "<title>Error: " in answer.text
    assert told in text_of(answer.text)
    assert 'value="my six"' in answer.text
    assert answer.headers["HX-Reselect"] == "#main"


def test_the_speed_box_keeps_what_was_typed_and_says_it_at_the_box(shop: TestClient) -> None:
    page = shop.get("/?speed_rpm=6k").text
    box = page.split('id="f-speed-rpm"')[1].split(">")[0]
    assert 'value="6k"' in box
    assert 'aria-invalid="true"' in box
    assert 'href="#f-speed-rpm"' in page


def test_the_form_works_without_script_and_keeps_the_order(shop: TestClient) -> None:
    page = shop.get("/?order=-capacity&unit=lbf_ft").text
    assert 'method="get" action="/"' in page
    assert '<input type="hidden" name="order" value="-capacity" form="board-form">' in page
    assert '<input type="hidden" name="unit" value="lbf_ft" form="board-form">' in page
    sent = (
        "lubrication=oiled&friction=sliding&wear=new&q=&mounting=&radius=uniform_wear"
        "&wear=&speed_rpm=&heavy_above=&order=-capacity&unit=lbf_ft"
    )
    again = shop.get(f"/?{sent}")
    assert again.status_code == 200
    assert again.headers["HX-Push-Url"] == "/?order=-capacity&unit=lbf_ft"


def test_headings_say_how_they_are_sorted(shop: TestClient) -> None:
    page = shop.get("/?order=-capacity").text
    assert page.count("aria-sort") == 1
    assert 'aria-sort="descending"><a class="sort" id="sort-available"' in page


def test_the_csv_is_of_exactly_this_view_and_safe_to_open(shop: TestClient) -> None:
    answer = shop.get("/board.csv?order=-capacity&q=osier")
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "text/csv; charset=utf-8"
    assert re.fullmatch(
        r'attachment; filename="gripledger-board-\d{4}-\d\d-\d\d\.csv"',
        answer.headers["content-disposition"],
    )
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert answer.headers["cache-control"] == "no-store"
    assert answer.content.startswith(b'\xef\xbb\xbf"pack_id",')
    assert answer.content.endswith(b"\r\n")
    rows = parse_csv(answer.content)
    assert [row["pack_name"] for row in rows[::9]] == ["Osier 7 diaphragm", "Osier 6 weighed"]


def test_csv_page_and_interface_give_the_same_bits(shop: TestClient) -> None:
    for query in ("", "?lubrication=dry&friction=static&wear=worn", "?wear=0.2&speed_rpm=6000"):
        rows = csv_of(shop, f"/board.csv{query}")
        cells = shop.get(f"/api/v1/board{query}").json()["cells"]
        assert len(rows) == len(cells) == 21 * 9
        for row, cell in zip(rows, cells, strict=True):
            assert (row["pack_id"], row["engine_id"]) == (cell["pack"], cell["engine"])
            assert row["verdict"] == cell["verdict"]
            assert row["missing"].split() == cell["missing"]
            for name, value in (
                ("ratio", cell["ratio"] and cell["ratio"]["value"]),
                ("ratio_low", cell["ratio"] and cell["ratio"]["low"]),
                ("ratio_high", cell["ratio"] and cell["ratio"]["high"]),
                ("torque_available_N_m", cell["capacity_nm"] and cell["capacity_nm"]["value"]),
                ("torque_available_low_N_m", cell["capacity_nm"] and cell["capacity_nm"]["low"]),
                ("torque_required_N_m", cell["required_nm"] and cell["required_nm"]["value"]),
                ("torque_required_std_N_m", cell["required_nm"] and cell["required_nm"]["std"]),
                ("p_slip", cell["p_slip"]),
            ):
                assert row[name] == ("" if value is None else repr(value))


def test_a_refused_csv_is_a_page_that_says_why(shop: TestClient) -> None:
    answer = shop.get("/board.csv?wear=old")
    assert answer.status_code == 422
    assert "Write new, worn" in text_of(answer.text)


def test_a_chart_comes_with_a_sentence_and_a_table(shop: TestClient, app: FastAPI) -> None:
    engine = csv_of(shop)[0]["engine_id"]
    page = shop.get(f"/?chart=engine:{engine}").text
    figure = page.split("<figure")[1].split("</figure>")[0]
    assert "Of 21 packs shown against" in text_of(figure)
    assert figure.count('<th scope="row">') == 21
    assert "data-chart='{" in figure
    assert 'rel="preload"' in page
    assert 'rel="preload"' not in shop.get("/").text


def test_names_are_shown_as_text_everywhere(shop: TestClient, app: FastAPI) -> None:
    with writing(app.state.engine) as session:
        packs.add(session, make_pack(NASTY), by="Ann")
        engine = engines.add(session, make_engine_document(NASTY + " motor"), by="Ann").id
    page = shop.get(f"/?engine={engine}&q=script").text
    assert "<script>alert" not in page
    assert "<img" not in page
    assert "49" not in text_of(page.split("<tbody>")[1]).split("hx-get")[0]
    assert html.escape(NASTY, quote=False).split("&gt;&lt;img")[0] in page or "&lt;script" in page
    data = page.split("data-chart='")[1].split("'")[0]
    assert not set("<>'") & set(data)
    assert json.loads(data)["traces"]
    assert csv_of(shop, f"/board.csv?engine={engine}&q=script")[0]["pack_name"] == NASTY


def test_a_name_that_looks_like_a_formula_is_inert(shop: TestClient, app: FastAPI) -> None:
    with writing(app.state.engine) as session:
        packs.add(session, make_pack("=1+1"), by="Ann")
    raw = shop.get("/board.csv?q=%3D1").content.decode("utf-8-sig")
    assert '"\'=1+1"' in raw
    assert csv_of(shop, "/board.csv?q=%3D1")[0]["pack_name"] == "=1+1"


def test_the_page_takes_few_queries_however_many_records_there_are(
    shop: TestClient, app: FastAPI
) -> None:
    asked: list[str] = []

    @event.listens_for(app.state.engine, "before_cursor_execute")
    def note(_c: Any, _k: Any, statement: str, *_more: Any) -> None:
        # The keeper of daily copies asks from a thread of its own, whenever it likes.
        if statement != "BEGIN" and "AnyIO worker" in current_thread().name:
            asked.append(statement)

    def counted(address: str) -> int:
        asked.clear()
        assert shop.get(address).status_code == 200
        return len(asked)

    address = "/?order=-capacity&verdict=holds"
    cold, warm = counted(address), counted(address)
    with writing(app.state.engine) as session:
        for n in range(30):
            packs.add(session, make_pack(f"Many {n}"), by="Ann")
    assert (counted(address), counted(address)) == (cold, warm)
    assert warm == 1


def test_more_than_fifty_packs_are_paged(shop: TestClient, app: FastAPI) -> None:
    with writing(app.state.engine) as session:
        for n in range(50):
            packs.add(session, make_pack(f"Many {n}"), by="Ann")
    first = shop.get("/").text
    assert "Packs 1–50 of 71" in text_of(first)
    assert 'href="/?page=2"' in first
    second = shop.get("/?page=2").text
    assert "<title>Board, page 2" in second
    assert len(csv_of(shop)) == 71 * 9
    assert len(csv_of(shop, "/board.csv?page=2")) == 21 * 9


def test_the_worst_state_is_shown_filtered_and_ordered_by(shop: TestClient) -> None:
    page = shop.get("/?worst=friction&worst=wear").text
    assert "the worst of oiled, sliding or static, new or worn" in text_of(page)
    assert page.count('name="worst" value="wear" checked') == 1
    rows = csv_of(shop, "/board.csv?worst=friction&worst=wear&verdict=holds")
    by_pack: dict[str, set[str]] = {}
    for row in rows:
        by_pack.setdefault(row["pack_id"], set()).add(row["verdict"])
    assert by_pack
    assert all("holds" in verdicts for verdicts in by_pack.values())
    engine = rows[0]["engine_id"]
    ordered = csv_of(shop, f"/board.csv?worst=wear&engine={engine}&order=-margin:{engine}")
    ratios = [float(row["ratio"]) for row in ordered if row["ratio"]]
    assert ratios == sorted(ratios, reverse=True)
    wrong = shop.get("/?worst=heat")
    assert wrong.status_code == 422
    assert "Write lubrication, friction, wear" in text_of(wrong.text)


def test_the_engines_of_one_pack_let_it_onto_the_shortlist(shop: TestClient) -> None:
    page = shop.get("/", params={"q": "Sallow"}).text
    assert "Sallow box of parts" in page
    assert page.count('action="/shortlist/add"') == 1
    form = re.search(r'<form[^>]*action="/shortlist/add">(.*?)</form>', page, re.DOTALL)
    assert form is not None
    assert " ".join(text_of(form[1]).split()) == "+ shortlist : Sallow box of parts"


def test_the_csv_shows_what_the_board_shows_first(shop: TestClient) -> None:
    rows = csv_of(shop)
    stopped = [row for row in rows if row["verdict"] == "holds" and row["failed_checks"]]
    assert stopped, "the made-up shop has packs that would hold and do not bolt up"
    assert "Holds" not in {row["shown_as"] for row in stopped}
    plain = [row for row in rows if not row["failed_checks"]]
    words = {"holds": "Holds", "tight": "Tight", "slips": "Slips", "unknown": "Not known"}
    assert all(row["shown_as"] == words[row["verdict"]] for row in plain)
