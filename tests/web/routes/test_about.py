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
