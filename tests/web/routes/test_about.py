import re
import sqlite3

from starlette.testclient import TestClient

from app.presentation.about import PROMISES
from app.presentation.cautions import CAUTIONS
from app.web.render import app_version


def test_it_says_how_this_installation_keeps_its_data(client: TestClient) -> None:
    text = client.get("/about").text
    facts = dict(
        re.findall(r"<dt>([^<]+)</dt><dd>([^<]+)</dd>", text.split("This installation<")[-1])
    )
    assert facts["Program version"] == app_version()
    assert facts["Database"] == "SQLite"
    assert facts["Database version"] == sqlite3.sqlite_version
    with sqlite3.connect(client.app.state.settings.data_dir / "gripledger.db") as database:  # type: ignore[attr-defined]  # the client does not say which application it holds
        (mode,) = database.execute("PRAGMA journal_mode").fetchone()
    assert facts["Journal mode"] == mode


def test_every_promise_says_condition_exception_and_check(client: TestClient) -> None:
    text = client.get("/about").text
    assert text.count("<dt>Check it yourself</dt>") == len(PROMISES)
    assert text.count("<dt>Condition</dt>") == len(PROMISES)
    assert text.count("<dt>Not covered</dt>") == len(PROMISES)


def test_every_caution_has_an_anchor_and_a_source(client: TestClient) -> None:
    text = client.get("/about").text
    for key, caution in CAUTIONS.items():
        assert f'id="caution-{key}"' in text
        assert caution.source.split(",")[0].split(":")[0] in text


def test_the_rule_and_the_aid_are_stated(client: TestClient) -> None:
    text = client.get("/about").text
    for word in ("Holds", "Tight", "Slips", "Not known"):
        assert f'<span class="verdict-word">{word}</span>' in text
    assert "bench slip test" in text
    assert "licensed" in text


SAME_SITE = {"Origin": "http://localhost:8000"}


def test_back_up_now_makes_a_checked_copy_and_says_so(client: TestClient) -> None:
    assert "No good backup yet." in client.get("/about").text
    answer = client.post("/about/backup", headers=SAME_SITE)
    assert answer.status_code == 303
    assert answer.headers["location"] == "/about#copies"
    text = client.get("/about").text
    assert "Backup made and checked" in text
    assert "Last good backup less than a minute ago" in text
    assert "by hand, this computer" in text
    assert len(list(client.app.state.settings.backup_dir.glob("*-by-hand.db"))) == 1  # type: ignore[attr-defined]  # the client does not say which application it holds


def test_a_copy_that_can_not_be_made_is_told_on_the_page(client: TestClient) -> None:
    client.app.state.settings.backup_dir.write_text("a file in the way")  # type: ignore[attr-defined]  # as above
    answer = client.post("/about/backup", headers=SAME_SITE)
    assert answer.status_code == 503
    assert "No copy was made: the folder" in answer.text
    assert "The last attempt failed." in answer.text
    assert 'class="alarm"' in answer.text


def test_a_form_of_another_site_makes_no_copy(client: TestClient) -> None:
    answer = client.post("/about/backup", headers={"Origin": "http://elsewhere.example"})
    assert answer.status_code == 403
    assert not client.app.state.settings.backup_dir.exists()  # type: ignore[attr-defined]  # as above


def test_the_button_says_that_it_is_at_work(client: TestClient) -> None:
    assert 'data-busy="Copying and checking…">Back up now</button>' in client.get("/about").text


def test_the_worked_example_leads_from_a_pack_to_an_order(client: TestClient) -> None:
    assert 'href="/about/example"' in client.get("/about").text
    text = client.get("/about/example").text
    places = [text.index(f'id="{step}"') for step in
              ("measure", "enter", "board", "cell", "next", "test", "order")]
    assert places == sorted(places)
    assert "invented" in text
    for verdict in ("Holds", "Tight", "Slips"):
        assert verdict in text
    for address in ("/packs/new", "/engines/new", "/tests/plan", "/tests/new", "/shortlist"):
        assert client.get(address).status_code == 200
