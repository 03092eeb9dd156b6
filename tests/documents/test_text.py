from typing import Any

import pytest
from pydantic import BaseModel, ValidationError

from app.documents.text import Currency, Line, Link, Moment, Name, Notes


class Texts(BaseModel):
    name: Name = "x"
    line: Line = None
    notes: Notes = None
    moment: Moment = None
    link: Link = None
    currency: Currency = None


def refused(**raw: Any) -> str:
    with pytest.raises(ValidationError) as caught:
        Texts(**raw)
    return str(caught.value.errors()[0]["msg"])


def test_spaces_around_and_within_a_name_are_evened_out() -> None:
    assert Texts(name="  Tern \t 4 ").name == "Tern 4"


@pytest.mark.parametrize("name", ["", "   ", None, 4, "x" * 201])
def test_a_name_is_text_of_1_to_200_characters(name: Any) -> None:
    assert refused(name=name)


@pytest.mark.parametrize("sign", ["\x00", "\x1b", "\x7f", "\ud800"])
def test_text_that_a_database_or_a_terminal_trips_over_is_refused(sign: str) -> None:
    assert "control characters" in refused(notes=f"a{sign}b")


def test_notes_keep_their_lines_and_blank_text_is_not_given() -> None:
    assert Texts(notes="one\ntwo\n").notes == "one\ntwo"
    assert Texts(notes="  ", line=" ").model_dump(exclude_none=True) == {"name": "x"}


@pytest.mark.parametrize("moment", ["2026-11-25", "2026-11-25T10:00:00Z"])
def test_a_date_with_or_without_a_time_is_kept_as_given(moment: str) -> None:
    assert Texts(moment=moment).moment == moment


@pytest.mark.parametrize("moment", ["yesterday", "25.11.2026", "2026-13-01"])
def test_other_dates_are_refused_with_the_form_that_is_right(moment: str) -> None:
    assert "2026-11-25" in refused(moment=moment)


@pytest.mark.parametrize("link", ["javascript:alert(1)", "ftp://x", "https://", "www.x.example"])
def test_a_link_leads_to_the_web_and_nowhere_else(link: str) -> None:
    assert "https://" in refused(link=link)
    assert Texts(link="HTTPS://shop.example/a?b=1").link == "HTTPS://shop.example/a?b=1"


def test_a_currency_is_three_letters() -> None:
    assert Texts(currency="eur").currency == "EUR"
    assert "three letters" in refused(currency="€")
