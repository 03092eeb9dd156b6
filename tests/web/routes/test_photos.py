"""Photos as a browser sends and gets them, honest ones and others."""

import re

import pytest
from fastapi import FastAPI

from app.services import photos
from app.services.pictures import read_picture
from app.web.forms.photo_form import MOST_SENT
from tests.people import SAME_SITE, browser_of
from tests.services.picture_samples import HTML, SVG, drawn, huge_png, opened
from tests.services.test_photos import records, shown
from tests.web.routes.boxes import boxes
from tests.web.routes.conftest import PACK, Shop
from tests.web.routes.test_slip_test_forms import log

EMPTY = ("photo", ("", b"", "application/octet-stream"))
"""What a browser sends for a file box in which nothing was chosen."""


@pytest.fixture
def run(shop: Shop) -> str:
    return log(shop, shop.save("/packs/new", PACK).removeprefix("/packs/"))


def send(shop: Shop, address: str, *files: tuple[str, bytes, str], status: int = 303,
         **typed: str) -> str:
    parts = [EMPTY, *(("photo", file) for file in files)]
    answer = shop.client.post(f"{address}/photos", files=parts, data=typed)
    assert answer.status_code == status, answer.text[:2000]
    return answer.headers["location"] if status == 303 else answer.text


def ids(page: str) -> list[str]:
    return re.findall(r'src="/photos/(\w+)/small"', page)


def test_a_photo_is_added_shown_small_and_opens_full(shop: Shop, run: str) -> None:
    assert "None yet." in shop.get(run)
    sent = ("IMG_0001.JPG", drawn(size=(900, 600)), "image/jpeg")
    assert send(shop, run, sent, caption="  the  stub ") == f"{run}#photos"
    page = shop.get(run)
    assert "Photo added." in page
    (key,) = ids(page)
    assert f'<a href="/photos/{key}"><img src="/photos/{key}/small" alt="the stub"' in page
    assert 'accept="image/*" capture="environment"' in page
    for address, size in ((f"/photos/{key}", (900, 600)), (f"/photos/{key}/small", (320, 213))):
        answer = shop.client.get(address)
        assert answer.headers["content-type"] == "image/jpeg"
        assert answer.headers["content-security-policy"] == "default-src 'none'; sandbox"
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["content-disposition"] == f'inline; filename="photo-{key}.jpg"'
        assert opened(answer.content).size == size
    assert "IMG_0001" not in page, "the file's name is not kept"


def test_several_at_once_and_the_same_again(shop: Shop, run: str) -> None:
    one, two = (("a.jpg", drawn(colour=(i, 0, 0)), "image/jpeg") for i in (1, 90))
    send(shop, run, one, two)
    assert "2 photos added." in shop.get(run)
    send(shop, run, one)
    page = shop.get(run)
    assert "That photo is there already." in page
    assert len(ids(page)) == 2


@pytest.mark.parametrize(
    ("name", "data", "kind", "told"),
    [
        ("picture.svg", SVG, "image/svg+xml", "as JPEG, PNG or WebP"),
        ("picture.jpg", HTML, "image/jpeg", "as JPEG, PNG or WebP"),
        ("picture.jpg", SVG, "image/jpeg", "as JPEG, PNG or WebP"),
        ("picture.png", huge_png(30_000, 30_000), "image/png", "million pixels"),
        ("picture.jpg", b"\xff\xd8\xff" + HTML, "image/jpeg", "be opened"),
    ],
)
def test_what_is_no_photo_is_refused_and_nothing_is_kept(
    shop: Shop, run: str, name: str, data: bytes, kind: str, told: str
) -> None:
    good = ("good.jpg", drawn(), "image/jpeg")
    page = send(shop, run, good, (name, data, kind), status=422, caption="what I typed")
    assert told in page
    assert "There is a problem" in page
    assert 'value="what I typed"' in page
    assert ids(shop.get(run)) == [], "all of a form or none of it"


def test_a_path_in_a_file_s_name_leads_nowhere(shop: Shop, run: str) -> None:
    send(shop, run, ('../../etc/"><script>alert(1)</script>.jpg', drawn(), "text/html"))
    page = shop.get(run)
    assert "alert(1)" not in page
    (key,) = ids(page)
    answer = shop.client.get(f"/photos/{key}")
    assert answer.headers["content-type"] == "image/jpeg"
    assert "etc" not in answer.headers["content-disposition"]


def test_nothing_chosen_and_too_many_are_told(shop: Shop, run: str) -> None:
    assert "Take or choose a photo first." in send(shop, run, status=422)
    many = [("a.jpg", drawn(colour=(i, 0, 0)), "image/jpeg") for i in range(7)]
    assert "Send 6 photos at once at most" in send(shop, run, *many, status=422)


def test_a_phone_s_photo_passes_where_other_forms_end(shop: Shop, run: str) -> None:
    usual = shop.client.app.state.settings.body_limit_bytes  # type: ignore[attr-defined]  # an app
    sent = drawn("PNG", (60, 40)) + bytes(usual + 1000)
    send(shop, run, ("a.png", sent, "image/png"))
    assert len(ids(shop.get(run))) == 1
    over = ("a.jpg", bytes(MOST_SENT), "image/jpeg")
    assert "larger than" in send(shop, run, over, status=413)
    answer = shop.client.post(f"{run}/edit", data={"notes": "x" * (usual + 1)})
    assert answer.status_code == 413


def test_a_photo_is_put_aside_and_undo_brings_it_back(shop: Shop, run: str) -> None:
    send(shop, run, ("a.jpg", drawn(), "image/jpeg"))
    (key,) = ids(shop.get(run))
    assert shop.send(f"/photos/{key}/put-aside", {}).headers["location"] == f"{run}#photos"
    page = shop.get(run)
    assert f'action="/photos/{key}/bring-back"' in page
    assert ids(page) == []
    assert shop.client.get(f"/photos/{key}").status_code == 404
    assert shop.send(f"/photos/{key}/bring-back", {}).status_code == 303
    assert ids(shop.get(run)) == [key]
    told = shop.get("/history?noun=photo")
    assert "brought back the photo" in told.lower()
    assert told.count('<td class="changes blank"') == 2, "no empty heading on a phone"
    assert shop.send(f"/photos/{key}x/put-aside", {}).status_code == 404


def test_a_finding_has_photos_on_the_teardown_page(shop: Shop) -> None:
    pack = shop.save("/packs/new", PACK).removeprefix("/packs/")
    address = f"/packs/{pack}/teardown"
    shop.save(address, {"damper.outcome": "bad"})
    (finding,) = shop.stored("findings")
    where = f"/findings/{finding.id}"
    assert "be opened" in send(shop, where, ("a.jpg", drawn()[:99], "image/jpeg"), status=422)
    assert send(shop, where, ("a.jpg", drawn(), "image/jpeg")) == address
    page = shop.get(address)
    (key,) = ids(page)
    assert 'alt="Photo: Damper free to move? Bad"' in page
    assert shop.send(f"/photos/{key}/put-aside", {}).headers["location"] == address
    send(shop, "/findings/nothing", ("a.jpg", drawn(), "image/jpeg"), status=404)
    send(shop, "/tests/nothing", ("a.jpg", drawn(), "image/jpeg"), status=404)


def test_editors_add_photos_viewers_see_them_and_nobody_else_does(shared_app: FastAPI) -> None:
    engine = shared_app.state.engine
    test, _ = records(engine)
    photos.add(engine, "slip test", test, [read_picture(drawn())], None, by="Ada")
    (key,) = shown(engine, "slip test", test)
    files = {"photo": ("a.jpg", drawn(colour=(0, 0, 200)), "image/jpeg")}
    with browser_of(shared_app) as browser:
        assert browser.get(f"/photos/{key}/small").status_code == 303, "sign in first"
        browser.sign_in("Vi")
        answer = browser.get(f"/photos/{key}")
        assert answer.status_code == 200
        assert answer.headers["cache-control"] == "no-store", "the next at this browser is another"
        page = browser.get(f"/tests/{test}").text
        assert f"/photos/{key}/small" in page
        assert "add-photos" not in page
        assert f"/photos/{key}/put-aside" not in page
        assert browser.post(f"/tests/{test}/photos", files=files).status_code == 403
        assert browser.post(f"/photos/{key}/put-aside").status_code == 403
    with browser_of(shared_app) as browser:
        browser.sign_in("Ed")
        assert browser.post(f"/tests/{test}/photos", files=files).status_code == 303
        assert "Ed," in browser.get(f"/tests/{test}").text
    assert len(shown(engine, "slip test", test)) == 2


def test_a_photo_that_was_put_aside_is_taken_out_for_good(shop: Shop, run: str) -> None:
    assert "No photo is put aside." in shop.get("/photos/put-aside")
    send(shop, run, ("a.jpg", drawn(), "image/jpeg"), caption="the tester")
    (key,) = ids(shop.get(run))
    at = f"/photos/put-aside/{key}"
    shop.get(at, 404)
    assert shop.send(f"{at}/take-out", {"version": "1"}).status_code == 404
    shop.send(f"/photos/{key}/put-aside", {})
    assert "an administrator can take it out for good" in shop.get(run)
    listed = shop.get("/photos/put-aside")
    assert f'href="{at}"' in listed
    assert f'action="/photos/{key}/bring-back"' in listed
    picture = shop.client.get(f"{at}/small")
    assert (picture.status_code, picture.headers["cache-control"]) == (200, "no-store")
    asked = shop.get(at)
    assert "Take this photo out for good?" in asked
    assert "the tester" in asked
    assert shop.send(f"{at}/take-out", {"version": "1"}).status_code == 409
    answer = shop.send(f"{at}/take-out", boxes(asked, f"{at}/take-out"))
    assert (answer.status_code, answer.headers["location"]) == (303, "/photos/put-aside")
    assert "was taken out for good." in shop.get("/photos/put-aside")
    for address in (f"{at}/small", at, f"/photos/{key}"):
        assert shop.client.get(address).status_code == 404
    told = shop.get("/history?noun=photo")
    assert "taken out for good" in told
    gone = re.findall(r'href="(/history/[0-9]+)"', told)[0]
    page = shop.get(gone)
    assert "Undo this change" not in page
    assert "taken out for good" in page


def test_only_administrators_take_photos_out(shared_app: FastAPI) -> None:
    engine = shared_app.state.engine
    test, _ = records(engine)
    photos.add(engine, "slip test", test, [read_picture(drawn())], None, by="Ada")
    (key,) = shown(engine, "slip test", test)
    photos.put_aside(engine, key, by="Ed")
    at = f"/photos/put-aside/{key}"
    with browser_of(shared_app) as browser:
        browser.sign_in("Ed")
        for address in ("/photos/put-aside", at, f"{at}/small"):
            assert browser.get(address).status_code == 403, address
        assert browser.post(f"{at}/take-out", {"version": "2"}).status_code == 403
        assert 'href="/photos/put-aside"' not in browser.get(f"/tests/{test}").text
    with browser_of(shared_app) as browser:
        browser.sign_in("Ada")
        assert 'href="/photos/put-aside"' in browser.get(f"/tests/{test}").text
        bare = browser.client.post(f"{at}/take-out", data={"version": "2"}, headers=SAME_SITE)
        assert bare.status_code == 403, "a form without the session's token"
        assert browser.post(f"{at}/take-out", {"version": "2"}).status_code == 303
