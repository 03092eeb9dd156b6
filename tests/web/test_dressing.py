import pytest
from hypothesis import given
from hypothesis import strategies as st
from markupsafe import escape

from app.services.sign_in import SignedIn
from app.web.dressing import dressed, with_form_token, without_shut_ways
from app.web.visitor import Visitor

PAGE = (
    '<p>Missing: <a href="/packs/x/edit#f-lift">lift &amp; wear</a></p>'
    '<a class="button quiet" href="/packs/new">New pack</a><a href="/packs?q=a&amp;b">Packs</a>'
    '<a href="https://seller.example/new">the offer</a>'
    '<form class="f" method="post" action="/packs/x/put-aside"><button>Put aside</button></form>'
    '<form method="get" action="/packs"><input name="q"></form>'
    '<form method="post" action="/sign-out"><button>Sign out</button></form>'
    '<form method="post" action="/settings"><button>Save</button></form>'
)


def by(role: str, token: str = "") -> Visitor:
    return Visitor(signs_in=True, member=SignedIn("k", "A", role, "s"), form_token=token)


def test_where_nobody_signs_in_a_page_stays_as_it_is() -> None:
    assert dressed(PAGE, Visitor(signs_in=False)) == PAGE


def test_a_viewer_keeps_the_words_and_loses_the_ways_that_are_shut() -> None:
    text = dressed(PAGE, by("viewer"))
    assert "<span>lift &amp; wear</span>" in text
    for gone in ("New pack", "put-aside", "/settings", "/edit"):
        assert gone not in text
    for kept in ("/packs?q=a&amp;b", "the offer", 'method="get"', "/sign-out"):
        assert kept in text


def test_an_editor_loses_settings_alone() -> None:
    text = dressed(PAGE, by("editor"))
    assert "/settings" not in text
    assert text.replace("</form>", "", 1).count("</form>") == 2
    assert "New pack" in text


def test_before_signing_in_every_way_leads_through_the_sign_in_page() -> None:
    assert dressed(PAGE, Visitor(signs_in=True)) == PAGE


def test_an_administrator_keeps_all() -> None:
    assert dressed(PAGE, by("admin")) == PAGE


def test_every_form_that_changes_something_gets_the_token_and_no_other() -> None:
    text = dressed(PAGE, by("admin", "abc"))
    box = '<input type="hidden" name="form_token" value="abc">'
    box += '<input type="hidden" name="form_member" value="k">'
    assert text.count(box) == 3
    assert f'action="/sign-out">{box}<button>' in text
    assert f'method="get" action="/packs">{box}' not in text


@given(st.text())
def test_typed_text_never_looks_like_a_form_or_a_link(typed: str) -> None:
    shown = f"<p>{escape(typed)}</p>"
    assert with_form_token(shown, "abc") == shown
    assert without_shut_ways(shown, by("viewer")) == shown


@pytest.mark.parametrize(
    "typed",
    ['<form method="post" action="/packs/new">', '<a href="/packs/new">x</a>', 'x" href="/a"'],
)
def test_nor_does_text_that_was_typed_to_look_like_one(typed: str) -> None:
    shown = f'<td title="{escape(typed)}">{escape(typed)}</td>'
    assert dressed(shown, by("viewer", "abc")) == shown
