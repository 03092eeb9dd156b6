from dataclasses import replace
from datetime import timedelta

from fastapi import FastAPI
from starlette.requests import Request
from starlette.testclient import TestClient

from app.records.backups import SILENT, Copied
from app.records.base import now
from app.services.safety import Safety
from app.web.safety_facts import copies_facts, foot_line


def copied(**changed: object) -> Copied:
    moment = now()
    made = Copied(
        kind="daily",
        day="2026-11-25",
        by="the server",
        stage="good",
        started_at=moment,
        beat=moment,
        ended_at=moment,
        host="bench",
        file="x.db",
        size=1,
        rows=2,
        message=None,
    )
    return replace(made, **changed)


def known(**changed: object) -> Safety:
    good = copied()
    return replace(Safety(now(), good, False, (good,), 1), **changed)


def test_a_copy_that_says_nothing_any_more_was_stopped() -> None:
    moment = now()
    silent = copied(stage="running", beat=moment - SILENT)
    alive = copied(stage="running", day=None)
    facts = copies_facts(known(moment=moment, tried=(silent, alive)), daily=True)
    assert [copy.stage for copy in facts.tried] == ["stopped", "running"]
    assert [copy.daily for copy in facts.tried] == [True, False]


def test_the_foot_says_it_once_the_watch_has_looked(app: FastAPI, client: TestClient) -> None:
    request = Request({"type": "http", "app": app, "headers": []})
    assert foot_line(request) is None
    app.state.copies._known = known()
    assert foot_line(request) == ("Last good backup less than a minute ago", False)
    page = client.get("/about").text
    assert '<a class="no-print" href="/about#copies">Last good backup less' in page
    old = copied(ended_at=now() - timedelta(hours=48))
    app.state.copies._known = known(good=old)
    assert foot_line(request) == ("Last good backup 48 hours ago", True)
    assert '<a class="no-print alarm" href="/about#copies">Last good' in client.get("/about").text


def test_where_copies_are_not_made_the_foot_is_silent(app: FastAPI, client: TestClient) -> None:
    watch = app.state.copies
    watch._known = known()
    watch.settings = watch.settings.model_copy(update={"daily_backup": False})
    assert foot_line(Request({"type": "http", "app": app, "headers": []})) is None
    assert foot_line(Request({"type": "http", "headers": []})) is None
