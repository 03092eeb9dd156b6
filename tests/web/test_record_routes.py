"""Addresses that every kind of record has alike."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.web.routes.boxes import boxes
from tests.web.routes.conftest import ENGINE, PACK, Shop, open_shop

GAUGE = {"name": "Fish scale", "range_low_nm": "5", "range_high_nm": "60"}


@pytest.fixture
def shop(sqlite_template: Path, tmp_path: Path) -> Iterator[Shop]:
    with open_shop(sqlite_template, tmp_path) as found:
        yield found


@pytest.fixture(params=["packs", "engines", "instruments"])
def saved(shop: Shop, request: pytest.FixtureRequest) -> tuple[str, str]:
    """A kind of record, and the address of one that was entered by its form."""
    typed = {"packs": PACK, "engines": ENGINE, "instruments": GAUGE}[request.param]
    return request.param, shop.save(f"/{request.param}/new", typed)


def test_a_record_is_put_aside_and_brought_back(shop: Shop, saved: tuple[str, str]) -> None:
    noun, at = saved
    (stored,) = shop.stored(noun)
    aside = f"{at}/put-aside"
    answer = shop.send(aside, boxes(shop.get(at), aside))
    assert (answer.status_code, answer.headers["location"]) == (303, f"/{noun}")
    assert shop.stored(noun) == []
    assert stored.name in shop.get(f"/{noun}/put-aside")
    back = shop.send(f"{at}/bring-back", {})
    assert (back.status_code, back.headers["location"]) == (303, at)
    assert [found.name for found in shop.stored(noun)] == [stored.name]


def test_it_was_the_team_s_usual_name_where_nobody_signs_in(
    shop: Shop, saved: tuple[str, str]
) -> None:
    noun, at = saved
    shop.save("/settings", {"measured_by": "Ada"})
    shop.send(f"{at}/put-aside", {"version": str(shop.stored(noun)[0].version)})
    shop.send(f"{at}/bring-back", {})
    told = shop.get(f"/history?noun={noun.removesuffix('s')}&by=Ada")
    assert f"brought back the {noun.removesuffix('s')}" in told
    assert f"put aside the {noun.removesuffix('s')}" in told


def test_only_some_records_are_copied(shop: Shop, saved: tuple[str, str]) -> None:
    noun, at = saved
    shop.get(f"{at}/copy", 404 if noun == "instruments" else 200)
    shop.get(f"{at}/edit")
