from tests.web.routes.boxes import boxes
from tests.web.routes.conftest import PACK, Shop
from tests.web.routes.test_slip_test_forms import GAUGE, log


def test_an_instrument_is_recorded_shown_changed_and_put_aside(shop: Shop) -> None:
    assert "No instrument is recorded yet" in shop.get("/instruments")
    at = shop.save("/instruments/new", GAUGE)
    text = shop.get(at).replace("\u00a0", " ")
    assert "60 N·m" in text
    assert "4 % of the reading" in text
    assert "None yet." in text
    listed = shop.get("/instruments")
    assert "5–60" in listed
    assert "4 %" in listed
    shop.save(f"{at}/edit", {"range_high_nm": "80"})
    assert shop.stored("instruments")[0].document.range_high_nm == 80.0
    aside = f"{at}/put-aside"
    shop.send(aside, boxes(shop.get(at), aside))
    assert "Fish scale" in shop.get("/instruments/put-aside")
    shop.send(f"{at}/bring-back", {})
    assert "5–80" in shop.get("/instruments")


def test_its_runs_lead_to_their_pages(shop: Shop) -> None:
    at = shop.save("/instruments/new", GAUGE)
    pack = shop.save("/packs/new", PACK).removeprefix("/packs/")
    run = log(shop, pack, instrument=at.removeprefix("/instruments/"))
    assert f'<a href="{run}">' in shop.get(at)


def test_a_range_that_falls_is_refused_with_everything_kept(shop: Shop) -> None:
    typed = shop.form("/instruments/new") | GAUGE | {"range_low_nm": "70"}
    answer = shop.send("/instruments/new", typed)
    assert answer.status_code == 422
    told = "Range to: write more than the beginning of the range, 70 N·m. Here stands 60 N·m."
    assert told in answer.text
    assert boxes(answer.text, "/instruments/new")["range_low_nm"] == "70"
