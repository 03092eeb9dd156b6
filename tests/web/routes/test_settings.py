import pytest

from app.records import database
from app.services import team_settings as team
from tests.web.routes.boxes import boxes, title
from tests.web.routes.conftest import PACK, Shop


def test_what_is_shipped_stands_beside_blank_boxes(shop: Shop) -> None:
    page = shop.get("/settings")
    assert "else 0.05\u00a0mm" in page
    assert "else 0.02\u00a0mm or 0.5\u00a0%" in page
    typed = boxes(page, "/settings")
    assert typed["doubt.length.measured"] == ""
    assert typed["heavy"] == ""
    assert 'href="/settings"' in shop.get("/about")


def test_the_teams_own_doubt_is_used_for_the_next_record_and_blank_takes_it_back(
    shop: Shop,
) -> None:
    assert shop.save("/settings", {"doubt.length.measured": "0,2"}) == "/settings"
    shop.save("/packs/new", PACK)
    (stored,) = shop.stored("packs")
    assert stored.document.facing_od_mm.plus_minus == 0.2
    assert boxes(shop.get("/settings"), "/settings")["doubt.length.measured"] == "0.2 mm"
    shop.save("/settings", {"doubt.length.measured": ""})
    shop.save("/packs/new", PACK | {"name": "Second"})
    second = next(s for s in shop.stored("packs") if s.name == "Second")
    assert second.document.facing_od_mm.plus_minus == 0.05


def test_a_doubt_may_be_a_share_or_both(shop: Shop) -> None:
    shop.save("/settings", {"doubt.wire.listed": "1/64 in or 1 %", "doubt.mass.measured": "2%"})
    with database.read_session(shop.client.app.state.engine) as session:
        own = team.doubt_overrides(session)
    wire, mass = own["wire", "listed"], own["mass", "measured"]
    assert (wire.absolute, wire.relative) == (25.4 / 64, 0.01)
    assert (mass.absolute, mass.relative) == (None, 0.02)


def test_the_name_and_the_limit_are_kept_and_used(shop: Shop) -> None:
    shop.save("/settings", {"measured_by": "Ada", "heavy": "2,5"})
    assert shop.form("/packs/new")["stamp_by"] == "Ada"
    assert boxes(shop.get("/settings"), "/settings")["heavy"] == "2.5"
    with database.read_session(shop.client.app.state.engine) as session:
        assert team.limits(session)["heavy"] == 2.5
    shop.save("/settings", {"heavy": ""})
    with database.read_session(shop.client.app.state.engine) as session:
        assert team.limits(session)["heavy"] == 3.0


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"doubt.length.measured": "1,234"}, "Length, measured: Write 1234 or 1.234"),
        ({"doubt.length.measured": "2 N"}, "Length, measured: Write the length in mm"),
        ({"doubt.length.listed": "120 %"}, "less than 100 %"),
        ({"doubt.length.listed": "-1"}, "0 or more"),
        ({"doubt.mass.measured": "2 g"}, "in percent"),
        ({"heavy": "1"}, "must be more than 1"),
        ({"heavy": "nan"}, "Write a number"),
    ],
)
def test_what_cannot_be_is_refused_with_everything_kept(
    shop: Shop, changed: dict[str, str], words: str
) -> None:
    answer = shop.send("/settings", shop.form("/settings") | {"measured_by": "Ada"} | changed)
    assert answer.status_code == 422
    assert title(answer.text).startswith("Error: ")
    assert words in answer.text.replace("\u00a0", " ")
    kept = boxes(answer.text, "/settings")
    assert kept["measured_by"] == "Ada"
    assert {name: kept[name] for name in changed} == changed
    assert shop.form("/settings")["measured_by"] == ""


def test_a_stale_save_keeps_the_typing_and_can_go_on(shop: Shop) -> None:
    mine = shop.form("/settings") | {"heavy": "4"}
    shop.save("/settings", {"heavy": "2"})
    answer = shop.send("/settings", mine)
    assert answer.status_code == 409
    again = boxes(answer.text, "/settings")
    assert again["heavy"] == "4"
    assert shop.send("/settings", again).status_code == 303
    assert boxes(shop.get("/settings"), "/settings")["heavy"] == "4"
